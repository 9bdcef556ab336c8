package physics

import (
	"fmt"
	"math"
	"runtime"
	"sync"

	"gonum.org/v1/gonum/interp"
)

// RingOverDisk is a flat circular emitter on the base of a glass cylinder, with
// a ring of round wire above it as the collector. No closed form covers it: the
// field is solved once for a voltage of one, since it scales, and electrons are
// traced through it. Without a magnetic field their paths depend on B/E alone,
// and the share that reaches the ring is tabulated over x = B/E.
//
// The glass, base and dome included, is an insulator that has charged itself
// until no field goes through it, and an electron that meets it is lost; there
// is no third electrode. Electrons leave evenly from the whole disk. The table
// is good to about a hundredth, which the same solver and tracer keep between
// concentric spheres, where the answer is known.
//
// The lengths are in units of the emitter's radius.
type RingOverDisk struct {
	// Height is that of the ring's centre line above the emitter, Radius that
	// of the ring, Wire that of its wire, and Glass that of the envelope, whose
	// dome lies one Height above the ring. Wire is less than Height, and Glass
	// more than Radius and Wire together.
	Height, Radius, Wire, Glass float64
	// FromRing says that the ring emits and the disk collects.
	FromRing bool

	once  sync.Once
	share interp.FritschButland
}

var _ Geometry = (*RingOverDisk)(nil)

// NewRingOverDisk returns the geometry with a ring at a height above the emitter
// and an envelope of a radius, both in units of the emitter's radius. The ring
// is as wide as the emitter, of wire a tenth as thick. The field is solved and
// the electrons are traced when they are first needed.
func NewRingOverDisk(height, glass float64) *RingOverDisk {
	return &RingOverDisk{Height: height, Radius: 1, Wire: 0.1, Glass: glass}
}

// String names the geometry by its lengths.
func (g *RingOverDisk) String() string {
	return fmt.Sprintf("ring over disk %g %g %g %g, from ring %v", g.Height, g.Radius, g.Wire, g.Glass, g.FromRing)
}

// Collected returns the share of electrons of a kinetic energy in eV that cross
// a barrier in eV. Even without a barrier many miss the ring.
func (g *RingOverDisk) Collected(energy, barrier float64) float64 {
	g.once.Do(g.solve)
	x := barrier / energy
	if x >= 1 || math.IsNaN(x) {
		return 0
	}
	return g.share.Predict(max(x, ringAccelerated))
}

// Stop returns the barrier in eV that the given fraction of the electrons can
// cross; an electron that no voltage collects has minus infinity.
func (g *RingOverDisk) Stop(energy, u, _ float64) float64 {
	if u >= g.Collected(1, ringAccelerated) {
		return math.Inf(-1)
	}
	low, high := float64(ringAccelerated), 1.0
	for high-low > 1e-9 {
		if middle := (low + high) / 2; g.share.Predict(middle) > u {
			low = middle
		} else {
			high = middle
		}
	}
	return energy * (low + high) / 2
}

// Lowest returns the barrier in eV at which the table ends.
func (g *RingOverDisk) Lowest(energy float64) float64 { return ringAccelerated * energy }

// Corners returns the energies at which the pieces of the table meet.
func (g *RingOverDisk) Corners(barrier float64) []float64 {
	var corners []float64
	for _, x := range ringPlaces() {
		if energy := barrier / x; energy > 0 {
			corners = append(corners, energy)
		}
	}
	return corners
}

// Reversed returns the way from the ring to the disk.
func (g *RingOverDisk) Reversed() Geometry {
	return &RingOverDisk{Height: g.Height, Radius: g.Radius, Wire: g.Wire, Glass: g.Glass, FromRing: !g.FromRing}
}

// Inside returns the potential of the metal at a radius and a height: that of
// the emitting electrode is 0. The disk has no thickness but the face.
func (g *RingOverDisk) Inside(radius, height float64) (potential float64, metal bool) {
	disk, ring := 0.0, 1.0
	if g.FromRing {
		disk, ring = ring, disk
	}
	if height <= 0 && radius <= 1 {
		return disk, true
	}
	if math.Hypot(radius-g.Radius, height-g.Height) <= g.Wire {
		return ring, true
	}
	return 0, false
}

const (
	// ringSteps is the number of steps of the grid along the radius.
	ringSteps = 120
	// ringElectrons is the number of electrons that are traced for each x.
	ringElectrons = 2048
	// ringAccelerated is how far the table goes into acceleration.
	ringAccelerated = -30
)

// solve makes the table.
func (g *RingOverDisk) solve() {
	places := ringPlaces()
	field := NewField(g, g.Glass, 2*g.Height, ringSteps)
	shares := field.shares(g, places, g.start)
	// An electron needs all its energy for x = 1, so that none is left over.
	shares[len(shares)-1] = 0
	// A finite number of electrons leaves a roughness that the contract of a
	// share, to fall with the barrier, does not allow.
	if err := g.share.Fit(places, falling(shares)); err != nil {
		// The places rise, whatever the lengths are.
		panic(fmt.Sprintf("physics: the table of the ring does not fit: %v", err))
	}
}

// ringPlaces returns the x of the table, rising, closer where the share bends.
func ringPlaces() []float64 {
	var places []float64
	for x := float64(ringAccelerated); x < -1.2; x *= 0.75 {
		places = append(places, x)
	}
	for i := range 12 {
		places = append(places, -1+float64(i)/12)
	}
	for i := range 25 {
		places = append(places, float64(i)/24)
	}
	return places
}

// start returns the electron that leaves for three numbers uniform on [0, 1).
func (g *RingOverDisk) start(a, u, w float64) electron {
	if !g.FromRing {
		return leaving(math.Sqrt(a), 0, math.Pi/2, u, w)
	}
	// Round the wire the area goes as the distance from the axis.
	angle := 2 * math.Pi * a
	for range 20 {
		angle -= (angle + g.Wire/g.Radius*math.Sin(angle) - 2*math.Pi*a) / (1 + g.Wire/g.Radius*math.Cos(angle))
	}
	// Just outside, so that it does not end where it begins.
	out := g.Wire * (1 + 1e-9)
	return leaving(g.Radius+out*math.Cos(angle), g.Height+out*math.Sin(angle), angle, u, w)
}

// leaving returns an electron that leaves by Lambert's law from a surface at (r,
// z), whose normal makes an angle with the direction away from the axis.
func leaving(r, z, normal, u, w float64) electron {
	sine, azimuth := math.Sqrt(u), 2*math.Pi*w
	along, across, out := sine*math.Cos(azimuth), sine*math.Sin(azimuth), math.Sqrt(1-u)
	cosN, sinN := math.Cos(normal), math.Sin(normal)
	return electron{x: r, z: z, vx: out*cosN - along*sinN, vy: across, vz: out*sinN + along*cosN}
}

// shares returns the share of electrons that are collected for each x. The same
// electrons serve all, evenly spread by the additive recurrence on the plastic
// number (M. Roberts, 2018), which needs no random numbers.
func (f *Field) shares(e Electrodes, places []float64, start func(a, u, w float64) electron) []float64 {
	const plastic = 1.2207440846057596 // the root of g^4 = g + 1
	shares := make([]float64, len(places))
	var group sync.WaitGroup
	workers := runtime.GOMAXPROCS(0)
	for worker := range workers {
		group.Go(func() {
			for i := worker; i < len(places); i += workers {
				n := 0
				for k := range ringElectrons {
					part := func(power float64) float64 {
						_, fraction := math.Modf(0.5 + float64(k+1)*math.Pow(plastic, -power))
						return fraction
					}
					if f.trace(e, start(part(1), part(2), part(3)), places[i]) == collected {
						n++
					}
				}
				shares[i] = float64(n) / ringElectrons
			}
		})
	}
	group.Wait()
	return shares
}

// falling returns the values nearest in the sum of squares that do not rise, by
// pooling neighbours that do (M. Ayer et al., Ann. Math. Stat. 26, 641 (1955)).
func falling(values []float64) []float64 {
	type pool struct {
		mean, size float64
	}
	var pools []pool
	for _, v := range values {
		p := pool{v, 1}
		for len(pools) > 0 && pools[len(pools)-1].mean < p.mean {
			last := pools[len(pools)-1]
			pools = pools[:len(pools)-1]
			p.mean = (p.mean*p.size + last.mean*last.size) / (p.size + last.size)
			p.size += last.size
		}
		pools = append(pools, p)
	}
	var out []float64
	for _, p := range pools {
		for range int(p.size) {
			out = append(out, p.mean)
		}
	}
	return out
}
