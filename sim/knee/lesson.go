package knee

import (
	"math"

	"stopvolt/instrument"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/sim"
)

// Strongest returns the index of the light that draws the largest current at no
// retarding voltage.
func Strongest(a instrument.Apparatus) (int, error) {
	currents, err := Build{Apparatus: a}.Currents(0)
	if err != nil {
		return 0, err
	}
	best := 0
	for i, current := range currents {
		if current > currents[best] {
			best = i
		}
	}
	return best, nil
}

// Session returns the run of one session on an apparatus, with the seed of the
// build.
func (b Build) Session(a instrument.Apparatus) (run.Run, error) {
	bench, err := sim.NewBench(a, physics.Quadrature{})
	if err != nil {
		return run.Run{}, err
	}
	return session(bench, b.Seed), nil
}

// Ideal returns the mean run of an apparatus, as an ideal meter would show it.
func (b Build) Ideal(a instrument.Apparatus) (run.Run, error) {
	bench, err := sim.NewBench(a, physics.Quadrature{})
	if err != nil {
		return run.Run{}, err
	}
	return bench.Mean(), nil
}

// An Intensity is a fraction of the setting's light.
type Intensity struct {
	// Name is such as "half", and Fraction is above zero.
	Name     string
	Fraction float64
}

// Dimmed returns the apparatus whose lights are the setting at several
// intensities.
func (b Build) Dimmed(to []Intensity) instrument.Apparatus {
	a := b.Apparatus
	a.Lights = nil
	for _, x := range to {
		l := b.Apparatus.Lights[b.Setting]
		l.Name += ", " + x.Name
		l.Neutral *= x.Fraction
		a.Lights = append(a.Lights, l)
	}
	return a
}

// leastExcess is the photon energy in eV beyond a work function from which a
// line is worth a curve.
const leastExcess = 0.15

// SecondEmitter returns the apparatus with an emitter of a higher work function
// in front of the same collector, and the lights that still eject electrons
// well. The work function lies so that three lights do, which a line needs; ok
// is false where there is no room for it.
func (b Build) SecondEmitter() (second instrument.Apparatus, ok bool) {
	const apart, least = 0.35, 0.1
	var photons []float64
	for _, l := range b.Apparatus.Lights {
		photons = append(photons, physics.PhotonEnergy(b.Apparatus.World.HOverE, l.Nominal))
	}
	third := thirdLargest(photons)
	second = b.Apparatus
	first := second.Emitter.WorkFunction
	phi := min(first+apart, third-leastExcess)
	if collector := second.Collector.WorkFunction; math.Abs(phi-collector) < least {
		// Its own intercept must be told from the collector's.
		phi = collector - least
	}
	second.Emitter.WorkFunction = math.Floor(100*phi) / 100
	second.Lights = nil
	for i, l := range b.Apparatus.Lights {
		if photons[i] >= second.Emitter.WorkFunction+leastExcess-1e-9 {
			second.Lights = append(second.Lights, l)
		}
	}
	return second, second.Emitter.WorkFunction-first >= least && len(second.Lights) >= 3
}

// thirdLargest returns the third largest number, -Inf where there are fewer.
func thirdLargest(x []float64) float64 {
	top := [3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	for _, v := range x {
		for k := range top {
			if v > top[k] {
				v, top[k] = top[k], v
			}
		}
	}
	return top[2]
}

// emittedOnly is the transport that nothing is asked of but what leaves.
type emittedOnly struct{}

// Prepare returns a collection that collects all.
func (emittedOnly) Prepare(physics.Emission, physics.Geometry) (physics.Collection, error) {
	return emittedOnly{}, nil
}

// Share returns one.
func (emittedOnly) Share(float64) (share, standardError float64) { return 1, 0 }

// Threshold returns the current in A that leaves the emitter against the
// frequency in Hz of light of one wavelength, at a photon flux that is equal at
// all frequencies and that of the setting. The frequencies go from below the
// threshold to beyond the bluest light.
func (b Build) Threshold(temperature float64) (frequency, current []float64, err error) {
	a := b.Apparatus
	a.Emitter.Temperature = temperature
	a.Collector.StrayLight = 0
	a.Collector.Reflection = physics.Reflection{}
	h := a.World.HOverE
	var photons float64
	setting := a.Lights[b.Setting]
	for _, line := range setting.Spectrum() {
		photons += line.Weight / physics.PhotonEnergy(h, line.Wavelength)
	}
	bluest := 0.0
	for _, l := range a.Lights {
		bluest = max(bluest, physics.Frequency(l.Nominal))
	}
	edge := a.Emitter.WorkFunction / h
	low, high := 0.85*edge, max(bluest, edge)*1.04
	const points = 241
	for k := range points {
		f := low + (high-low)*float64(k)/(points-1)
		vacuum := physics.SpeedOfLight / f * 1e9
		wavelength := vacuum / physics.RefractiveIndex(vacuum)
		light := instrument.Light{
			Name: "a frequency", Nominal: wavelength, Neutral: 1,
			Lines: []physics.SpectralLine{{Wavelength: wavelength, Weight: 1}}, Flux: photons * h * f,
		}
		mean, err := instrument.NewMeanCurrent(a, light, emittedOnly{})
		if err != nil {
			return nil, nil, err
		}
		emitted, _ := mean.Emitted()
		frequency, current = append(frequency, f), append(current, emitted)
	}
	return frequency, current, nil
}

// A Scale is that of a needle which shows the currents to a class.
type Scale struct {
	// FullScale is the current in A at the end of the scale, and Divisions the
	// number of its divisions.
	FullScale, Divisions float64
}

// RoundScale returns the scale of a hundred divisions whose end is 1 or 3 times
// a power of ten and holds a current in A, as needles are made (common practice,
// no source).
func RoundScale(largest float64) Scale {
	s := Scale{FullScale: 1e-15, Divisions: 100}
	for s.FullScale < largest {
		decade := math.Pow(10, math.Floor(math.Log10(s.FullScale)+0.01))
		if s.FullScale < 2*decade {
			s.FullScale = 3 * decade
		} else {
			s.FullScale = 10 * decade
		}
	}
	return s
}

// Currents returns the mean current in A of each light at a retarding voltage
// in V.
func (b Build) Currents(retarding float64) ([]float64, error) {
	var currents []float64
	transport := sim.OnlyOnce(physics.Quadrature{})
	for _, l := range b.Apparatus.Lights {
		mean, err := instrument.NewMeanCurrent(b.Apparatus, l, transport)
		if err != nil {
			return nil, err
		}
		currents = append(currents, mean.At(retarding).Net())
	}
	return currents, nil
}
