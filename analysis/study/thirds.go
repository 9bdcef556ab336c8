package study

import (
	"math"
	"slices"
)

// The benches fall into disjoint thirds by their index: on the first the method
// is chosen, on the second its factor is calibrated, and what is reported of it
// is measured on the last. So nothing that is stated rests on benches that were
// the best for it.
const (
	choosing = iota
	calibrating
	reporting
	thirds
)

// third returns the benches of a third.
func third(all []benchRecord, which int) []benchRecord {
	var some []benchRecord
	for _, b := range all {
		if b.index%thirds == which {
			some = append(some, b)
		}
	}
	return some
}

// answers reports whether a relative error is of an h/e that anybody would write
// down: one of zero or less is no answer.
func answers(x float64) bool { return x > -1 }

// ratios returns read over true of a row, bench by bench, of what is an answer.
func ratios(benches []benchRecord, row int) [][]float64 {
	out := make([][]float64, len(benches))
	for i, b := range benches {
		for _, s := range b.sessions {
			if x := s.errors[row]; answers(x) {
				out[i] = append(out[i], 1+x)
			}
		}
	}
	return out
}

// lossOf returns the size of the relative error that a factor leaves of an h/e
// that was read as a ratio of the true one.
func lossOf(ratio, factor float64) float64 { return math.Abs(ratio*factor - 1) }

// losses returns the losses of ratios, bench by bench.
func losses(ratios [][]float64, factor float64) [][]float64 {
	out := make([][]float64, len(ratios))
	for i, bench := range ratios {
		for _, r := range bench {
			out[i] = append(out[i], lossOf(r, factor))
		}
	}
	return out
}

// The caps of a method that is recommended.
const (
	// answerShare is the share of experiments in which it must have an answer.
	answerShare = 0.9
	// mostLost is the number of settings that its answers may leave out on the
	// average: losing the dim red end changes the slope.
	mostLost = 1
)

// enough reports whether as many of a number of experiments have an answer as a
// method needs that is to be recommended.
func enough(answers, experiments int) bool {
	return experiments > 0 && float64(answers) >= answerShare*float64(experiments)
}

// keeps reports whether as many settings as a number of answers leave out together
// are few enough for a method that is to be recommended.
func keeps(lost, answers int) bool { return lost <= mostLost*answers }

// A record of answers counts the experiments of a row on some benches.
type answered struct {
	// Experiments is the number of them, Answers that of those with an h/e, and Lost
	// that of the settings of the light that the answers leave out together.
	Experiments, Answers, Lost int
}

// count counts the answers of a row.
func count(benches []benchRecord, row int) answered {
	var a answered
	for _, b := range benches {
		for _, s := range b.sessions {
			a.Experiments++
			if !answers(s.errors[row]) {
				continue
			}
			a.Answers++
			a.Lost += s.lost[row]
		}
	}
	return a
}

// A Stratum is a part of the population, with how often the corrected interval
// of a row holds the truth there.
type Stratum struct {
	// By says what divides the population, and Name which part it is.
	By, Name string
	Benches  int
	Coverage Measure
}

// coverage returns the share of experiments whose corrected interval holds the
// truth, each bench of weight one, and the number of benches with an answer.
func coverage(ratios [][]float64, f Factor) (Measure, int) {
	var shares []float64
	for _, bench := range ratios {
		if len(bench) == 0 {
			continue
		}
		holds := 0.
		for _, r := range bench {
			if f.Holds(r) {
				holds++
			}
		}
		shares = append(shares, holds/float64(len(bench)))
	}
	return meanOf(shares), len(shares)
}

// meanOf returns the mean of numbers that are independent.
func meanOf(x []float64) Measure {
	if len(x) == 0 {
		return unknown
	}
	var sum, squares float64
	for _, v := range x {
		sum += v
	}
	mean := sum / float64(len(x))
	for _, v := range x {
		squares += (v - mean) * (v - mean)
	}
	if len(x) == 1 {
		return Measure{mean, math.NaN()}
	}
	n := float64(len(x))
	return Measure{mean, math.Sqrt(squares / (n - 1) / n)}
}

// plateauEdges are those of the parts of a population by the reverse plateau
// that can be read off.
var plateauEdges = []float64{0.003, 0.01, 0.03}

// plateauNames are the parts between them.
var plateauNames = []string{"below 0.3 %", "0.3 to 1 %", "1 to 3 %", "3 % and more"}

// byPlateau returns the part that a session belongs to, and whether it could be
// read.
func byPlateau(o Observables) (int, bool) {
	if math.IsNaN(o.Plateau) {
		return 0, false
	}
	i, exact := slices.BinarySearch(plateauEdges, o.Plateau)
	if exact {
		i++
	}
	return i, true
}
