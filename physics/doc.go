// Package physics holds the laws of a vacuum photocell as pure functions: the
// energies of photons, the electrons that they eject, the barrier between the
// electrodes, and the share of the electrons that crosses it.
//
// Energies are in eV, potentials in V, wavelengths in nm, temperatures in K.
package physics
