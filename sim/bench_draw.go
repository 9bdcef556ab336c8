package sim

import (
	"fmt"

	"stopvolt/instrument"
	"stopvolt/instrument/population"
)

// MostAttempts is the number of times that a bench is drawn before a population
// is given up. One in which a bench in ten can be fails so once in 10^45.
const MostAttempts = 1000

// DrawBench returns the bench of an index in a population, and how many
// attempts it took: a draw that makes no bench is drawn again. Each key has a
// stream of its own, named by the seed, the bench, the key and the attempt, so
// that another law for one key moves no other. The error says what is
// impossible.
func DrawBench(p population.Population, seed uint64, bench int) (a instrument.Apparatus, attempts int, err error) {
	_, a, attempts, err = DrawValues(p, seed, bench)
	return a, attempts, err
}

// DrawValues is DrawBench with the numbers that were drawn, one for each of the
// population's Variables.
func DrawValues(p population.Population, seed uint64, bench int) (values []float64, a instrument.Apparatus, attempts int, err error) {
	for attempts = 1; attempts <= MostAttempts; attempts++ {
		values = p.AppendValues(values, benchUniform(seed, bench, attempts))
		if a, err = p.Apparatus(values); err == nil {
			return values, a, attempts, nil
		}
	}
	return nil, instrument.Apparatus{}, MostAttempts, fmt.Errorf("bench %d: none of %d draws made a bench; the last one failed since %w", bench, MostAttempts, err)
}

// benchUniform returns the uniform numbers of an attempt at a bench.
func benchUniform(seed uint64, bench, attempt int) func(key string) float64 {
	purpose := "bench"
	if attempt > 1 {
		purpose = fmt.Sprintf("bench, attempt %d", attempt)
	}
	var src Stream
	return func(key string) float64 {
		src.Start(StreamName{Seed: seed, Replicate: bench, Setting: key, Purpose: purpose})
		return open(src.Uint64())
	}
}

// open returns a number above 0 and below 1 made of random bits, of which one
// fewer than a float64 holds are used: the largest number would round to 1.
func open(bits uint64) float64 { return (float64(bits>>12) + 0.5) / (1 << 52) }

// DrawPhase returns the apparatus with the voltages of its plan moved by a part
// of a step that the bench's stream draws: where a grid lies about the knee is
// nobody's choice. A sweep from zero volts begins a step earlier where it would
// lose its reading there. Commands that make readings for people leave the plan
// as it is.
func DrawPhase(a instrument.Apparatus, seed uint64, bench int) instrument.Apparatus {
	shift := (benchUniform(seed, bench, 1)("plan.phase") - 0.5) * a.Plan.Step
	start := a.Plan.Start + shift
	if a.Plan.Start <= 0 && start > 0 {
		start -= a.Plan.Step
	}
	a.Plan.Start = start
	a.Plan.Stop += shift
	return a
}
