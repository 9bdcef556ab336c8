package check

import (
	_ "embed"
	"encoding/csv"
	"math"
	"strconv"
	"strings"
)

// widthsFile is the table of what readings of some fineness can come to, made before
// term by a test from the default population: of runs with a step and a last digit, the
// half-width about the corrected h/e that holds two thirds of the benches, for the first
// method that answers are given by and the weighted line.
//
//go:embed widths.csv
var widthsFile string

// A Width is what readings of a fineness can come to.
type Width struct {
	// Step is that of the sweep in V, and Digit a step of the meter's last digit over
	// the current of the brightest setting.
	Step, Digit float64
	// HalfWidth is relative to h/e.
	HalfWidth float64
}

// Widths returns the table, the finest readings first.
func Widths() []Width {
	rows, err := csv.NewReader(strings.NewReader(widthsFile)).ReadAll()
	if err != nil {
		// The table is part of the program, and a test reads it.
		panic(err)
	}
	var all []Width
	for _, row := range rows[1:] {
		var x [3]float64
		for i := range x {
			if x[i], err = strconv.ParseFloat(row[i], 64); err != nil {
				panic(err)
			}
		}
		all = append(all, Width{x[0], x[1], x[2]})
	}
	return all
}

// WidthOf returns the row of the table that has the fineness of a run: its largest
// median step, and its last digit over its brightest photocurrent. False says that the
// run is coarser than any row, or cannot be looked at.
func WidthOf(s Fineness) (Width, bool) {
	if !(s.Step > 0) {
		return Width{}, false
	}
	best, found := Width{HalfWidth: math.Inf(1)}, false
	for _, w := range Widths() {
		if s.Step <= w.Step*(1+1e-9) && s.Digit <= w.Digit*(1+1e-9) && w.HalfWidth < best.HalfWidth {
			best, found = w, true
		}
	}
	return best, found
}
