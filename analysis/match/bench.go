package match

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"stopvolt/analysis"
	"stopvolt/instrument"
	"stopvolt/instrument/population"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/sim"
)

// nearLight is the distance in nm up to which a setting of the population's
// light stands for a curve of the run.
const nearLight = 12

// lightsFor returns for each curve the index of the setting of the population
// that stands for it, and whether it does; for light that the population does not
// have it is the nearest, whose place a line of the curve's wavelength takes.
func lightsFor(a instrument.Apparatus, r run.Run) (index []int, own []bool, remarks []string) {
	for _, c := range r.Curves {
		best, least := 0, math.Inf(1)
		for i, l := range a.Lights {
			if d := math.Abs(l.Nominal - c.Wavelength); d < least {
				best, least = i, d
			}
		}
		index, own = append(index, best), append(own, least <= nearLight)
		if least > nearLight {
			remarks = append(remarks, fmt.Sprintf("The population has no light near %g nm; a single line there takes the place of its %s.", c.Wavelength, a.Lights[best].Name))
		}
	}
	return index, own, remarks
}

// A drawn is a bench at which the run was swept again.
type drawn struct {
	reading
	// hOverE is the truth in V s and workFunction the collector's in eV.
	hOverE, workFunction float64
	// values are the population's variables.
	values []float64
	// kind and plateau describe the bench for the calibration.
	kind    string
	attempt int
}

// noise is that of a line's single readings as the run shows it: a floor in A, and
// a share of the current.
type noise struct{ floor, share float64 }

// noiseKnown is the standard deviation of the logarithm of a noise that some dozen
// readings tell: one over the root of twice their number (JCGM 100:2008, E.4.3), and
// half as much again where the median tells it.
const noiseKnown = 0.3

// sweeper sweeps benches as the run was swept. It belongs to one goroutine.
type sweeper struct {
	population population.Population
	seed       uint64
	target     run.Run
	reference  []int
	index      []int
	own        []bool
	methods    []analysis.Method
	noise      []noise
	low, high  float64
	// raw is the method that must have a cutoff at every line, and order the lines
	// from the longest wave on, since that is the one at which it has none.
	raw       analysis.Method
	order     []int
	prepared  analysis.Prepared
	extractor analysis.Extractor
	again     run.Run
	// change alters a bench before it is swept.
	change func(*instrument.Apparatus)
}

// mostDraws is the number of benches that are drawn to find one that gives
// cutoffs at all settings.
const mostDraws = 50

// draw sweeps the bench of an index. It is not ok where none of many draws has
// the run's cutoffs.
func (s *sweeper) draw(index int, l *layout) (d drawn, ok bool) {
	for attempt := range mostDraws {
		// Attempts are benches of their own.
		number := index + attempt*benchStride
		values, a, _, err := sim.DrawValues(s.population, s.seed, number)
		if err != nil {
			continue
		}
		name := sim.StreamName{Seed: s.seed, Replicate: number, Purpose: "match"}
		src := sim.NewStream(name)
		d = drawn{values: slices.Clone(values), attempt: attempt}
		d.hOverE = s.low * math.Pow(s.high/s.low, distuv.Uniform{Max: 1, Src: src}.Rand())
		scale := d.hOverE / a.World.HOverE
		a.World.HOverE = d.hOverE
		a.Emitter = a.Emitter.Scaled(scale)
		a.Collector.WorkFunction *= scale
		a.Reverse.Threshold *= scale
		if s.change != nil {
			s.change(&a)
		}
		d.workFunction = a.Collector.WorkFunction
		d.kind = fmt.Sprintf("%T", a.Geometry)
		if !s.sweep(a, src) {
			continue
		}
		x := s.extractor.Extract(s.again)
		d.reading = readingOf(x, s.again, len(s.methods), s.reference)
		if _, ok := l.line(&d.reading, l.raw, -1); ok {
			return d, true
		}
	}
	return drawn{}, false
}

// benchStride keeps the attempts of benches apart.
const benchStride = 1 << 24

// answers reports whether the raw method has a cutoff on a curve.
func (s *sweeper) answers(c run.Curve) bool {
	return s.prepared.Prepare(c, s.again.Facts) == nil && s.raw.Cutoff(&s.prepared).Status == analysis.OK
}

// sweep fills again with a run at a bench, at the voltages of the target, each
// line as bright as the target's. It reports whether all lines have a current and
// that of the longest wave a cutoff.
func (s *sweeper) sweep(a instrument.Apparatus, src *sim.Stream) bool {
	leakage := a.Leakage
	a.Leakage = instrument.Leakage{}
	ways, err := instrument.NewCrossings(a, physics.Quick{})
	if err != nil {
		return false
	}
	random := rand.New(src)
	uniform := func(half float64) float64 { return half * (2*random.Float64() - 1) }
	gain, offset := uniform(a.Voltmeter.Gain), uniform(a.Voltmeter.Offset)
	digit := s.target.Facts.Resolution
	// What the last digit does not show of the noise is not known.
	hidden := digit * math.Exp(random.Float64()*math.Log(5)) / 5
	zero := 0.5 * digit * random.NormFloat64()
	steady, flicker := math.Exp(noiseKnown*random.NormFloat64()), math.Exp(noiseKnown*random.NormFloat64())
	// The leakage keeps its place beside the brightest line.
	var dim float64
	means := make([]*instrument.MeanCurrent, len(s.target.Curves))
	factors := make([]float64, len(means))
	for _, i := range s.order {
		c, light := s.target.Curves[i], a.Lights[s.index[i]]
		if !s.own[i] {
			light = instrument.Light{
				Name: light.Name, Nominal: c.Wavelength, Flux: light.Flux, Neutral: 1, Shift: light.Shift,
				Lines: []physics.SpectralLine{{Wavelength: c.Wavelength, Weight: 1}},
			}
		}
		if means[i], err = ways.MeanCurrent(light); err != nil {
			return false
		}
		top := c.Readings[s.reference[i]]
		now := means[i].At((top.Retarding - offset) / (1 + gain)).Net()
		if !(now > 0) || !(top.Current > 0) {
			return false
		}
		factors[i] = top.Current / now
		if dim == 0 || factors[i] < dim {
			dim = factors[i]
		}
	}
	s.again.Facts = s.target.Facts
	s.again.Curves = slices.Grow(s.again.Curves[:0], len(s.target.Curves))[:len(s.target.Curves)]
	for k, i := range s.order {
		c, to := s.target.Curves[i], &s.again.Curves[i]
		readings := to.Readings[:0]
		*to = c
		floor, scatter := max(s.noise[i].floor*steady, hidden), s.noise[i].share*flicker
		if scatter == 0 {
			// The run does not tell it.
			scatter = a.Lamp.Flicker
		}
		for _, r := range c.Readings {
			v := (r.Retarding - offset) / (1 + gain)
			current := factors[i]*means[i].At(v).Net()*(1+scatter*random.NormFloat64()) + dim*leakage.Current(v)
			current += zero + floor*random.NormFloat64()
			if digit > 0 {
				current = math.RoundToEven(current/digit) * digit
			}
			r.Current = current
			readings = append(readings, r)
		}
		to.Readings = readings
		if !(to.Readings[s.reference[i]].Current > 0) || k == 0 && !s.answers(*to) {
			return false
		}
	}
	return true
}
