package match

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

// standard puts features on one scale.
type standard struct{ mean, inverse []float64 }

func newStandard(rows [][]float64) standard {
	n := len(rows[0])
	s := standard{make([]float64, n), make([]float64, n)}
	column := make([]float64, len(rows))
	for k := range n {
		for i, row := range rows {
			column[i] = row[k]
		}
		mean, sd := stat.MeanStdDev(column, nil)
		s.mean[k] = mean
		// What never differs says nothing.
		if sd > 1e-9 {
			s.inverse[k] = 1 / sd
		}
	}
	return s
}

// mostDeviations bounds a standardised feature.
const mostDeviations = 5

func (s standard) of(row []float64) []float64 {
	out := make([]float64, len(row))
	for k, x := range row {
		out[k] = min(max((x-s.mean[k])*s.inverse[k], -mostDeviations), mostDeviations)
	}
	return out
}

// ridge is a linear regression on standardised features and their squares whose
// coefficients are held small.
type ridge struct {
	standard
	coefficient []float64
}

// ridgePenalty is that on the coefficients, in rows.
const ridgePenalty = 5

// terms returns one, the features and their squares.
func terms(z []float64) []float64 {
	t := make([]float64, 0, 1+2*len(z))
	t = append(t, 1)
	t = append(t, z...)
	for _, x := range z {
		t = append(t, x*x-1)
	}
	return t
}

// newRidge regresses y on the rows.
func newRidge(s standard, rows [][]float64, y []float64) ridge {
	return newRidges(s, rows, [][]float64{y})[0]
}

// newRidges regresses each y on the rows, which are taken apart once.
func newRidges(s standard, rows, ys [][]float64) []ridge {
	n := 1 + 2*len(rows[0])
	x := mat.NewDense(len(rows), n, nil)
	for i, row := range rows {
		x.SetRow(i, terms(s.of(row)))
	}
	var normal mat.SymDense
	normal.SymOuterK(1, x.T())
	for k := 1; k < n; k++ {
		normal.SetSym(k, k, normal.At(k, k)+ridgePenalty)
	}
	var factor mat.Cholesky
	factor.Factorize(&normal)
	ridges := make([]ridge, len(ys))
	for i, y := range ys {
		var right, solution mat.VecDense
		right.MulVec(x.T(), mat.NewVecDense(len(y), y))
		if err := factor.SolveVecTo(&solution, &right); err != nil {
			// The penalty keeps it regular; a poor condition is told by the
			// calibration.
			_ = err
		}
		ridges[i] = ridge{s, slices.Clone(solution.RawVector().Data)}
	}
	return ridges
}

// at returns the regression at a row.
func (r ridge) at(row []float64) float64 {
	var sum float64
	for k, t := range terms(r.of(row)) {
		sum += r.coefficient[k] * t
	}
	return sum
}

// axes are the principal components of the standardised features, each with a
// deviation of one.
type axes struct {
	standard
	vectors [][]float64
}

// newAxes returns the first few.
func newAxes(s standard, rows [][]float64, number int) axes {
	n := len(rows[0])
	x := mat.NewDense(len(rows), n, nil)
	for i, row := range rows {
		x.SetRow(i, s.of(row))
	}
	var covariance mat.SymDense
	covariance.SymOuterK(1/float64(len(rows)), x.T())
	var eigen mat.EigenSym
	a := axes{standard: s}
	if !eigen.Factorize(&covariance, true) {
		return a
	}
	values := eigen.Values(nil)
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	for k := range min(number, n) {
		at := n - 1 - k
		if values[at] < 1e-6 {
			break
		}
		v := mat.Col(nil, at, &vectors)
		for i := range v {
			v[i] /= math.Sqrt(values[at])
		}
		a.vectors = append(a.vectors, v)
	}
	return a
}

func (a axes) of(row []float64) []float64 {
	z := a.standard.of(row)
	out := make([]float64, len(a.vectors))
	for k, v := range a.vectors {
		for i, x := range z {
			out[k] += v[i] * x
		}
	}
	return out
}

// near returns the indices of the points nearest to one, nearest first, and the
// weights of Epanechnikov's kernel, which falls to zero at the last.
func near(points [][]float64, to []float64, number int) (index []int, weight []float64) {
	type at struct {
		square float64
		index  int
	}
	all := make([]at, len(points))
	for i, p := range points {
		all[i].index = i
		for k, x := range p {
			d := x - to[k]
			all[i].square += d * d
		}
	}
	slices.SortStableFunc(all, func(a, b at) int { return cmp.Compare(a.square, b.square) })
	number = min(number, len(all)-1)
	widest := all[number].square
	for _, a := range all[:number] {
		index = append(index, a.index)
		weight = append(weight, max(1-a.square/widest, 1e-6))
	}
	return index, weight
}

// localLinear returns at a point the weighted linear regression of y on the
// points nearest to it.
func localLinear(points [][]float64, y []float64, to []float64, number int) float64 {
	index, weight := near(points, to, number)
	n := len(to) + 1
	normal := mat.NewSymDense(n, nil)
	right := mat.NewVecDense(n, nil)
	row := make([]float64, n)
	for k, i := range index {
		row[0] = 1
		for j := range to {
			row[j+1] = points[i][j] - to[j]
		}
		normal.SymRankOne(normal, weight[k], mat.NewVecDense(n, row))
		right.AddScaledVec(right, weight[k]*y[i], mat.NewVecDense(n, row))
	}
	for k := 1; k < n; k++ {
		normal.SetSym(k, k, normal.At(k, k)+1e-3)
	}
	var factor mat.Cholesky
	var solution mat.VecDense
	if !factor.Factorize(normal) || factor.SolveVecTo(&solution, right) != nil {
		return math.NaN()
	}
	return solution.AtVec(0)
}
