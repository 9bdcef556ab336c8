package scenarios

import (
	"math"

	"stopvolt/instrument"
)

type planTable struct {
	Start      float64 `toml:"start_V"`
	Stop       float64 `toml:"stop_V"`
	StopBeyond float64 `toml:"stop_beyond_V"`
	Step       float64 `toml:"step_V"`
	FineStep   float64 `toml:"fine_step_V"`
	FineWidth  float64 `toml:"fine_width_V"`
	Turn       float64 `toml:"turn_s"`
	Settle     float64 `toml:"settle_s"`
	Dwell      float64 `toml:"dwell_s"`
	Change     float64 `toml:"change_s"`
	Repeats    int     `toml:"repeats"`
	Order      string  `toml:"order"`
	DarkCurves bool    `toml:"dark_curves"`
}

// stop returns the end of a sweep, which may be stated from the largest stopping
// voltage on. It then is a whole number of steps from the start, as a dial is
// turned.
func (c *checker) stop(t planTable, p instrument.Plan, a *instrument.Apparatus) float64 {
	const beyond = "plan.stop_beyond_V"
	if !c.given(beyond) {
		return c.required("plan.stop_V", t.Stop, voltages)
	}
	c.alone(beyond, "plan.stop_V")
	margin := c.optional(beyond, t.StopBeyond, 0, within(-10, 100, "V"))
	if c.err != nil {
		return p.Start
	}
	return p.Start + math.Ceil((largestStopping(a)+margin-p.Start)/p.Step)*p.Step
}

// mostReadings keeps a slip in the step from filling the memory.
const mostReadings = 100_000

func (c *checker) plan(t planTable, a *instrument.Apparatus) instrument.Plan {
	times := within(0, 1e4, "s")
	p := instrument.Plan{
		Start:      c.required("plan.start_V", t.Start, voltages),
		Step:       c.required("plan.step_V", t.Step, above(0, 100, "V")),
		Turn:       c.optional("plan.turn_s", t.Turn, 0, times),
		Settle:     c.optional("plan.settle_s", t.Settle, 0, times),
		Dwell:      c.required("plan.dwell_s", t.Dwell, within(1e-6, 1e4, "s")),
		Change:     c.optional("plan.change_s", t.Change, 0, times),
		Repeats:    int(c.optional("plan.repeats", float64(t.Repeats), 1, within(1, 1000, "readings at each voltage"))),
		DarkCurves: t.DarkCurves,
	}
	if c.given("plan.order") {
		p.Order = instrument.Order(c.choice("plan.order", t.Order, instrument.OrderNames()...))
	}
	p.Stop = c.stop(t, p, a)
	if p.Stop < p.Start+p.Step {
		c.fail("plan.stop_V", "plan.stop_V is %g; it must be at least one step above plan.start_V, which is %g", p.Stop, p.Start)
	}
	readings := (p.Stop - p.Start) / p.Step
	if c.given("plan.fine_step_V") || c.given("plan.fine_width_V") {
		p.FineStep = c.required("plan.fine_step_V", t.FineStep, above(0, p.Step, "V (the coarse step)"))
		p.FineWidth = c.required("plan.fine_width_V", t.FineWidth, above(0, p.Stop-p.Start, "V (the whole sweep)"))
		readings += p.FineWidth / p.FineStep
	}
	if n := readings * float64(p.Repeats); n > mostReadings {
		c.fail("plan.step_V", "the plan has %.0f readings for each light; at most %d are allowed, so widen the step", n, mostReadings)
	}
	return p
}
