package instrument

// Supply gives the retarding voltage that its dial is set to. The zero Supply
// is an ideal one.
type Supply struct {
	// Offset in V and Gain, relative to the setting, are the half-widths of
	// the ranges in which the errors of a session may lie, not negative.
	Offset, Gain float64
	// Ripple is the amplitude in V of an alternating part of the voltage, not
	// negative. It is taken as fast against the dwell, so that a reading
	// averages over it.
	Ripple float64
}
