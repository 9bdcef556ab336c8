// Package knee takes the curve of one setting of the light apart: it builds the
// knee up cause by cause, and makes the curves, thresholds and deflections that
// a lesson on it shows. It stands above instrument, whose effects it switches,
// and sim, whose electrons and readings it draws; it does not analyse.
//
// Energies are in eV, potentials in V, currents in A, wavelengths in nm in
// standard air, frequencies in Hz.
package knee
