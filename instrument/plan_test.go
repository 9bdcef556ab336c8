package instrument_test

import (
	"slices"
	"testing"

	"stopvolt/instrument"
)

func TestVoltagesOfAPlan(t *testing.T) {
	coarse := instrument.Plan{Start: -0.2, Stop: 0.2, Step: 0.1}
	with := func(change func(*instrument.Plan)) instrument.Plan {
		p := coarse
		change(&p)
		return p
	}
	for name, test := range map[string]struct {
		plan instrument.Plan
		knee float64
		want []float64
	}{
		"up":             {coarse, 0, []float64{-0.2, -0.1, 0, 0.1, 0.2}},
		"down":           {with(func(p *instrument.Plan) { p.Order = instrument.Down }), 0, []float64{0.2, 0.1, 0, -0.1, -0.2}},
		"there and back": {with(func(p *instrument.Plan) { p.Order = instrument.ThereAndBack }), 0, []float64{-0.2, -0.1, 0, 0.1, 0.2, 0.2, 0.1, 0, -0.1, -0.2}},
		"random rises":   {with(func(p *instrument.Plan) { p.Order = instrument.Shuffled }), 0, []float64{-0.2, -0.1, 0, 0.1, 0.2}},
		"a stop between two steps is not reached": {
			with(func(p *instrument.Plan) { p.Stop = 0.19 }), 0, []float64{-0.2, -0.1, 0, 0.1},
		},
		"fine about a knee": {
			with(func(p *instrument.Plan) { p.FineStep, p.FineWidth = 0.05, 0.2 }), 0.03, []float64{-0.2, -0.1, -0.05, 0, 0.05, 0.1, 0.2},
		},
		"fine at the end": {
			with(func(p *instrument.Plan) { p.FineStep, p.FineWidth = 0.05, 0.2 }), 0.2, []float64{-0.2, -0.1, 0, 0.1, 0.15, 0.2},
		},
		"fine and coarse need not meet": {
			with(func(p *instrument.Plan) { p.FineStep, p.FineWidth = 0.03, 0.1 }), 0, []float64{-0.2, -0.1, -0.05, -0.02, 0, 0.01, 0.04, 0.1, 0.2},
		},
		"fine beyond the sweep": {
			with(func(p *instrument.Plan) { p.FineStep, p.FineWidth = 0.05, 0.2 }), 9, []float64{-0.2, -0.1, 0, 0.1, 0.2},
		},
	} {
		if got := test.plan.Voltages(test.knee); !slices.Equal(got, test.want) {
			t.Errorf("%s: %v, want %v", name, got, test.want)
		}
	}
}
