package study

import (
	"context"
	"fmt"
	"math"
	"slices"

	"stopvolt/analysis"
)

// A Chart gives the factor of a row against something that anyone can read off
// a run, for the preparation room.
type Chart struct {
	// Method and Fit are those of the row.
	Method, Fit string
	// By says what is read off.
	By Reading
	// Rows are in the order of what is read off.
	Rows []ChartRow
	// Whole is the factor of all calibrating benches without the chart.
	Whole Factor
	// Unread is the number of calibrating benches at which nothing can be read
	// off.
	Unread int
	// Widths are the widths of the two-thirds range that each reading leaves on
	// the mean, over that of Whole; the chart is by the narrowest.
	Widths map[Reading]float64
	// Coverage is how often the 95 % range of the right row holds the truth on
	// further benches.
	Coverage Measure
}

// A ChartRow is the factor of the benches whose reading lies from From to To.
type ChartRow struct {
	From, To float64
	Factor   Factor
}

// A Reading is what can be read off a run.
type Reading struct {
	// Kind is one of the readings below, and Partner the method whose h/e is
	// compared where it is RatioOfSlopes.
	Kind    ReadingKind
	Partner string
}

// A ReadingKind is a kind of reading.
type ReadingKind int

const (
	// PlateauHeight is Observables.Plateau.
	PlateauHeight ReadingKind = iota
	// KneeWidth is Observables.Knee.
	KneeWidth
	// RatioOfSlopes is the h/e of the row over that of another method with the
	// same kind of line.
	RatioOfSlopes
)

// ChartBenches is the least number of calibrating benches of each row of a chart,
// for which some more are drawn, since not all can be read. checkingBenches is
// the number of further benches by which the chart's promise is checked.
const (
	ChartBenches    = 1000
	drawnForRow     = 1100
	checkingBenches = 1000
)

// MostChartRows is the number of rows beyond which a chart would ask for more
// benches than leave a record.
const MostChartRows = (recordBlocks*benchesPerBlock - checkingBenches) / drawnForRow

// Chart works a chart of a row out, at new benches of the study's population. The
// partners are the methods whose slopes may be compared with the row's.
func (s Study) Chart(ctx context.Context, method analysis.Method, fit string, partners []analysis.Method, rows int) (Chart, error) {
	if rows < 2 || rows > MostChartRows {
		return Chart{}, fmt.Errorf("a chart has from 2 to %d rows", MostChartRows)
	}
	own := s
	own.Methods = []analysis.Method{method}
	for _, m := range partners {
		if m.Name() != method.Name() {
			own.Methods = append(own.Methods, m)
		}
	}
	own.Part, own.Until, own.Resume, own.Save = Part{}, 0, nil, nil
	own.Replicates = 2 * (rows*drawnForRow + checkingBenches)
	// Another seed makes other benches.
	own.Seed = s.Seed + 1<<32
	t, err := own.Run(ctx)
	if err != nil {
		return Chart{}, err
	}
	return own.chart(t.benches(own), method.Name(), fit, rows)
}

// charted is what the first experiment at a bench gives to a chart.
type charted struct{ seen, ratio float64 }

// chart chooses what to read off, and divides the benches by it.
func (s Study) chart(benches []benchRecord, method, fit string, rows int) (Chart, error) {
	row := -1
	readings := []Reading{{Kind: PlateauHeight}, {Kind: KneeWidth}}
	partners := make(map[Reading]int)
	for i, l := range s.rows() {
		name := s.Methods[l.method].Name()
		switch {
		case name == method && l.fit == fit:
			row = i
		case name != method && l.fit == fit:
			r := Reading{RatioOfSlopes, name}
			readings, partners[r] = append(readings, r), i
		}
	}
	if row < 0 {
		return Chart{}, fmt.Errorf("there is no %s with the line %s", method, fit)
	}
	of := func(b benchRecord, r Reading) charted {
		first := b.sessions[0]
		c := charted{first.seen.Plateau, 1 + first.errors[row]}
		if !answers(first.errors[row]) {
			c.ratio = math.NaN()
		}
		switch r.Kind {
		case KneeWidth:
			c.seen = first.seen.Knee
		case RatioOfSlopes:
			c.seen = (1 + first.errors[row]) / (1 + first.errors[partners[r]])
		}
		return c
	}
	calibrating, checking := benches[:rows*drawnForRow], benches[rows*drawnForRow:]
	best := Chart{Widths: make(map[Reading]float64)}
	narrowest := math.Inf(1)
	for _, r := range readings {
		var read []charted
		for _, b := range calibrating {
			read = append(read, of(b, r))
		}
		c := divide(read, rows)
		width := c.width()
		best.Widths[r] = width
		if width < narrowest {
			narrowest = width
			c.Widths, c.By = best.Widths, r
			best = c
		}
	}
	best.Method, best.Fit = method, fit
	var holds []float64
	for _, b := range checking {
		c := of(b, best.By)
		if f, ok := best.factorAt(c.seen); ok && !math.IsNaN(c.ratio) {
			holds = append(holds, 0)
			if f.Holds(c.ratio) {
				holds[len(holds)-1] = 1
			}
		}
	}
	best.Coverage = meanOf(holds)
	return best, nil
}

// divide puts benches into rows of equal numbers by what is seen.
func divide(read []charted, rows int) Chart {
	var c Chart
	var some []charted
	var all [][]float64
	for _, x := range read {
		if !math.IsNaN(x.ratio) {
			all = append(all, []float64{x.ratio})
		}
		if math.IsNaN(x.seen) || math.IsInf(x.seen, 0) {
			c.Unread++
			continue
		}
		some = append(some, x)
	}
	c.Whole = Calibrate(all)
	slices.SortStableFunc(some, func(a, b charted) int {
		switch {
		case a.seen < b.seen:
			return -1
		case a.seen > b.seen:
			return 1
		}
		return 0
	})
	// Rows keep their number of benches: fewer benches make fewer rows. Equal
	// readings stay together.
	size := max(len(some)/rows, ChartBenches)
	for from := 0; len(some)-from >= size; {
		to := from + size
		if len(some)-to < size {
			to = len(some)
		}
		for to < len(some) && some[to].seen == some[to-1].seen {
			to++
		}
		if len(some)-to < size {
			to = len(some)
		}
		var ratios [][]float64
		for _, x := range some[from:to] {
			if !math.IsNaN(x.ratio) {
				ratios = append(ratios, []float64{x.ratio})
			}
		}
		c.Rows = append(c.Rows, ChartRow{some[from].seen, some[to-1].seen, Calibrate(ratios)})
		from = to
	}
	return c
}

// width is the width of the two-thirds range that the rows leave on the mean,
// over that of all benches together.
func (c Chart) width() float64 {
	if len(c.Rows) < 2 {
		return math.Inf(1)
	}
	var sum, n float64
	for _, r := range c.Rows {
		sum += float64(r.Factor.Benches) * math.Log(r.Factor.LikelyHigh/r.Factor.LikelyLow)
		n += float64(r.Factor.Benches)
	}
	return sum / n / math.Log(c.Whole.LikelyHigh/c.Whole.LikelyLow)
}

// factorAt returns the factor of the row that a reading belongs to: the first
// that does not end below it; none beyond the ends of the chart.
func (c Chart) factorAt(seen float64) (Factor, bool) {
	if len(c.Rows) == 0 || !(seen >= c.Rows[0].From && seen <= c.Rows[len(c.Rows)-1].To) {
		return Factor{}, false
	}
	for _, r := range c.Rows {
		if seen <= r.To {
			return r.Factor, true
		}
	}
	return Factor{}, false
}
