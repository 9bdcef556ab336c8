package instrument

import (
	"math"
	"slices"
)

// Plan is how the voltage is taken through a sweep, which is done once for each
// setting of the light.
type Plan struct {
	// Start, Stop and Step are retarding voltages in V; Step is above zero
	// and Start less than Stop.
	Start, Stop, Step float64
	// FineStep in V is the step of a finer grid over FineWidth in V about the
	// knee of each curve; without a FineWidth there is none.
	FineStep, FineWidth float64
	// Turn is the time in s that turning the dial takes, and Settle the wait
	// in s after it, both not negative. Dwell is the time in s over which the
	// meter averages, above zero.
	Turn, Settle, Dwell float64
	// Change is the time in s that another setting of the light takes, not
	// negative.
	Change float64
	// Repeats is the number of readings at each voltage, at least one.
	Repeats int
	// Order says which voltage comes first.
	Order Order
	// DarkCurves says that a curve without light is taken before and after.
	DarkCurves bool
}

// Order is the order of the voltages of a sweep.
type Order int

const (
	// Up goes from the least retarding voltage to the most.
	Up Order = iota
	// Down goes from the most retarding voltage to the least.
	Down
	// ThereAndBack goes up and then down again, so that whatever lags shows
	// as a loop.
	ThereAndBack
	// Shuffled is drawn anew for each curve, so that a drift becomes noise.
	Shuffled
)

// OrderNames returns the names of the orders, as an Order counts them.
func OrderNames() []string { return []string{"up", "down", "there-and-back", "random"} }

// Voltages returns the retarding voltages in V in the order in which they are
// set; a shuffled plan returns them rising, for the session to shuffle. The
// knee is the voltage in V about which the grid is finer.
func (p Plan) Voltages(knee float64) []float64 {
	voltages := grid(p.Start, p.Stop, p.Step)
	if p.FineWidth > 0 {
		low, high := max(knee-p.FineWidth/2, p.Start), min(knee+p.FineWidth/2, p.Stop)
		// The fine points are whole fine steps from the start, so that they
		// fall on the coarse ones where they can.
		first := p.Start + math.Ceil((low-p.Start)/p.FineStep-0.01)*p.FineStep
		if first <= high {
			voltages = append(voltages, grid(first, high, p.FineStep)...)
			slices.Sort(voltages)
			voltages = slices.Compact(voltages)
		}
	}
	switch p.Order {
	case Down:
		slices.Reverse(voltages)
	case ThereAndBack:
		back := slices.Clone(voltages)
		slices.Reverse(back)
		voltages = append(voltages, back...)
	}
	return voltages
}

// grid returns the voltages in V from start to stop in steps.
func grid(start, stop, step float64) []float64 {
	// A hundredth of a step makes up for steps that no float64 holds.
	n := int(math.Floor((stop-start)/step+0.01)) + 1
	voltages := make([]float64, n)
	for i := range voltages {
		// Rounding to a nanovolt makes the file read 0.3 and not
		// 0.30000000000000004.
		voltages[i] = math.Round((start+float64(i)*step)*1e9) / 1e9
	}
	return voltages
}
