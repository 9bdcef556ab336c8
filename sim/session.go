package sim

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"

	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// A Session is one sitting at a bench: what is drawn once a session has been
// drawn, and readings can be taken. A session belongs to one goroutine.
type Session struct {
	bench *Bench
	// offset is the meter's zero in A.
	offset float64
	// noise has a stream for each setting, so that leaving one out does not
	// change the readings of another.
	noise []Stream
}

// Open starts the session of a replicate of the experiment. Equal arguments
// give equal readings. It reuses the memory of s.
func (s *Session) Open(b *Bench, seed uint64, replicate int) {
	s.bench = b
	if cap(s.noise) < len(b.apparatus.Lights) {
		s.noise = make([]Stream, len(b.apparatus.Lights))
	}
	s.noise = s.noise[:len(b.apparatus.Lights)]
	for i, l := range b.apparatus.Lights {
		s.noise[i].Start(StreamName{Seed: seed, Replicate: replicate, Setting: l.Name, Purpose: "noise"})
	}
	s.offset = 0
	if half := b.apparatus.Meter.Offset; half > 0 {
		var src Stream
		src.Start(StreamName{Seed: seed, Replicate: replicate, Purpose: "meter offset"})
		s.offset = distuv.Uniform{Min: -half, Max: half, Src: &src}.Rand()
	}
}

// Read takes a reading of the current of a setting, counted from zero, at a
// retarding voltage in V, over a dwell in s.
func (s *Session) Read(setting int, retarding, dwell float64) run.Reading {
	meter := s.bench.apparatus.Meter
	c := s.bench.currents[setting].At(retarding)
	src := &s.noise[setting]
	electrons := count(c.Forward, dwell, src) - count(c.Reverse, dwell, src)
	current := electrons*physics.ElementaryCharge/dwell + c.Leakage + s.offset
	if johnson := meter.JohnsonNoise(dwell); johnson > 0 {
		current += distuv.Normal{Sigma: johnson, Src: src}.Rand()
	}
	shown := meter.Show(current)
	return run.Reading{Retarding: retarding, Current: shown, Uncertainty: meter.Uncertainty(shown, dwell)}
}

// count draws the number of electrons of a mean current in A that arrive in a
// dwell in s. Electrons that leave independently and are collected
// independently arrive as a Poisson process.
func count(current, dwell float64, src rand.Source) float64 {
	mean := current * dwell / physics.ElementaryCharge
	// distuv.Poisson does not return for a mean that is not a number.
	if !(mean > 0) || math.IsInf(mean, 0) {
		return 0
	}
	return distuv.Poisson{Lambda: mean, Src: src}.Rand()
}

// Acquire takes the run of the plan, reusing the memory of r.
func (s *Session) Acquire(r *run.Run) {
	b := s.bench
	b.prepare(r)
	for i := range r.Curves {
		b.sweep(&r.Curves[i], func(v, _ float64) run.Reading {
			return s.Read(i, v, b.apparatus.Plan.Dwell)
		})
	}
}
