package knee

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"

	"stopvolt/instrument"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/sim"
)

// A Build says which knee is built up, and how finely.
type Build struct {
	// Apparatus is the bench as it is, and Setting the index of its light.
	Apparatus instrument.Apparatus
	Setting   int
	// Seed names the random streams of the electrons and of the readings.
	Seed uint64
	// Electrons is the number drawn for a histogram of energies, at least one.
	Electrons int
	// Points is the number of voltages of a curve, at least two.
	Points int
}

// Steps are the curve of one setting from the textbook's corner to the bench.
//
// The corner is the curve of the apparatus without any of its effects: a cold
// emitter, light of one wavelength, electrons that leave straight, and a
// collector of the emitter's work function. Such an emitter still gives electrons of every energy E from zero to Em = hv - phi,
// with the density 2E/Em^2, since light reaches electrons at every depth of the
// band. So the corner is no vertical step, which would need all electrons to
// have the energy Em: the current falls as 1 - (B/Em)^2 with the barrier B, and
// meets zero at an angle, at Em; the contact potential then moves it to the true
// cutoff.
type Steps struct {
	// Light is the setting as the bench has it.
	Light instrument.Light
	// Truth is the true stopping voltage in V, and Limit is Em in eV.
	Truth, Limit float64
	// Steps has at least two entries: the corner and the bench.
	Steps []Step
	// Run is that of the session whose readings the last step has.
	Run run.Run
}

// A Step is the curve after one more cause.
type Step struct {
	// Effects are what is added; none for the corner.
	Effects []instrument.EffectID
	// Apparatus has the effects so far.
	Apparatus instrument.Apparatus
	// V are retarding voltages in V, rising, and I the mean currents in A.
	V, I []float64
	// AtTruth is the mean current in A at the true cutoff.
	AtTruth float64
	// Readings are those of one session on the bench; only the last step has
	// them.
	Readings []run.Reading
	// Energies is the histogram of the electrons on leaving the emitter; nil
	// where the step leaves it as it was.
	Energies *Energies
}

// At returns the mean current in A at a retarding voltage in V within the curve,
// between its voltages on a straight line.
func (s Step) At(retarding float64) float64 {
	i := min(max(sort.SearchFloat64s(s.V, retarding), 1), len(s.V)-1)
	t := (retarding - s.V[i-1]) / (s.V[i] - s.V[i-1])
	return s.I[i-1] + t*(s.I[i]-s.I[i-1])
}

// Zero returns the least retarding voltage in V at which the mean current passes
// from above zero to below; ok is false where it does not within the curve.
func (s Step) Zero() (retarding float64, ok bool) {
	for i := 1; i < len(s.V); i++ {
		if above, below := s.I[i-1], s.I[i]; above > 0 && below < 0 {
			return s.V[i-1] + (s.V[i]-s.V[i-1])*above/(above-below), true
		}
	}
	return math.NaN(), false
}

// Steps builds the knee up. Effects that the apparatus lacks are skipped, and
// those that do not change the mean current so that it can be seen come
// together as the last step, with the readings. The error says what cannot be
// prepared.
func (b Build) Steps() (Steps, error) {
	if err := b.check(); err != nil {
		return Steps{}, err
	}
	light := b.Apparatus.Lights[b.Setting]
	s := Steps{
		Light: light,
		Truth: sim.TruthOf(b.Apparatus).Stopping[b.Setting],
		Limit: physics.PhotonEnergy(b.Apparatus.World.HOverE, light.Nominal) - b.Apparatus.Emitter.WorkFunction,
	}
	todo := ordered(instrument.Present(b.Apparatus))
	w := way{b.Setting, sim.OnlyOnce(physics.Quadrature{}), b.voltages(s.Truth, s.Limit), s.Truth}
	corner, err := w.step(without(b.Apparatus, todo))
	if err != nil {
		return Steps{}, fmt.Errorf("without any effect: %w", err)
	}
	s.Steps = []Step{corner}
	var waiting []instrument.EffectID
	for len(todo) > 0 {
		added := todo[0].ID
		todo = todo[1:]
		next, err := w.step(without(b.Apparatus, todo))
		if err != nil {
			return Steps{}, fmt.Errorf("after adding %s: %w", added, err)
		}
		if !visible(s.Steps[len(s.Steps)-1].I, next.I) {
			waiting = append(waiting, added)
			continue
		}
		next.Effects = []instrument.EffectID{added}
		s.Steps = append(s.Steps, next)
	}
	bench, err := w.step(b.Apparatus)
	if err != nil {
		return Steps{}, err
	}
	bench.Effects = waiting
	if s.Run, err = b.Session(b.Apparatus); err != nil {
		return Steps{}, err
	}
	if bench.Readings, err = readings(s.Run, light.Name); err != nil {
		return Steps{}, err
	}
	s.Steps = append(s.Steps, bench)
	return s, b.energies(&s)
}

// visible reports whether a change of the currents is above a hundred-thousandth
// of the largest, which is where logarithmic axes end.
func visible(before, after []float64) bool {
	var largest, change float64
	for i := range after {
		largest = max(largest, math.Abs(after[i]))
		change = max(change, math.Abs(after[i]-before[i]))
	}
	return change > 1e-5*largest
}

// check says what is wrong with a build.
func (b Build) check() error {
	switch {
	case b.Setting < 0 || b.Setting >= len(b.Apparatus.Lights):
		return fmt.Errorf("setting %d of %d", b.Setting+1, len(b.Apparatus.Lights))
	case b.Electrons < 1:
		return fmt.Errorf("%d electrons; one is the least", b.Electrons)
	case b.Points < 2:
		return fmt.Errorf("%d voltages; two are the least", b.Points)
	}
	return nil
}

// ordered sorts effects into the order in which they are added.
func ordered(effects []instrument.Effect) []instrument.Effect {
	slices.SortStableFunc(effects, func(a, b instrument.Effect) int { return cmp.Compare(a.Place, b.Place) })
	return effects
}

// without returns an apparatus with effects switched off, in the order of
// instrument.Effects. The off of the nominal wavelength tells the analyst what
// arrives; here the truth stays and the light is moved, so that the corner lies
// at the true cutoff.
func without(a instrument.Apparatus, off []instrument.Effect) instrument.Apparatus {
	has := func(id instrument.EffectID) bool {
		return slices.ContainsFunc(off, func(e instrument.Effect) bool { return e.ID == id })
	}
	lights := a.Lights
	for _, e := range instrument.Effects() {
		if has(e.ID) {
			a = e.Off(a)
		}
	}
	if has(instrument.NominalWavelength) {
		moved := make([]instrument.Light, len(lights))
		for i, l := range a.Lights {
			moved[i] = centred(l, lights[i].Nominal)
		}
		a.Lights = moved
	}
	return a
}

// centred returns a setting whose light is moved as a whole, until its effective
// wavelength is one in nm.
func centred(l instrument.Light, wavelength float64) instrument.Light {
	ratio := wavelength / l.Effective()
	lines := l.Spectrum()
	l.Flux = 0
	for i := range lines {
		lines[i].Wavelength *= ratio
		l.Flux += lines[i].Weight
	}
	l.Lines, l.Filter, l.Neutral, l.Nominal = lines, instrument.Filter{}, 1, wavelength
	return l
}

// voltages returns those of the curves in V: evenly over the sweep, and those
// where the corner is with the contact potential and without.
func (b Build) voltages(corners ...float64) []float64 {
	p := b.Apparatus.Plan
	v := make([]float64, b.Points)
	for i := range v {
		v[i] = p.Start + (p.Stop-p.Start)*float64(i)/float64(b.Points-1)
	}
	for _, corner := range corners {
		if i, found := slices.BinarySearch(v, corner); !found && i > 0 && i < len(v) {
			v = slices.Insert(v, i, corner)
		}
	}
	return v
}

// way is what the curves of all steps share.
type way struct {
	setting   int
	transport physics.Transport
	voltages  []float64
	truth     float64
}

// step returns the mean curve of an apparatus.
func (w way) step(a instrument.Apparatus) (Step, error) {
	mean, err := instrument.NewMeanCurrent(a, a.Lights[w.setting], w.transport)
	if err != nil {
		return Step{}, err
	}
	s := Step{Apparatus: a, V: w.voltages, AtTruth: mean.At(w.truth).Net()}
	for _, v := range w.voltages {
		i := mean.At(v).Net()
		if math.IsNaN(i) || math.IsInf(i, 0) {
			return Step{}, fmt.Errorf("the current at %g V is %g A", v, i)
		}
		s.I = append(s.I, i)
	}
	return s, nil
}

// readings returns those of a setting in a run.
func readings(r run.Run, setting string) ([]run.Reading, error) {
	for _, c := range r.Curves {
		if c.Setting == setting {
			return c.Readings, nil
		}
	}
	return nil, fmt.Errorf("the plan does not reach the setting %q", setting)
}

// session returns the run of one session.
func session(bench *sim.Bench, seed uint64) run.Run {
	var s sim.Session
	var r run.Run
	s.Open(bench, seed, 0)
	s.Acquire(&r)
	return r
}
