package reader

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// A profile is what a column of numbers looks like, whatever it is of.
type profile struct {
	values []float64 // NaN where there is no number
	filled int
	sum    float64 // of magnitudes
	// positive says that no value is below zero.
	positive bool
	// monotone says that no step goes the other way, and spread is the standard
	// deviation of the steps but the zeros over their mean.
	monotone bool
	spread   float64
	// counts says that the column counts its rows from 0 or 1.
	counts bool
}

// profile looks at the beginning of a column.
func (l *layout) profile(column int) profile {
	const enough = 5000
	p := profile{positive: true, monotone: true, counts: true, spread: math.Inf(1)}
	last := math.NaN()
	var steps []float64
	for _, row := range l.body[:min(len(l.body), enough)] {
		x, err := parseNumber(cellAt(row, column).text, l.decimal)
		if err != nil {
			p.values = append(p.values, math.NaN())
			continue
		}
		p.values = append(p.values, x)
		p.filled++
		p.sum += math.Abs(x)
		p.positive = p.positive && x >= 0
		if p.filled == 1 {
			p.counts = x == 0 || x == 1
		} else {
			p.counts = p.counts && x == last+1
			if x != last {
				steps = append(steps, x-last)
			}
		}
		last = x
	}
	mean, square := 0.0, 0.0
	for _, s := range steps {
		mean += s / float64(len(steps))
		p.monotone = p.monotone && s*steps[0] > 0
	}
	for _, s := range steps {
		square += (s - mean) * (s - mean) / float64(len(steps))
	}
	p.monotone = p.monotone && len(steps) > 0
	if p.monotone {
		p.spread = math.Sqrt(square) / math.Abs(mean)
	}
	return p
}

// difference returns the sum of the distances between two columns over that of
// the first's magnitudes, over the rows that have both.
func (p profile) difference(q profile) float64 {
	apart, sum := 0.0, 0.0
	for i := range min(len(p.values), len(q.values)) {
		if d := math.Abs(p.values[i] - q.values[i]); !math.IsNaN(d) {
			apart, sum = apart+d, sum+math.Abs(p.values[i])
		}
	}
	return apart / sum
}

// What tells columns apart by their numbers (common practice, no source):
// readings of one current differ by less than this share of it, and an
// uncertainty is at most this share of its current.
const (
	repeatsDiffer      = 0.25
	uncertaintyAtMost  = 0.5
	meansDiffer        = 1e-3
	leastRowsForShapes = 4
)

// unlike says whether columns differ in more rows than slips of the pen and the
// noise of a plateau explain, as with another slit or another lamp.
func (p profile) unlike(q profile) bool {
	const noise, most = 0.02, 0.25 // of the largest, and of the rows
	largest := 0.0
	for _, x := range p.values {
		if !math.IsNaN(x) {
			largest = max(largest, math.Abs(x))
		}
	}
	rows, apart := 0, 0
	for i := range min(len(p.values), len(q.values)) {
		x, y := math.Abs(p.values[i]), math.Abs(q.values[i])
		d := math.Abs(p.values[i] - q.values[i])
		if math.IsNaN(d) {
			continue
		}
		rows++
		if d > repeatsDiffer*max(x, y)+noise*largest {
			apart++
		}
	}
	return float64(apart) > most*float64(rows)
}

// guessColumns gives roles to the columns of a table that names none of them:
// a voltage goes in one direction by steady steps, a current falls towards
// nothing, and an uncertainty is a small number above zero. It says whether
// that tells enough.
func (l *layout) guessColumns() bool {
	columns := l.numericColumns()
	if len(columns) < 2 || len(columns) > 2 && len(l.body) < leastRowsForShapes {
		return false
	}
	profiles := make(map[int]profile)
	for _, i := range columns {
		profiles[i] = l.profile(i)
	}
	const steady = 0.05
	if first := profiles[columns[0]]; len(columns) > 2 && first.counts && slices.ContainsFunc(columns[1:], func(i int) bool {
		return profiles[i].monotone && profiles[i].spread < steady
	}) {
		l.guess("voltage-column", "column %d counts the rows", columns[0]+1)
		columns = columns[1:]
	}
	const clearly = 2 // as steady
	at := columns[0]
	for _, i := range columns[1:] {
		if profiles[i].monotone && profiles[i].spread*clearly < profiles[at].spread {
			at = i
		}
	}
	if len(columns) > 2 && !profiles[at].monotone {
		return false
	}
	rest := slices.DeleteFunc(slices.Clone(columns), func(i int) bool { return i == at })
	text, ok := l.guessCurrents(rest, profiles)
	if !ok {
		return false
	}
	l.columns[at].role = voltages
	l.guess("voltage-column", "column %d holds the voltage and %s, by the shape of their numbers", at+1, text)
	return true
}

// numericColumns returns the columns of numbers that have no role.
func (l *layout) numericColumns() []int {
	return slices.DeleteFunc(l.with(ignored), func(i int) bool { return !l.numeric(i) })
}

// guessCurrents gives roles to columns beside the voltage: the first is a
// current, and others are its repeats, their mean, or its uncertainty. It
// returns what it found in words, and false where a column is none of these.
func (l *layout) guessCurrents(columns []int, profiles map[int]profile) (string, bool) {
	first := profiles[columns[0]]
	roles := map[int]role{columns[0]: currents}
	names := []string{fmt.Sprintf("column %d the current", columns[0]+1)}
	repeats := []profile{first}
	for _, i := range columns[1:] {
		p := profiles[i]
		switch {
		case len(repeats) > 1 && p.difference(meanOf(repeats)) < meansDiffer:
			names = append(names, fmt.Sprintf("column %d their mean", i+1))
		case first.difference(p) < repeatsDiffer:
			repeats = append(repeats, p)
			roles[i] = currents
			names = append(names, fmt.Sprintf("column %d its repeat", i+1))
		case p.positive && p.sum < uncertaintyAtMost*first.sum && p.filled > 0:
			// Beside repeats their own scatter tells more.
			if len(repeats) == 1 {
				roles[i] = currentUncertainties
			}
			names = append(names, fmt.Sprintf("column %d its uncertainty", i+1))
		default:
			return "", false
		}
	}
	for i, r := range roles {
		l.columns[i].role = r
	}
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1], true
	}
	return names[0], true
}

// meanOf returns the mean of columns.
func meanOf(columns []profile) profile {
	mean := profile{values: slices.Clone(columns[0].values)}
	for i := range mean.values {
		for _, c := range columns[1:] {
			mean.values[i] += c.values[i]
		}
		mean.values[i] /= float64(len(columns))
	}
	return mean
}

// adoptRepeats gives the columns that follow one of currents without a heading
// of their own, as below merged cells, that column's meaning if their numbers
// are like its, and a meaning of their own below a light of their own.
func (l *layout) adoptRepeats() {
	source, adopted := -1, 0
	for i := range l.columns {
		h := &l.columns[i]
		if h.text != "" || h.role != ignored {
			source = -1
			if h.role == currents && !h.derived && !h.extreme {
				source = i
			}
			continue
		}
		if source < 0 || !l.numeric(i) {
			source = -1
			continue
		}
		of := l.columns[source]
		if wavelengthIn(l.aboveText(i)) != 0 {
			h.role, h.unit = currents, of.unit
			continue
		}
		if l.profile(source).difference(l.profile(i)) < repeatsDiffer {
			text := h.cell
			*h = of
			h.cell, h.repeats = text, source+1
			adopted++
			continue
		}
		l.guess("current-column", "column %d has no heading, is no repeat of %s, and is not used", i+1, shown(of.text))
	}
	if adopted > 0 {
		l.guess("current-column", "columns without a heading that follow a current are its repeats")
	}
}

// aboveText returns what stands in the row above the headings over a column.
func (l *layout) aboveText(column int) string {
	if len(l.above) == 0 {
		return ""
	}
	row := l.above[len(l.above)-1]
	if column < len(row) {
		return row[column].text
	}
	return ""
}
