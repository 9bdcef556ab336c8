package study

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"stopvolt/physics"
	"stopvolt/sim"
)

// A Correction is what has to be done to what a row reads, and what is left then.
type Correction struct {
	// Factor is calibrated on the second third of the benches.
	Factor Factor
	// Loss is the median size of the corrected relative error, and Coverage how
	// often the corrected interval holds the truth, given an answer, both on the
	// last third.
	Loss, Coverage Measure
	// Strata are the coverages on parts of the last third.
	Strata []Stratum
	// Answered counts the answers on the first third, by which a row qualifies.
	Answered answered

	// chosen is the median loss on the first third, by which a row is chosen.
	chosen float64
	// losses are those of the last third, by bench.
	losses []float64
}

// Qualifies reports whether a row may be recommended: it answers often enough, and
// its answers leave out one setting of the light at the most, on the average.
func (c Correction) Qualifies() bool {
	a := c.Answered
	return enough(a.Answers, a.Experiments) && keeps(a.Lost, a.Answers) && !math.IsNaN(c.chosen)
}

// A Choice is the recommended row.
type Choice struct {
	// Row is its index in the result, -1 if none qualifies.
	Row int
	// Equals are the rows whose loss cannot be told from the chosen one's on the
	// last third of the benches, with Holm's correction at a family-wise level
	// of 5 %.
	Equals []int
}

// A Rank is the place of a row that qualifies in the order of the losses.
type Rank struct {
	// Row is its index in the result.
	Row int
	// Gap is by how much the median loss is above that of the row before, over
	// the N benches where both have an answer, and P the two-sided p-value of no
	// difference; NaN for the first.
	Gap Measure
	P   float64
	N   int
	// Significant says that P stands up to Holm's correction for all gaps of
	// the ranking at a family-wise level of 5 %.
	Significant bool
}

// A Reason says why a row is not the one recommended.
type Reason struct {
	// Kind tells which of the following numbers are of use.
	Kind ReasonKind
	// Share is a share of the experiments, Lost a number of settings, and Loss and Best are median
	// corrected errors: the row's and the recommended one's.
	Share, Lost, Loss, Best float64
	// Than names the recommended row.
	Than string
}

// A ReasonKind is why a row is passed over.
type ReasonKind int

const (
	// TooFewBenches says that there were not enough benches to choose by.
	TooFewBenches ReasonKind = iota
	// SeldomAnswers says that the row has an answer in too few experiments on the
	// first third of the benches, a Share of them.
	SeldomAnswers
	// LosesSettings says that the answers of the row leave out so many settings of
	// the light on the average, which is Lost.
	LosesSettings
	// ErrsMore says that the corrected error is larger.
	ErrsMore
	// NotToldApart says that the corrected error is not told from that of the
	// recommended row.
	NotToldApart
	// ErredMore says that the corrected error was larger on the benches that
	// chose, but is not on those that were kept for the checks.
	ErredMore
)

// String says it in a sentence without a full stop.
func (r Reason) String() string {
	switch r.Kind {
	case SeldomAnswers:
		return fmt.Sprintf("answers in %s %% on the benches that chose, and %g %% are needed", below(100*r.Share, 100*answerShare), 100*answerShare)
	case LosesSettings:
		return fmt.Sprintf("leaves out %.2g settings of the light on the average, and one is the most", r.Lost)
	case ErrsMore:
		return fmt.Sprintf("errs by %.2g %% when corrected, %s by %.2g %%", 100*r.Loss, r.Than, 100*r.Best)
	case ErredMore:
		return fmt.Sprintf("errs by %.2g %% when corrected, less than the %.2g %% of %s here, but more on the benches that chose", 100*r.Loss, 100*r.Best, r.Than)
	case NotToldApart:
		return fmt.Sprintf("errs by %.2g %% when corrected, which is not told apart from the %.2g %% of %s", 100*r.Loss, 100*r.Best, r.Than)
	}
	return "there are too few benches to choose by"
}

// below writes a number that is less than a limit with as many decimals as show
// that it is, none where the whole number does.
func below(x, limit float64) string {
	for digits := 0; digits < 6; digits++ {
		if text := strconv.FormatFloat(x, 'f', digits, 64); text != strconv.FormatFloat(limit, 'f', digits, 64) {
			return text
		}
	}
	return strconv.FormatFloat(x, 'g', -1, 64)
}

// correct fills the corrections of the rows from the records.
func correct(rows []Row, benches []benchRecord, classes []string) {
	first, second, last := third(benches, choosing), third(benches, calibrating), third(benches, reporting)
	for i := range rows {
		c := &rows[i].Correction
		c.Answered = count(first, i)
		own := ratios(first, i)
		c.chosen = weigh(losses(own, Calibrate(own).Median)).median()
		c.Factor = Calibrate(ratios(second, i))
		reported := ratios(last, i)
		c.losses = make([]float64, len(last))
		for b, bench := range losses(reported, c.Factor.Median) {
			c.losses[b] = meanOf(bench).Value
		}
		c.Loss = middleOf(c.losses)
		c.Coverage = unknown
		if !math.IsNaN(c.Factor.Low) {
			c.Coverage, _ = coverage(reported, c.Factor)
			c.Strata = strata(last, i, c.Factor, classes)
		}
	}
}

// middleOf returns the median of numbers, of which NaN does not count, with the
// error of a median.
func middleOf(x []float64) Measure {
	var some []float64
	for _, v := range x {
		if !math.IsNaN(v) {
			some = append(some, v)
		}
	}
	if len(some) == 0 {
		return unknown
	}
	slices.Sort(some)
	at := func(share float64) float64 {
		return some[min(max(int(math.Floor(share*float64(len(some)))), 0), len(some)-1)]
	}
	step := 0.5 / math.Sqrt(float64(len(some)))
	m := Measure{(some[(len(some)-1)/2] + some[len(some)/2]) / 2, math.NaN()}
	if len(some) > 1 {
		m.Error = (at(0.5+step) - at(0.5-step)) / 2
	}
	return m
}

// strata returns the coverage of a row's corrected interval by the classes of
// the benches and by the reverse plateau.
func strata(benches []benchRecord, row int, f Factor, classes []string) []Stratum {
	var names []string
	byClass := make(map[string][]benchRecord)
	byHeight := make([][]benchRecord, len(plateauNames))
	for k, b := range benches {
		if name := classes[k]; name != "" {
			if byClass[name] == nil {
				names = append(names, name)
			}
			byClass[name] = append(byClass[name], b)
		}
		if i, ok := byPlateau(b.sessions[0].seen); ok {
			byHeight[i] = append(byHeight[i], b)
		}
	}
	slices.Sort(names)
	var out []Stratum
	add := func(by, name string, some []benchRecord) {
		if share, n := coverage(ratios(some, row), f); n > 0 {
			out = append(out, Stratum{by, name, n, share})
		}
	}
	for _, name := range names {
		add(ByGeometry, name, byClass[name])
	}
	for i, name := range plateauNames {
		add(ByPlateau, name, byHeight[i])
	}
	return out
}

// classes returns the geometries of benches in words, empty where all benches
// have the same.
func (s Study) classes(benches []benchRecord) []string {
	names := make([]string, len(benches))
	if s.Population.Fixed() {
		return names
	}
	for i, b := range benches {
		if a, _, err := sim.DrawBench(s.Population, s.Seed, b.index); err == nil {
			names[i] = geometryName(a.Geometry)
		}
	}
	return names
}

// geometryName returns the kind of a geometry, with what lies inside where it
// tells.
func geometryName(g physics.Geometry) string {
	ratio := math.NaN()
	switch g := g.(type) {
	case physics.Spheres:
		if g.RadiusRatio == 1 {
			return "planes"
		}
		ratio = g.RadiusRatio
	case physics.Cylinders:
		ratio = g.RadiusRatio
	}
	_, kind, _ := strings.Cut(fmt.Sprintf("%T", g), ".")
	kind = strings.ToLower(kind)
	switch {
	case ratio < 1:
		return kind + ", emitter inside"
	case ratio > 1:
		return kind + ", collector inside"
	}
	return kind
}

// What divides a population into strata.
const (
	ByGeometry = "geometry"
	ByPlateau  = "reverse plateau over the current at 0 V"
)

// choose picks the row of the least loss on the first third among candidates that
// qualify, and says on the last third which cannot be told from it.
func choose(rows []Row, candidates []int, draws resamples) Choice {
	var able []int
	for _, i := range candidates {
		if rows[i].Correction.Qualifies() {
			able = append(able, i)
		}
	}
	if len(able) == 0 {
		return Choice{Row: -1}
	}
	best := slices.MinFunc(able, func(a, b int) int {
		return cmp.Compare(rows[a].Correction.chosen, rows[b].Correction.chosen)
	})
	c := Choice{Row: best}
	var rivals []int
	var ps []float64
	for _, i := range able {
		if i != best {
			rivals = append(rivals, i)
			ps = append(ps, draws.compare(rows[i].Correction.losses, rows[best].Correction.losses).p())
		}
	}
	for k, different := range holm(ps, familyLevel) {
		if !different {
			c.Equals = append(c.Equals, rivals[k])
		}
	}
	return c
}

// rank orders the rows that qualify by their loss.
func rank(rows []Row, draws resamples) []Rank {
	var ranking []Rank
	for i, r := range rows {
		if r.Correction.Qualifies() && !math.IsNaN(r.Correction.Loss.Value) {
			ranking = append(ranking, Rank{Row: i, Gap: unknown, P: math.NaN()})
		}
	}
	slices.SortStableFunc(ranking, func(a, b Rank) int {
		return cmp.Compare(rows[a.Row].Correction.Loss.Value, rows[b.Row].Correction.Loss.Value)
	})
	var ps []float64
	for k := 1; k < len(ranking); k++ {
		p := draws.compare(rows[ranking[k].Row].Correction.losses, rows[ranking[k-1].Row].Correction.losses)
		ranking[k].Gap, ranking[k].P, ranking[k].N = p.Gap, p.p(), p.Benches
		ps = append(ps, ranking[k].P)
	}
	for k, different := range holm(ps, familyLevel) {
		ranking[k+1].Significant = different
	}
	return ranking
}

// reason says why a row is passed over for a choice.
func reason(rows []Row, i int, c Choice) Reason {
	a := rows[i].Correction.Answered
	switch {
	case a.Experiments == 0:
		return Reason{Kind: TooFewBenches}
	case !enough(a.Answers, a.Experiments):
		return Reason{Kind: SeldomAnswers, Share: float64(a.Answers) / float64(a.Experiments)}
	case !keeps(a.Lost, a.Answers):
		return Reason{Kind: LosesSettings, Lost: float64(a.Lost) / float64(a.Answers)}
	case c.Row < 0:
		return Reason{Kind: TooFewBenches}
	}
	r := Reason{Kind: ErrsMore, Loss: rows[i].Correction.Loss.Value, Best: rows[c.Row].Correction.Loss.Value, Than: rows[c.Row].Method}
	switch {
	case slices.Contains(c.Equals, i):
		r.Kind = NotToldApart
	case r.Loss < r.Best:
		r.Kind = ErredMore
	}
	return r
}

// judge fills what the verdict says of the rows.
func (r *Result) judge(benches []benchRecord, s Study) {
	correct(r.Rows, benches, s.classes(third(benches, reporting)))
	last := len(third(benches, reporting))
	if last == 0 {
		r.ByHand, r.ByComputer = Choice{Row: -1}, Choice{Row: -1}
		return
	}
	draws := newResamples(last, s.Seed)
	var byHand, byComputer []int
	for i, row := range r.Rows {
		if row.ByHand {
			byHand = append(byHand, i)
		}
		if row.Fit != HandLine {
			byComputer = append(byComputer, i)
		}
	}
	r.ByHand, r.ByComputer = choose(r.Rows, byHand, draws), choose(r.Rows, byComputer, draws)
	r.Ranking = rank(r.Rows, draws)
	for i := range r.Rows {
		row := &r.Rows[i]
		row.Qualifies = row.Correction.Qualifies()
		if c := r.choiceFor(*row); c.Row != i {
			row.Reasons = append(row.Reasons, reason(r.Rows, i, c))
		}
	}
}

// choiceFor returns the choice that a row competes for: by hand if it is a
// person's reading, else by computer.
func (r *Result) choiceFor(row Row) Choice {
	if row.ByHand {
		return r.ByHand
	}
	return r.ByComputer
}

// BestOf returns the index of the row of a method with the least loss on the
// first third of the benches among those that want says, -1 for none. It prefers
// rows that qualify.
func (r Result) BestOf(method string, want func(Row) bool) int {
	best := -1
	better := func(a, b Row) bool {
		if a.Qualifies != b.Qualifies {
			return a.Qualifies
		}
		x, y := a.Correction.chosen, b.Correction.chosen
		return x < y || math.IsNaN(y) && !math.IsNaN(x)
	}
	for i, row := range r.Rows {
		if row.Method == method && want(row) && (best < 0 || better(row, r.Rows[best])) {
			best = i
		}
	}
	return best
}

// String names the row.
func (r Row) String() string { return r.Method + ", " + r.Fit }
