package physics

import (
	"maps"
	"slices"
)

// workFunctions are the preferred values in eV of H. B. Michaelson, J. Appl.
// Phys. 48, 4729 (1977), for polycrystalline surfaces, which the CRC Handbook of
// Chemistry and Physics took over for many elements; from memory. Faces of one
// crystal differ by some tenths, and films, adsorbates and vapour move them by
// more: a caesium film is often nearer to 1.9 than to 2.14 eV.
var workFunctions = map[string]float64{
	"Ag": 4.26, "Al": 4.28, "As": 3.75, "Au": 5.1, "Ba": 2.7, "Be": 4.98,
	"Bi": 4.22, "Ca": 2.87, "Cd": 4.22, "Ce": 2.9, "Co": 5.0, "Cr": 4.5,
	"Cs": 2.14, "Cu": 4.65, "Fe": 4.5, "Ga": 4.2, "Hf": 3.9, "Hg": 4.49,
	"In": 4.12, "Ir": 5.27, "K": 2.30, "La": 3.5, "Li": 2.9, "Mg": 3.66,
	"Mn": 4.1, "Mo": 4.6, "Na": 2.75, "Nb": 4.3, "Ni": 5.15, "Pb": 4.25,
	"Pd": 5.12, "Pt": 5.65, "Rb": 2.16, "Re": 4.96, "Rh": 4.98, "Ru": 4.71,
	"Sb": 4.55, "Sn": 4.42, "Sr": 2.59, "Ta": 4.25, "Te": 4.95, "Th": 3.4,
	"Ti": 4.33, "U": 3.63, "V": 4.3, "W": 4.55, "Y": 3.1, "Zn": 4.33, "Zr": 4.05,
}

// WorkFunction returns that in eV of a clean surface of an element, by its
// symbol, and whether the table has it.
func WorkFunction(symbol string) (float64, bool) {
	phi, ok := workFunctions[symbol]
	return phi, ok
}

// Elements returns the symbols of the elements whose work function is known, in
// alphabetical order.
func Elements() []string { return slices.Sorted(maps.Keys(workFunctions)) }
