package physics

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
)

// Quadrature is the transport by integrals. It is exact to 1e-9 of the emitted
// electrons in every geometry whose Collected is known, and takes the closed
// form where there is one.
type Quadrature struct{}

var _ Transport = Quadrature{}

// Prepare returns the closed form, or a table of integrals.
func (Quadrature) Prepare(e Emission, g Geometry) (Collection, error) {
	if c, err := (Closed{}).Prepare(e, g); err == nil {
		return c, nil
	}
	share := e.shareBy(g)
	top := e.Top()
	// A geometry without a lower end gets one that few electrons pass.
	lowest := max(g.Lowest(top), -lowestInTops*top)
	if top == 0 {
		return tabulated{share: share}, nil
	}
	t := tabulated{share: share, table: NewPiecewise(share, lowest, top, quadratureTolerance)}
	t.ends = &ends{whole: lowest > -lowestInTops*top, lowest: lowest, most: share(lowest), top: top}
	return t, nil
}

// quadratureTolerance keeps the tail to where one electron in 10^19 is left.
var quadratureTolerance = Tolerance{Absolute: 1e-10, Relative: 1e-7, Floor: 1e-19}

const (
	// lowestInTops is where the table of a small collector ends at the
	// accelerating side; beyond it the integral itself is asked.
	lowestInTops = 100
	// reach is the energy in kT beyond Em that no electron exceeds but one in
	// 10^16.
	reach = 40
	// fermiPanel is the width in kT of the panels of quadrature near Em. The
	// Fermi function has its poles at a distance of pi kT, so that 16 points
	// on five kT are good to 1e-15.
	fermiPanel = 5
	// smallestCorner is the energy over the greatest energy below which so few
	// electrons leave that no panel is spent on them.
	smallestCorner = 1e-7
)

// tabulated is a collection that is looked up where it has a table.
type tabulated struct {
	share func(barrier float64) float64
	table *Piecewise
	ends  *ends
}

// ends says how a share goes on beyond its table.
type ends struct {
	// whole says that nothing changes any more at barriers in eV below lowest,
	// where the share is most.
	whole        bool
	lowest, most float64
	// No electron crosses the barrier top.
	top float64
}

// at returns the share at a barrier in eV beyond the table, and whether it is
// known without an integral.
func (e *ends) at(barrier float64) (share float64, known bool) {
	switch {
	case e == nil:
		return 0, false
	case barrier >= e.top:
		return 0, true
	}
	return e.most, e.whole && barrier < e.lowest
}

// Share returns the share, which has no counting error.
func (t tabulated) Share(barrier float64) (share, standardError float64) {
	if t.table == nil || !t.table.Holds(barrier) {
		if share, known := t.ends.at(barrier); known {
			return share, 0
		}
		return t.share(barrier), 0
	}
	return min(max(t.table.At(barrier), 0), 1), 0
}

// Top returns the energy in eV that no electron exceeds but one in 10^16.
func (e Emission) Top() float64 { return max(e.Excess, 0) + reach*e.Thermal }

// shareBy returns the share of the electrons that cross a barrier in a
// geometry, by integrating over their energies.
func (e Emission) shareBy(g Geometry) func(barrier float64) float64 {
	everything := func(float64) float64 { return 1 }
	total := e.overEnergies(nil, everything)
	return func(barrier float64) float64 {
		if total == 0 {
			// Electrons at rest are stopped by any barrier and by nothing
			// else.
			return g.Collected(0, barrier)
		}
		return min(e.overEnergies(g.Corners(barrier), func(energy float64) float64 {
			return g.Collected(energy, barrier)
		})/total, 1)
	}
}

// overEnergies integrates over the energies the density, scaled so that it does
// not vanish far below the threshold, times a function that is smooth but for
// its corners.
func (e Emission) overEnergies(corners []float64, f func(energy float64) float64) float64 {
	top := e.Top()
	corners = append(slices.Clip(corners), e.corner())
	edges := []float64{0, top}
	add := func(energy float64) {
		if energy > smallestCorner*top && energy < top {
			edges = append(edges, energy)
		}
	}
	slices.Sort(corners)
	for i, corner := range corners {
		add(corner)
		next := top
		if i+1 < len(corners) {
			next = min(corners[i+1], top)
		}
		// A function of B/E varies over octaves of the energy.
		for wide := 2 * max(corner, smallestCorner*top); corner > 0 && wide < next; wide *= 2 {
			add(wide)
		}
	}
	if e.Thermal > 0 {
		for k := -reach; k < reach; k += fermiPanel {
			add(max(e.Excess, 0) + float64(k)*e.Thermal)
		}
	}
	if e.Loss.Share > 0 {
		// Losses let the density rise over octaves of the distance to the edge.
		for deep := e.Loss.Energy; deep < e.Excess; deep *= 2 {
			add(e.Excess - deep)
		}
	}
	slices.Sort(edges)
	edges = slices.Compact(edges)
	rough := func(edge float64) bool { return slices.Contains(corners, edge) }
	scaled := func(energy float64) float64 { return e.scaledDensity(energy) * f(energy) }
	var sum float64
	for i := 1; i < len(edges); i++ {
		low, high := edges[i-1], edges[i]
		if rough(low) || rough(high) {
			sum += integrateBetweenCorners(low, high, scaled)
		} else {
			sum += integrate(low, high, scaled)
		}
	}
	return sum
}

// gauss holds the points and weights of a Gauss-Legendre rule on [0, 1].
type gauss struct{ x, weight []float64 }

func newGauss(n int) gauss {
	g := gauss{make([]float64, n), make([]float64, n)}
	quad.Legendre{}.FixedLocations(g.x, g.weight, 0, 1)
	return g
}

var gauss8, gauss16, gauss32 = newGauss(8), newGauss(16), newGauss(32)

// integrate returns the integral of a smooth function.
func integrate(low, high float64, f func(float64) float64) float64 {
	var sum float64
	for i, x := range gauss16.x {
		sum += gauss16.weight[i] * f(low+(high-low)*x)
	}
	return (high - low) * sum
}

// integrateBetweenCorners returns the integral of a function that may go as an
// odd power of the root of the distance from either end. The substitution
// x = s^2 (3 - 2s) makes it smooth.
func integrateBetweenCorners(low, high float64, f func(float64) float64) float64 {
	var sum float64
	for i, s := range gauss32.x {
		sum += gauss32.weight[i] * 6 * s * (1 - s) * f(low+(high-low)*s*s*(3-2*s))
	}
	return (high - low) * sum
}

// scaledDensity returns the density in energy, up to a factor that keeps it
// from vanishing far below the threshold.
func (e Emission) scaledDensity(energy float64) float64 {
	if energy <= 0 {
		return 0
	}
	if e.Excess >= 0 || e.Thermal == 0 {
		return e.Density(energy)
	}
	if !e.plain() {
		return e.scaledLossy(energy)
	}
	// exp(-Em/kT) is taken out.
	fall := math.Exp(-energy / e.Thermal)
	return energy * e.Band.factor(energy, e.Excess) * fall / (math.Exp(e.Excess/e.Thermal)*fall + 1)
}

// scaledLossy is scaledDensity of a warm metal with losses, below the threshold.
func (e Emission) scaledLossy(energy float64) float64 {
	const leastExponent = -500
	if e.Excess/e.Thermal > leastExponent {
		return e.Density(energy) * math.Exp(-e.Excess/e.Thermal)
	}
	// Only the first term of the series is left.
	share := 1 - e.Loss.Share + e.Loss.Share/(1+e.Loss.Energy/e.Thermal)
	return energy * share * math.Exp(-energy/e.Thermal)
}
