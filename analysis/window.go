package analysis

// A Windowed is a method that takes the readings of one stretch of the fall and no
// others.
type Windowed interface {
	Method
	// Window returns the stretch that led to a cutoff on p.
	Window(p *Prepared) Window
}

// A Window is a stretch of a curve.
type Window struct {
	// From and To are retarding voltages in V half way between the readings at its
	// ends and the next ones.
	From, To float64
	// High and Low are the photocurrents of the readings at its ends, in shares of
	// that at zero volts.
	High, Low float64
}

// taken returns the window of the readings from <= i < to, at least one.
func (p *Prepared) taken(from, to int) Window {
	level := p.level()
	before, after := max(from-1, 0), min(to, len(p.V)-1)
	return Window{
		From: (p.V[before] + p.V[from]) / 2, To: (p.V[to-1] + p.V[after]) / 2,
		High: p.above(from, level) / p.parts.Zero, Low: p.above(to-1, level) / p.parts.Zero,
	}
}

// Window is where the root of the current is called straight.
func (m SquareRoot) Window(p *Prepared) Window {
	return p.taken(p.window(straightRoot.times(m.Span), p.level(), 3))
}

// Window is where the power is fitted.
func (m PowerLaw) Window(p *Prepared) Window {
	return p.taken(p.window(straightPower.times(m.Span), p.level(), 4))
}

// Window is the steep end.
func (m SemiLog) Window(p *Prepared) Window {
	seen, _ := p.threefoldNoise()
	_, from, to := p.steepEnd(p.level(), seen, m.Span)
	return p.taken(from, to)
}

// Window is where the ruler is laid along the fall.
func (m Tangent) Window(p *Prepared) Window {
	_, from, to := p.fall(m.Span)
	return p.taken(from, to)
}
