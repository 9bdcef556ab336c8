package physics

import "math"

// ending is where a trajectory ends.
type ending int

const (
	flying ending = iota
	// collected is the metal at the potential 1, returned that at 0, and lost
	// the glass.
	collected
	returned
	lost
)

// electron is a place and a velocity. Lengths are the field's; a velocity
// squared is a kinetic energy in units of that at the start.
type electron struct {
	x, y, z, vx, vy, vz float64
}

// mostSteps ends a trajectory that circles in the field for good.
const mostSteps = 20000

// trace follows an electron through a field to its end, where the barrier is x
// times the kinetic energy at the start. Velocity Verlet conserves the energy
// in a field that does not change (L. Verlet, Phys. Rev. 159, 98 (1967)).
func (f *Field) trace(e Electrodes, p electron, x float64) ending {
	ax, ay, az := f.force(p, x)
	for range mostSteps {
		speed := math.Sqrt(p.vx*p.vx + p.vy*p.vy + p.vz*p.vz)
		push := math.Sqrt(ax*ax + ay*ay + az*az)
		// At most a third of a cell, also for what the force adds.
		h := f.step / 3 / (speed + math.Sqrt(push*f.step) + 1e-9)
		p.vx += h / 2 * ax
		p.vy += h / 2 * ay
		p.vz += h / 2 * az
		p.x += h * p.vx
		p.y += h * p.vy
		p.z += h * p.vz
		if end := f.ends(e, p); end != flying {
			return end
		}
		ax, ay, az = f.force(p, x)
		p.vx += h / 2 * ax
		p.vy += h / 2 * ay
		p.vz += h / 2 * az
	}
	return lost
}

// force returns the acceleration of an electron. With the kinetic energy v^2 and
// the potential energy x phi it is half the slope of x phi, downwards.
func (f *Field) force(p electron, x float64) (ax, ay, az float64) {
	radius := math.Hypot(p.x, p.y)
	alongRadius, alongHeight := f.Slope(radius, p.z)
	if radius > 0 {
		ax, ay = -x/2*alongRadius*p.x/radius, -x/2*alongRadius*p.y/radius
	}
	return ax, ay, -x / 2 * alongHeight
}

// ends says whether an electron has met something.
func (f *Field) ends(e Electrodes, p electron) ending {
	radius := math.Hypot(p.x, p.y)
	if phi, metal := e.Inside(radius, p.z); metal {
		if phi > 0.5 {
			return collected
		}
		return returned
	}
	if radius > f.Radius || p.z < 0 || p.z > f.Height {
		return lost
	}
	return flying
}
