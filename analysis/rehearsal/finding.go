package rehearsal

import (
	"cmp"
	"math"
	"slices"
)

// A Finding is one thing that the debrief says of the work or of the ideas
// behind it, with the readings that show it.
type Finding struct {
	// Name is its word in tables, and Idea says that it is one of the ideas.
	Name string
	Idea bool
	// Readings are indices of the logbook's; Pages those of its pages.
	Readings, Pages []int
	// Amount is a number that the words of the finding use, and Agree says that
	// it is within twice its stated standard uncertainty.
	Amount float64
	Agree  bool
}

// A check looks for one finding.
type check struct {
	name string
	look func(*Rehearsal) (f Finding, found bool)
	// shown says that a reading or an action shows the work to have been done, so
	// that nothing found is something done well: nothing done is not.
	shown func(*Rehearsal) bool
}

// checks are those of the work, in the order of the debrief. To add one, write
// its function, its line here with what shows that the work was done, and its words
// in each language.
var checks = []check{
	{"no-dark", noDark, (*Rehearsal).darkRead},
	{"not-zeroed", notZeroed, (*Rehearsal).allZeroed},
	{"zeroed-lit", zeroedLit, (*Rehearsal).zeroedDark},
	{"beyond-range", beyondRange, (*Rehearsal).currentRead},
	{"coarse-range", coarseRange, (*Rehearsal).lineRead},
	{"hurried", hurried, (*Rehearsal).lineRead},
	{"cold-lamp", coldLamp, (*Rehearsal).sawLight},
	{"few-at-knee", fewAtKnee, (*Rehearsal).readCutoff},
	{"wrong-filter", wrongFilter, (*Rehearsal).sawLight},
	{"last-point", lastPoint, (*Rehearsal).readCutoff},
	{"many-rules", manyRules, (*Rehearsal).twoCutoffs},
	{"no-uncertainty", noUncertainty, (*Rehearsal).oneCutoff},
	{"changed-after", changedAfter, (*Rehearsal).committed},
	{"struck-many", struckMany, (*Rehearsal).wroteMany},
}

// Checks returns the names of the checks of the work.
func Checks() []string {
	var names []string
	for _, c := range checks {
		names = append(names, c.name)
	}
	return names
}

// Findings returns what there is to say of the work, and then of the ideas.
func (r *Rehearsal) Findings() []Finding {
	var found []Finding
	for _, c := range checks {
		if f, ok := c.look(r); ok {
			f.Name = c.name
			found = append(found, f)
		}
	}
	for _, q := range Questions() {
		answers := r.book.Answers[q.Name]
		if q.Idea == "" || len(answers) == 0 || answers[len(answers)-1].Choice != q.Wrong {
			continue
		}
		f := Finding{Name: q.Idea, Idea: true}
		f.Readings, f.Pages, f.Amount = r.evidence(q.Idea)
		f.Agree = len(f.Pages) == 2 && q.Idea == "brighter-is-larger" && r.agree(f.Pages[0], f.Pages[1])
		found = append(found, f)
	}
	return found
}

// counts reports whether neither a reading was struck out nor its page set aside.
func (r *Rehearsal) counts(x Reading) bool { return x.Counts() && r.head(x).Counts() }

// where returns the indices of the readings that count and are such.
func (r *Rehearsal) where(such func(Reading) bool) []int {
	var at []int
	for i, x := range r.book.Readings {
		if r.counts(x) && such(x) {
			at = append(at, i)
		}
	}
	return at
}

// head returns the page of a reading.
func (r *Rehearsal) head(x Reading) Page { return r.book.Pages[x.Page] }

// ofLine reports whether a reading is one of light, of the current, at the first
// bench.
func (r *Rehearsal) ofLine(x Reading) bool {
	p := r.head(x)
	return !p.Dark() && !p.Floating && p.Bench == 0
}

// noDark: nothing was read with the shutter closed. The first reading with light
// shows what is missing before it.
func noDark(r *Rehearsal) (Finding, bool) {
	lit := r.where(func(x Reading) bool { return r.ofLine(x) })
	if len(lit) == 0 || r.has(func(x Reading) bool { return !x.Controls.Shutter && r.head(x).Bench == 0 }) {
		return Finding{}, false
	}
	return Finding{Readings: lit[:1]}, true
}

// notZeroed: light was read, at either bench, on a range that was never zeroed.
func notZeroed(r *Rehearsal) (Finding, bool) {
	at := r.where(func(x Reading) bool { return !r.head(x).Dark() && !x.Controls.Floating && !x.Nulled })
	return Finding{Readings: at, Amount: float64(len(at))}, len(at) > 0
}

// zeroedLit: the meter was zeroed while light fell on the cell.
func zeroedLit(r *Rehearsal) (Finding, bool) {
	at := r.where(func(x Reading) bool { return r.ofLine(x) && x.Nulled })
	d := r.desks[0]
	return Finding{Readings: at[:min(1, len(at))]}, d.nulledLit && len(at) > 0
}

func beyondRange(r *Rehearsal) (Finding, bool) {
	at := r.where(func(x Reading) bool { return !r.head(x).Floating && x.Flags != 0 })
	return Finding{Readings: at, Amount: float64(len(at))}, len(at) > 0
}

// coarseShare is the part of the full scale below which a finer range would tell
// more, if there is one that holds the current.
const coarseShare = 0.05

// coarseRange: small currents were read on a range whose last digit is large
// against them.
func coarseRange(r *Rehearsal) (Finding, bool) {
	ranges := r.desks[0].ranges
	at := r.where(func(x Reading) bool {
		i := x.Controls.Range
		if !r.ofLine(x) || i == 0 || math.IsInf(ranges[i].Highest, 0) {
			return false
		}
		// The next range, at least, would have held it and told it better.
		finer := ranges[i-1]
		held := x.Current < 0.5*finer.Highest && x.Current > 0.5*finer.Lowest
		return held && math.Abs(x.Current) < coarseShare*x.FullScale && math.Abs(x.Current) < 20*ranges[i].Resolution
	})
	return Finding{Readings: at, Amount: float64(len(at))}, len(at) > 0
}

// unsettled reports whether a reading was written before the meter had come to
// rest: what is left of the change is more than its uncertainty and more than a
// hundredth of the reading.
func unsettled(x Reading) bool {
	return math.Abs(x.Lag) > 2*x.Uncertainty && math.Abs(x.Lag) > 0.01*math.Abs(x.Current)
}

func hurried(r *Rehearsal) (Finding, bool) {
	at := r.where(func(x Reading) bool { return r.ofLine(x) && unsettled(x) })
	return Finding{Readings: at, Amount: float64(len(at))}, len(at) > 0
}

// warmShare is the part of the lamp's power that may be lacking without harm.
const warmShare = 0.02

func coldLamp(r *Rehearsal) (Finding, bool) {
	at := r.where(func(x Reading) bool { return r.ofLine(x) && x.Controls.Shutter && x.Lack > warmShare })
	var most float64
	for _, i := range at {
		most = max(most, r.book.Readings[i].Lack)
	}
	return Finding{Readings: at, Amount: 100 * most}, len(at) > 0
}

// kneeWidth is the width in V of what is looked at closely, below a cutoff and a
// little above, and fewAtAKnee the number of readings that show its form.
const kneeBelow, kneeAbove, enoughAtKnee = 0.25, 0.10, 5

// fewAtKnee: there are too few readings where the curve bends to say where it
// ends.
func fewAtKnee(r *Rehearsal) (Finding, bool) {
	var f Finding
	f.Amount = math.Inf(1)
	for i, p := range r.book.Pages {
		c, ok := p.Cutoff()
		if !ok || p.Floating || p.Bench != 0 {
			continue
		}
		var at []int
		for _, k := range p.Readings {
			x := r.book.Readings[k]
			if x.Counts() && x.Retarding >= c.Stopping-kneeBelow && x.Retarding <= c.Stopping+kneeAbove {
				at = append(at, k)
			}
		}
		if len(at) < enoughAtKnee {
			f.Pages, f.Readings = append(f.Pages, i), append(f.Readings, at...)
			f.Amount = min(f.Amount, float64(len(at)))
		}
	}
	return f, len(f.Pages) > 0
}

// wrongFilter: the page says another light than the one in the holder.
func wrongFilter(r *Rehearsal) (Finding, bool) {
	at := r.where(func(x Reading) bool {
		p := r.head(x)
		switch {
		case p.Dark():
			return x.Controls.Shutter
		case !x.Controls.Shutter:
			return false
		}
		return p.Wavelength != r.setup.Apparatus.Lights[x.Controls.Filter].Nominal || p.Transmission != x.Controls.Transmission
	})
	return Finding{Readings: at, Amount: float64(len(at))}, len(at) > 0
}

// lastPoint: the cutoff lies at the last reading or beyond, where nothing shows
// that the current has ended.
func lastPoint(r *Rehearsal) (Finding, bool) {
	var f Finding
	for i, p := range r.book.Pages {
		c, ok := p.Cutoff()
		if !ok || p.Floating || p.Bench != 0 || len(p.Readings) == 0 {
			continue
		}
		last := slices.MaxFunc(p.Readings, func(a, b int) int {
			return cmp.Compare(r.book.Readings[a].Retarding, r.book.Readings[b].Retarding)
		})
		if c.Stopping >= r.book.Readings[last].Retarding-1e-9 {
			f.Pages, f.Readings = append(f.Pages, i), append(f.Readings, last)
		}
	}
	return f, len(f.Pages) > 0
}

// manyRules: the lines were read by different rules, so that the rules' own
// shifts went into the slope.
func manyRules(r *Rehearsal) (Finding, bool) {
	var rules []string
	pages := r.linePages()
	for _, i := range pages {
		c, _ := r.book.Pages[i].Cutoff()
		rules = append(rules, c.Rule)
	}
	slices.Sort(rules)
	rules = slices.Compact(rules)
	return Finding{Pages: pages, Readings: r.ends(pages), Amount: float64(len(rules))}, len(rules) > 1
}

// ends returns the reading nearest to the cutoff of each page.
func (r *Rehearsal) ends(pages []int) []int {
	var at []int
	for _, i := range pages {
		p := r.book.Pages[i]
		c, ok := p.Cutoff()
		if !ok || len(p.Readings) == 0 {
			continue
		}
		at = append(at, slices.MinFunc(p.Readings, func(a, b int) int {
			return cmp.Compare(math.Abs(r.book.Readings[a].Retarding-c.Stopping), math.Abs(r.book.Readings[b].Retarding-c.Stopping))
		}))
	}
	return at
}

func noUncertainty(r *Rehearsal) (Finding, bool) {
	var pages []int
	for _, i := range r.linePages() {
		if c, _ := r.book.Pages[i].Cutoff(); c.U == 0 {
			pages = append(pages, i)
		}
	}
	return Finding{Pages: pages, Readings: r.ends(pages), Amount: float64(len(pages))}, len(pages) > 0
}

// changedAfter: cutoffs were changed after h/e had been seen.
func changedAfter(r *Rehearsal) (Finding, bool) {
	var pages []int
	if r.book.Committed > 0 {
		for i, p := range r.book.Pages {
			changed := slices.ContainsFunc(p.Cutoffs, func(c Cutoff) bool { return c.Why != "" })
			// What was set aside before, was not handed in.
			if !p.Counts() {
				changed = len(p.Cutoffs) > 0 && p.Aside.At >= r.book.Committed
			}
			// The pages of the second bench were never handed in.
			if changed && p.Bench == 0 {
				pages = append(pages, i)
			}
		}
	}
	return Finding{Pages: pages, Readings: r.ends(pages), Amount: float64(len(pages))}, len(pages) > 0
}

// manyStruck is the part of the readings that may be struck out before it is
// worth a word.
const manyStruck = 0.1

func struckMany(r *Rehearsal) (Finding, bool) {
	var at []int
	for i, x := range r.book.Readings {
		if !x.Counts() {
			at = append(at, i)
		}
	}
	return Finding{Readings: at, Amount: float64(len(at))}, float64(len(at)) > manyStruck*float64(len(r.book.Readings))
}

// evidence returns the readings, the pages and a number that speak of an idea.
func (r *Rehearsal) evidence(idea string) (readings, pages []int, amount float64) {
	switch idea {
	case "zero-is-nothing":
		return r.nearestToZero()
	case "range-is-physics":
		return r.aroundRangeChange()
	case "negative-is-fault":
		at := r.where(func(x Reading) bool { return r.ofLine(x) && x.Controls.Shutter && x.Current < 0 })
		return at, nil, float64(len(at))
	case "brighter-is-larger":
		return r.dimmed()
	}
	// The other ideas are about the line, which the cutoffs show.
	pages = r.linePages()
	return r.ends(pages), pages, float64(len(pages))
}

// nearestToZero returns the reading with light that is nearest to zero, and how
// many electrons a second still cross the cell towards the collector there.
func (r *Rehearsal) nearestToZero() (readings, pages []int, amount float64) {
	at := r.where(func(x Reading) bool { return r.ofLine(x) && x.Controls.Shutter && x.Controls.Lamp })
	if len(at) == 0 {
		return nil, nil, 0
	}
	least := slices.MinFunc(at, func(a, b int) int {
		return cmp.Compare(math.Abs(r.book.Readings[a].Current), math.Abs(r.book.Readings[b].Current))
	})
	return []int{least}, nil, r.arriving(r.book.Readings[least])
}

// aroundRangeChange returns two readings in a row on different ranges.
func (r *Rehearsal) aroundRangeChange() (readings, pages []int, amount float64) {
	for i := 1; i < len(r.book.Readings); i++ {
		a, b := r.book.Readings[i-1], r.book.Readings[i]
		if a.Page == b.Page && a.Controls.Range != b.Controls.Range {
			return []int{i - 1, i}, []int{a.Page}, math.Abs(b.Current - a.Current)
		}
	}
	return nil, nil, 0
}

// dimmed returns the pages of one wavelength in full and in dimmed light with
// the readings nearest to their cutoffs, and by how much the cutoffs differ in
// V.
func (r *Rehearsal) dimmed() (readings, pages []int, amount float64) {
	for i, p := range r.book.Pages {
		low, ok := p.Cutoff()
		if !ok || p.Transmission == 1 || p.Dark() {
			continue
		}
		for k, full := range r.book.Pages {
			high, ok := full.Cutoff()
			if ok && full.Transmission == 1 && full.Wavelength == p.Wavelength && full.Bench == p.Bench {
				pages = []int{k, i}
				return r.ends(pages), pages, high.Stopping - low.Stopping
			}
		}
	}
	return nil, nil, 0
}

// agree reports whether the cutoffs of two pages differ by no more than twice the
// standard uncertainty of their difference.
func (r *Rehearsal) agree(i, k int) bool {
	a, _ := r.book.Pages[i].Cutoff()
	b, _ := r.book.Pages[k].Cutoff()
	return math.Abs(a.Stopping-b.Stopping) <= 2*math.Hypot(a.U, b.U)*(1+1e-9)
}
