package physics

import "math"

// Electrodes says where in a half plane of revolution the metal is. The lengths
// are in a unit of the caller's.
type Electrodes interface {
	// Inside returns the potential, 0 or 1, of the metal at a radius and a
	// height, and whether there is any.
	Inside(radius, height float64) (potential float64, metal bool)
}

// Field is the potential between electrodes of revolution at 0 and 1, which
// solves Laplace's equation in 0 <= radius <= Radius, 0 <= height <= Height. At
// the outer faces, where there is no metal, there is insulating glass that holds
// the charge which leaves no field through it.
//
// On a square grid the second derivatives are differences; where metal cuts an
// arm of the star, the arm ends at the surface (G. H. Shortley and R. Weller,
// J. Appl. Phys. 9, 334 (1938)). The equations are relaxed with overrelaxation.
type Field struct {
	Radius, Height float64
	// step is the width of the grid of (columns x rows) nodes, of which each
	// row is one height.
	step          float64
	columns, rows int
	potential     []float64
}

// star is the equation of a node: its potential is the sum of the neighbours'
// weighted, and a constant from metal that cuts arms.
type star struct {
	inner, outer, below, above, metal float64
}

const (
	// relaxed is the change of the potential at which the relaxation ends.
	relaxed      = 1e-10
	mostRelaxing = 20000
)

// NewField solves for the potential on a grid with a number of steps along the
// radius.
func NewField(e Electrodes, radius, height float64, steps int) *Field {
	f := &Field{Radius: radius, Height: height, step: radius / float64(steps)}
	f.columns = steps + 1
	f.rows = int(math.Round(height/f.step)) + 1
	f.potential = make([]float64, f.columns*f.rows)
	stars := make([]star, len(f.potential))
	free := make([]bool, len(f.potential))
	for row := range f.rows {
		for column := range f.columns {
			at := row*f.columns + column
			if phi, metal := e.Inside(f.place(column, row)); metal {
				f.potential[at] = phi
				continue
			}
			free[at] = true
			stars[at] = f.star(e, column, row)
		}
	}
	f.relax(stars, free)
	f.continueIntoMetal(e, free)
	return f
}

// place returns the radius and the height of a node.
func (f *Field) place(column, row int) (radius, height float64) {
	return float64(column) * f.step, float64(row) * f.step
}

// arm returns the length of the arm of a star towards a neighbour and, where
// metal cuts it, the potential there.
func (f *Field) arm(e Electrodes, column, row, right, up int) (length, potential float64, cut bool) {
	r, z := f.place(column, row)
	dr, dz := float64(right)*f.step, float64(up)*f.step
	potential, cut = e.Inside(r+dr, z+dz)
	if !cut {
		return f.step, 0, false
	}
	low, high := 0.0, 1.0
	for range 40 {
		middle := (low + high) / 2
		if _, metal := e.Inside(r+dr*middle, z+dz*middle); metal {
			high = middle
		} else {
			low = middle
		}
	}
	return max(high, 1e-6) * f.step, potential, true
}

// star returns the equation of a node.
func (f *Field) star(e Electrodes, column, row int) star {
	var s star
	var diagonal float64
	// add puts an arm of a weight into the equation.
	add := func(side *float64, weight, potential float64, cut bool) {
		diagonal += weight
		if cut {
			s.metal += weight * potential
		} else {
			*side += weight
		}
	}
	radius, _ := f.place(column, row)
	outer, outerPotential, outerCut := f.arm(e, column, row, 1, 0)
	switch {
	case column == 0:
		// By symmetry both radial arms are the outer one, and the equation
		// is 2 d2/dr2 + d2/dz2.
		add(&s.outer, 4/(outer*outer), outerPotential, outerCut)
	case column == f.columns-1:
		inner, potential, cut := f.arm(e, column, row, -1, 0)
		add(&s.inner, 2/(inner*inner), potential, cut)
	default:
		inner, innerPotential, innerCut := f.arm(e, column, row, -1, 0)
		both := inner + outer
		add(&s.outer, (2+inner/radius)/(outer*both), outerPotential, outerCut)
		add(&s.inner, (2-outer/radius)/(inner*both), innerPotential, innerCut)
	}
	above, abovePotential, aboveCut := f.arm(e, column, row, 0, 1)
	below, belowPotential, belowCut := f.arm(e, column, row, 0, -1)
	switch row {
	case 0:
		add(&s.above, 2/(above*above), abovePotential, aboveCut)
	case f.rows - 1:
		add(&s.below, 2/(below*below), belowPotential, belowCut)
	default:
		add(&s.above, 2/(above*(above+below)), abovePotential, aboveCut)
		add(&s.below, 2/(below*(above+below)), belowPotential, belowCut)
	}
	s.inner /= diagonal
	s.outer /= diagonal
	s.below /= diagonal
	s.above /= diagonal
	s.metal /= diagonal
	return s
}

// relax solves the equations.
func (f *Field) relax(stars []star, free []bool) {
	// The best factor for a square of this many steps.
	over := 2 / (1 + math.Sin(math.Pi/float64(max(f.columns, f.rows))))
	phi := f.potential
	at := func(i int) float64 {
		if i < 0 || i >= len(phi) {
			return 0
		}
		return phi[i]
	}
	for range mostRelaxing {
		var change float64
		for i, s := range stars {
			if !free[i] {
				continue
			}
			want := s.metal + s.inner*at(i-1) + s.outer*at(i+1) + s.below*at(i-f.columns) + s.above*at(i+f.columns)
			step := over * (want - phi[i])
			phi[i] += step
			change = max(change, math.Abs(step))
		}
		if change < relaxed {
			return
		}
	}
}

// continueIntoMetal gives the nodes of metal that border on free ones the value
// that continues the field in a straight line through the surface, so that
// interpolation between nodes has the right field right up to it.
func (f *Field) continueIntoMetal(e Electrodes, free []bool) {
	continued := make(map[int]float64)
	for row := range f.rows {
		for column := range f.columns {
			i := row*f.columns + column
			if free[i] {
				continue
			}
			var sum, n float64
			for _, way := range [][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
				c, r := column+way[0], row+way[1]
				if c < 0 || r < 0 || c >= f.columns || r >= f.rows || !free[r*f.columns+c] {
					continue
				}
				length, surface, _ := f.arm(e, c, r, -way[0], -way[1])
				// A surface close to the free node says little about the
				// slope.
				if part := length / f.step; part > 0.2 {
					sum += surface + (surface-f.potential[r*f.columns+c])*(1-part)/part
					n++
				}
			}
			if n > 0 {
				continued[i] = sum / n
			}
		}
	}
	for i, phi := range continued {
		f.potential[i] = phi
	}
}

// Slope returns the derivatives along radius and height, at a place within the
// field, of the potential that is bilinear between the nodes. They jump from
// cell to cell, but what an electron gains along any path is exactly the
// potential between its ends.
func (f *Field) Slope(radius, height float64) (alongRadius, alongHeight float64) {
	x, y := radius/f.step, height/f.step
	column := min(max(int(x), 0), f.columns-2)
	row := min(max(int(y), 0), f.rows-2)
	fx, fy := x-float64(column), y-float64(row)
	i := row*f.columns + column
	below, above := f.potential[i:i+2], f.potential[i+f.columns:i+f.columns+2]
	alongRadius = ((below[1]-below[0])*(1-fy) + (above[1]-above[0])*fy) / f.step
	alongHeight = ((above[0]-below[0])*(1-fx) + (above[1]-below[1])*fx) / f.step
	return alongRadius, alongHeight
}
