package words

import (
	"fmt"
	"math"
	"strings"

	"stopvolt/analysis/study"
)

// A Verdict is what a study says to whoever has to read cutoffs.
type Verdict struct {
	// Population is the name of the population, and One says that it is one bench.
	Population string
	One        bool
	// Within is the relative error that is asked for.
	Within float64
	Result study.Result
	// Elsewhere are studies in little of other populations, and Tails what makes
	// the far ends of a row's range, by row.
	Elsewhere []study.Elsewhere
	Tails     map[int]study.Tail
}

// Paragraphs returns the verdict, the conclusion of each use first.
func (v Verdict) Paragraphs() []string {
	return append(v.use("By hand", "by hand", v.Result.ByHand), v.use("By computer", "by computer", v.Result.ByComputer)...)
}

// Findings returns the verdict in a sentence or two for each use.
func (v Verdict) Findings() []string {
	var all []string
	for _, u := range []struct {
		use string
		c   study.Choice
	}{{"By hand", v.Result.ByHand}, {"By computer", v.Result.ByComputer}} {
		all = append(all, v.conclusion(u.use, u.c))
		if u.c.Row >= 0 && !math.IsNaN(v.Result.Rows[u.c.Row].Correction.Factor.Median) {
			all = append(all, v.toWrite(v.Result.Rows[u.c.Row].Correction.Factor))
		}
	}
	return all
}

// use returns the paragraphs about one use.
func (v Verdict) use(use, short string, c study.Choice) []string {
	all := []string{v.conclusion(use, c)}
	if c.Row < 0 {
		return all
	}
	row := v.Result.Rows[c.Row]
	f := row.Correction.Factor
	if math.IsNaN(f.Median) {
		return all
	}
	all = append(all, v.toWrite(f))
	for _, text := range []string{v.check(row), v.tail(c.Row), v.elsewhere(c.Row), v.within(short, c.Row)} {
		if text != "" {
			all = append(all, text)
		}
	}
	return all
}

// conclusion names the method for a use.
func (v Verdict) conclusion(use string, c study.Choice) string {
	if c.Row < 0 {
		if v.Result.Benches < 3 {
			return use + ": there are too few benches to choose a method by."
		}
		return use + ": none of the methods compared has an answer often enough to be recommended."
	}
	row := v.Result.Rows[c.Row]
	text := fmt.Sprintf("%s: take %s, %s. Corrected, half of the experiments err by less than %s", use, row.Method, lineWords(row.Fit), percent(row.Correction.Loss.Value, "%.2g"))
	if len(c.Equals) > 0 {
		var names []string
		for _, i := range c.Equals {
			names = append(names, fmt.Sprintf("%s (%s)", v.Result.Rows[i].Method, v.Result.Rows[i].Fit))
		}
		text += "; not told apart from it: " + strings.Join(names, ", ")
	}
	return text + "."
}

// Reading names a method and says how its line is put.
func Reading(method, fit string) string { return method + ", " + lineWords(fit) }

// lineWords says how a line is put.
func lineWords(fit string) string {
	switch fit {
	case study.HandLine:
		return "with the line drawn by hand"
	case "joint":
		return "which puts its own line"
	}
	return "with the " + fit + " line"
}

// toWrite says what to write down.
func (v Verdict) toWrite(f study.Factor) string {
	what, of, from := "reading and bench", "of benches", "population "+v.Population
	if v.One {
		what, of, from = "reading", "of experiments", "bench "+v.Population
	}
	digits := digitsOf(f)
	in := func(x float64) string { return decimals(x, digits) }
	ranges := fmt.Sprintf("two thirds %s %s to %s, 95 %% %s to %s", of, in(f.LikelyLow), in(f.LikelyHigh), in(f.Low), in(f.High))
	switch {
	case math.IsNaN(f.LikelyLow):
		ranges = "too few benches for a range"
	case math.IsNaN(f.Low):
		ranges = fmt.Sprintf("two thirds %s %s to %s; too few benches for a 95 %% range", of, in(f.LikelyLow), in(f.LikelyHigh))
	}
	return fmt.Sprintf("Write down the h/e that you read, with its scatter, and then: \"corrected for %s by %s (%s), from simulation, %s\". Never the corrected value alone.",
		what, in(f.Median), ranges, from)
}

// factor writes a factor to two decimals.
func factor(x float64) string { return decimals(x, 2) }

// decimals writes a factor; one without end says so.
func decimals(x float64, digits int) string {
	if math.IsInf(x, 1) {
		return "without end"
	}
	if x >= 10 {
		return fmt.Sprintf("%.3g", x)
	}
	return fmt.Sprintf("%.*f", digits, x)
}

// digitsOf returns as many decimals as tell the ends of a factor's range apart, two
// or more.
func digitsOf(f study.Factor) int {
	width := f.LikelyHigh - f.LikelyLow
	if !(width > 0) || math.IsInf(width, 0) {
		return 2
	}
	return min(max(1-int(math.Floor(math.Log10(width))), 2), 6)
}

// check says how often the range held the truth on benches that had no part in
// it.
func (v Verdict) check(row study.Row) string {
	m := row.Correction.Coverage
	if math.IsNaN(m.Value) {
		return ""
	}
	text := fmt.Sprintf("In %s of the experiments on the benches kept for this check the 95 %% range held the truth", withError(m))
	worst := -1
	for i, s := range row.Correction.Strata {
		if !(s.Benches < fewestOfStratum) && (worst < 0 || s.Coverage.Value < row.Correction.Strata[worst].Coverage.Value) {
			worst = i
		}
	}
	if worst >= 0 && len(row.Correction.Strata) > 1 {
		s := row.Correction.Strata[worst]
		text += fmt.Sprintf(", least of all in %s (%s: %s; %d benches)", withError(s.Coverage), s.By, s.Name, s.Benches)
	}
	stated := row.HOverE.Coverage.Value
	if !math.IsNaN(stated) {
		text += fmt.Sprintf("; the interval that the line itself states holds it in %s", percent(stated, "%.0f"))
	}
	return text + "."
}

// fewestOfStratum is the number of benches below which a part of the population
// tells nothing.
const fewestOfStratum = 30

// withError writes a share and its error in per cent.
func withError(m study.Measure) string {
	if math.IsNaN(m.Error) {
		return percent(m.Value, "%.1f")
	}
	return fmt.Sprintf("%.1f ± %.1f %%", 100*m.Value, 100*m.Error)
}

// tail says which property of a bench makes the far ends, and how to find out
// whether one's own has it.
func (v Verdict) tail(row int) string {
	t, ok := v.Tails[row]
	if !ok {
		return ""
	}
	p := PropertyOf(t.Variable.Key)
	return fmt.Sprintf("The far ends come from benches with %s. On the benches kept for this check, which are others than those of the range above, the 95 %% range "+
		"is %s to %s for all, and %s to %s for the %s without. %s",
		p.beyond(t), factor(t.All.Low), factor(t.All.High), factor(t.Kept.Low), factor(t.Kept.High), percent(t.Share, "%.0f"), p.FindOut)
}

// elsewhere says what becomes of the choice where patches and coatings are half
// and double.
func (v Verdict) elsewhere(row int) string {
	var parts []string
	depends := false
	for _, e := range v.Elsewhere {
		c := e.Result.ByComputer
		if v.Result.Rows[row].ByHand {
			c = e.Result.ByHand
		}
		name := fmt.Sprintf("%g times", e.Scale)
		switch e.Scale {
		case 0.5:
			name = "half"
		case 2:
			name = "double"
		}
		if c.Row < 0 {
			parts = append(parts, fmt.Sprintf("with %s the patches and coatings none can be recommended", name))
			continue
		}
		other := e.Result.Rows[c.Row]
		f := e.Result.Rows[row].Correction.Factor
		text := fmt.Sprintf("with %s the patches and coatings the factor is %s", name, factor(f.Median))
		if !math.IsNaN(f.LikelyLow) {
			text += fmt.Sprintf(" (two thirds %s to %s)", factor(f.LikelyLow), factor(f.LikelyHigh))
		}
		if c.Row != row {
			text += fmt.Sprintf(" and %s, %s, errs least", other.Method, other.Fit)
			if e.Keeps(row) {
				text += ", not told apart"
			} else {
				depends = true
			}
		}
		parts = append(parts, text)
	}
	if len(parts) == 0 {
		return ""
	}
	text := "Of what nobody sees on a cell: " + strings.Join(parts, "; ") + "."
	if depends {
		text += " The choice of the method depends on the population."
	}
	return text
}

// within says whether the range is as narrow as was asked for, and what would
// help where it is not.
func (v Verdict) within(short string, row int) string {
	f := v.Result.Rows[row].Correction.Factor
	width := f.HalfWidth()
	if math.IsNaN(width) {
		return ""
	}
	if width <= v.Within {
		return fmt.Sprintf("The 95 %% range is %s to either side, within the %s asked for.", percent(width, "± %.2g"), percent(v.Within, "%.2g"))
	}
	text := "wide open"
	if !math.IsInf(width, 0) {
		text = percent(width, "± %.2g") + " wide"
	}
	text = fmt.Sprintf("The 95 %% range is %s, and %s was asked for", text, percent(v.Within, "± %.2g"))
	narrow := v.narrowest(row)
	if narrow >= 0 {
		return text + fmt.Sprintf(": %s, %s, whose corrected error is larger in the middle, has %s.", v.Result.Rows[narrow].Method, v.Result.Rows[narrow].Fit,
			percent(v.Result.Rows[narrow].Correction.Factor.HalfWidth(), "± %.2g"))
	}
	ruleOut := ""
	if _, ok := v.Tails[row]; ok {
		ruleOut = "rule the far ends out as said above; "
	}
	return text + fmt.Sprintf(": none of the methods compared %s is good to that on 95 %% of such benches. What would help: %snarrow the population by a run of your own bench (stopvolt match); see what to change at the bench (stopvolt budget).", short, ruleOut)
}

// narrowest returns the row of the same use that qualifies and has the narrowest
// range within what is asked for, -1 for none.
func (v Verdict) narrowest(row int) int {
	best := -1
	for i, r := range v.Result.Rows {
		width := r.Correction.Factor.HalfWidth()
		if r.ByHand != v.Result.Rows[row].ByHand || !r.Qualifies || !(width <= v.Within) {
			continue
		}
		if best < 0 || width < v.Result.Rows[best].Correction.Factor.HalfWidth() {
			best = i
		}
	}
	return best
}

// PassedOver says in a line for each method why it is not the recommended one: of
// the readings by hand, and of those by computer, each with its best line.
func (v Verdict) PassedOver() []Remarks {
	var said []Remarks
	for _, u := range []struct {
		heading string
		hand    bool
		c       study.Choice
	}{{"Passed over by hand", true, v.Result.ByHand}, {"Passed over by computer", false, v.Result.ByComputer}} {
		r := Remarks{Heading: u.heading}
		for _, method := range v.methods() {
			i := v.Result.BestOf(method, func(row study.Row) bool { return row.ByHand == u.hand })
			if i < 0 || i == u.c.Row || u.c.Row >= 0 && method == v.Result.Rows[u.c.Row].Method {
				continue
			}
			row := v.Result.Rows[i]
			for _, reason := range row.Reasons {
				r.Lines = append(r.Lines, fmt.Sprintf("%s, %s: %s", row.Method, row.Fit, reason))
			}
		}
		if len(r.Lines) > 0 {
			said = append(said, r)
		}
	}
	return said
}

// methods returns the names of the methods in their order.
func (v Verdict) methods() []string {
	var names []string
	for _, row := range v.Result.Rows {
		if len(names) == 0 || names[len(names)-1] != row.Method {
			names = append(names, row.Method)
		}
	}
	return names
}

// Rules are those by which the verdict was found.
func (v Verdict) Rules() string {
	return fmt.Sprintf("How this was found: a third of the benches, told by their numbers, chose the method, another gave its factor, and the last was kept "+
		"for the checks. Recommended is the method of the least median error after correction among those that answer in 90 %% of the "+
		"experiments and leave out one setting of the light at the most, on the average; ties are told by paired differences, resampled by bench, with "+
		"Holm's correction. The factor is true over read; its ranges are order statistics and hold the scatter too. Two experiments were done at each bench, with "+
		"the voltage grid wherever it fell. By hand means a person at graph paper, who calls another stretch straight (two thirds to one and a half of the usual), "+
		"is off by half a millimetre on 180, rounds, and leans by up to a tenth of the way towards the book's h/e: judgements, not measurements. Asked for is %s.",
		percent(v.Within, "± %.2g"))
}

// WithError writes a relative measure and its error in per cent.
func WithError(m study.Measure) string {
	if math.IsNaN(m.Value) {
		return "-"
	}
	if math.IsNaN(m.Error) {
		return fmt.Sprintf("%+.2f %%", 100*m.Value)
	}
	return fmt.Sprintf("%+.2f ± %.2f %%", 100*m.Value, 100*m.Error)
}

// percent writes a fraction in per cent.
func percent(x float64, format string) string {
	if math.IsNaN(x) {
		return "-"
	}
	return fmt.Sprintf(format+" %%", 100*x)
}
