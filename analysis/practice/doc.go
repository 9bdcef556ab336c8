// Package practice makes sets of practice data with known answers, a bench of
// its own for each student, and marks what the students make of them.
//
// What a student is handed and what the instructor keeps are different types: a
// Handout has no field for a truth, so that no file made from one can give an
// answer away.
//
// Energies are in eV, potentials in V, currents in A, wavelengths in nm.
package practice
