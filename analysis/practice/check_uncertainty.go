package practice

import "math"

// uncertaintyChecks look at the stated uncertainty of h/e.
func uncertaintyChecks() []Check {
	return []Check{
		{Name: "method-bias",
			Looks: "The uncertainty is right for the student's own work, but the method is off by more than two of it on these readings.", find: methodBias},
	}
}

// methodBias tells what no scatter shows. It costs nothing.
func methodBias(c *Case) (Evidence, bool) {
	bias := c.MethodBias()
	x, _ := c.compared()
	e := about(100*bias, math.NaN(), "%")
	e.Method = x.Method
	return e, c.Uncertainty() == Fits && math.Abs(bias)*c.Truth.HOverE > 2*c.U()
}
