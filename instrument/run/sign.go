package run

import "math"

// settleSigns turns the curves of a table to retarding voltage and forward
// current. The current falls as the retarding voltage rises, which tells the
// product of the two signs; that most of the current flows forward tells them
// apart, unless the heading of the voltages or the user says it.
func (l *layout) settleSigns(list []series, curves []found, o Options) {
	v := l.columns[list[0].voltage]
	i := l.columns[list[0].current]
	vSign, iSign := o.VoltageSign, o.CurrentSign
	if vSign == 0 && v.fixed {
		vSign = v.sign
	}
	if iSign == 0 && i.text == columnNames[3] {
		iSign = 1
	}
	if vSign == 0 || iSign == 0 {
		product, mostly := trend(curves)
		switch {
		case vSign == 0 && iSign == 0:
			iSign = mostly
			if v.sign != 0 && product == v.sign {
				iSign = 1
			}
			vSign = guessVoltageSign(product*iSign, v, curves)
		case vSign == 0:
			vSign = guessVoltageSign(product*iSign, v, curves)
		default:
			iSign = 1
			if mostly < 0 && product*vSign < 0 {
				iSign = -1
			}
		}
	}
	known := true // the sign of the voltage
	if o.VoltageSign == 0 && !v.fixed {
		product, _ := trend(curves)
		known = product != 0 || v.sign != 0
		if known && vSign != v.sign {
			l.guess("voltage-sign", "the voltage is %s, since the current falls that way", voltageName(vSign))
		}
	}
	if o.CurrentSign == 0 && iSign < 0 {
		l.guess("current-sign", "the current counts as negative from emitter to collector")
	}
	for n := range curves {
		c := &curves[n]
		c.sign, c.signKnown = vSign, known
		if vSign < 0 {
			c.turnVoltage()
		}
		for k := range c.Readings {
			if r := &c.Readings[k]; iSign < 0 {
				r.Current = 0 - r.Current
			}
		}
	}
}

// voltageName names the voltage of a sign.
func voltageName(sign int) string {
	if sign < 0 {
		return "the collector's potential, negative where it retards"
	}
	return "the retarding voltage"
}

// turnVoltage turns the collector's potential to the retarding voltage, or back.
func (c *found) turnVoltage() {
	for k := range c.Readings {
		c.Readings[k].Retarding = 0 - c.Readings[k].Retarding
	}
}

// alignSigns gives curves that do not show the sign of their voltage, such as
// dark ones, the sign that most of the others have.
func (g *gatherer) alignSigns() {
	sum := 0
	for _, c := range g.curves {
		if c.signKnown {
			sum += c.sign
		}
	}
	for k := range g.curves {
		c := &g.curves[k]
		if c.signKnown {
			continue
		}
		why := "though nothing in the file shows it"
		if sum != 0 {
			why = "as in the other curves"
			if sum*c.sign < 0 {
				c.turnVoltage()
				c.sign = -c.sign
			}
		}
		g.guesses = append(g.guesses, Guess{File: c.file, Text: "the voltage is " + voltageName(c.sign) + ", " + why, Option: "voltage-sign"})
	}
}

// guessVoltageSign returns the sign that the data give, the heading's where
// they give none, and without either that of voltages which are all negative.
func guessVoltageSign(byData int, v heading, curves []found) int {
	switch {
	case byData != 0:
		return byData
	case v.sign != 0:
		return v.sign
	}
	for _, c := range curves {
		for _, r := range c.Readings {
			if r.Retarding > 0 {
				return 1
			}
		}
	}
	return -1
}

// trend returns the product of the signs of voltage and current as the curves
// show it, 0 where none does, and the sign of the larger currents.
func trend(curves []found) (product, mostly int) {
	correlation, lit, extremes := 0.0, 0, 0.0
	for _, c := range curves {
		if c.Dark || len(c.Readings) < 2 {
			continue
		}
		r, low, high := correlate(c.Readings)
		correlation += r
		lit++
		if s := math.Max(math.Abs(low), math.Abs(high)); s > 0 {
			extremes += low/s + high/s
		}
	}
	mostly = 1
	if extremes < 0 {
		mostly = -1
	}
	const clear = 0.3 // of a correlation between -1 and 1
	switch {
	case correlation < -clear*float64(lit):
		product = 1
	case correlation > clear*float64(lit):
		product = -1
	}
	return product, mostly
}

// correlate returns the correlation of current and voltage, 0 where either
// does not vary, and the limits of the current.
func correlate(readings []Reading) (r, low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	vScale, iScale := 0.0, 0.0
	for _, x := range readings {
		low, high = math.Min(low, x.Current), math.Max(high, x.Current)
		vScale, iScale = math.Max(vScale, math.Abs(x.Retarding)), math.Max(iScale, math.Abs(x.Current))
	}
	if vScale == 0 || iScale == 0 {
		return 0, low, high
	}
	// Scaled to at most 1, no square over- or underflows.
	var v, i float64
	n := float64(len(readings))
	for _, x := range readings {
		v += x.Retarding / vScale / n
		i += x.Current / iScale / n
	}
	var vv, ii, vi float64
	for _, x := range readings {
		dv, di := x.Retarding/vScale-v, x.Current/iScale-i
		vv, ii, vi = vv+dv*dv, ii+di*di, vi+dv*di
	}
	if vv == 0 || ii == 0 {
		return 0, low, high
	}
	return vi / math.Sqrt(vv*ii), low, high
}
