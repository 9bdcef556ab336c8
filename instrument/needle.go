package instrument

// Needle is a scale that a person reads. The zero Needle is none: the meter has
// digits.
type Needle struct {
	// Divisions from zero to the full scale, above zero for a needle.
	Divisions float64
	// Fraction of a division to which the person reads, above zero.
	Fraction float64
	// Parallax is the half-width in divisions of the range in which the error
	// of a session may lie that comes from looking at the needle from the side,
	// not negative. It is the same at every deflection, since the needle stands
	// at one height above the scale.
	Parallax float64
	// CentreZero says that the needle can also swing below zero, to minus the
	// full scale; otherwise it is stopped there.
	CentreZero bool
}

// Present reports whether the meter is a needle's.
func (n Needle) Present() bool { return n.Divisions > 0 }
