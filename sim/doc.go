// Package sim is the bench at work: it draws the electrons and the noise, takes
// readings, and knows the truth behind them.
//
// Energies are in eV, potentials in V, currents in A, times in s.
package sim
