package practice

import "math"

// uncertaintyChecks look at the stated uncertainty of h/e.
func uncertaintyChecks() []Check {
	return []Check{
		{"scatter-only", Uncertainty, 0, false,
			"The uncertainty is that of the scatter about the own line, and the truth lies more than two of it away.", scatterOnly},
	}
}

func scatterOnly(c *Case) (Evidence, bool) {
	const digits = 0.06 // two digits
	u := Quantity{c.U(), c.Answer.U.Half * c.U() / c.Answer.U.Value}
	if c.Line == nil || !u.Given() || c.Uncertainty() != TooSmall {
		return Evidence{}, false
	}
	d := math.Abs(c.HOverE() - c.Truth.HOverE)
	return about(u.Value, d, "V s"), math.Abs(u.Value-c.Line.USlope) <= max(1.01*u.Half, digits*c.Line.USlope)
}
