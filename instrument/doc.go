// Package instrument describes an apparatus for measuring h/e, from the lamp
// to the meter, and gives the mean current that flows in it. It draws no random
// numbers: that is sim's part.
//
// Energies are in eV, potentials in V, currents in A, wavelengths in nm in
// standard air, times in s, temperatures in K.
package instrument
