package reader

import (
	"cmp"
	"math"
	"slices"

	"stopvolt/instrument/run"
)

// settleSigns turns the curves of a table to retarding voltage and forward
// current.
func (l *layout) settleSigns(list []series, curves []found, o Options) {
	v, i := l.columns[list[0].voltage], l.columns[list[0].current]
	product, forward := trend(curves)
	vSign, iSign := chooseSigns(v, i, curves, o, product, forward)
	known := o.VoltageSign != 0 || v.sign != 0 || product != 0
	if o.VoltageSign == 0 && !v.fixed && known && vSign != v.sign {
		l.guess("voltage-sign", "the voltage is %s, since the current falls that way", voltageName(vSign))
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

// chooseSigns returns the signs of voltage and current. The current falls as
// the retarding voltage rises, which tells the product of the two; the sign of
// what flows forward tells them apart, unless the user or a heading does.
func chooseSigns(v, i heading, curves []found, o Options, product, forward int) (vSign, iSign int) {
	vSign, iSign = o.VoltageSign, o.CurrentSign
	if vSign == 0 && v.fixed {
		vSign = v.sign
	}
	if iSign == 0 && i.text == run.ColumnCurrent {
		iSign = 1
	}
	if iSign == 0 {
		iSign = forward
		named := cmp.Or(vSign, v.sign)
		if named != 0 && product != -named {
			iSign = 1 // as it stands, the current falls against the named voltage
		}
	}
	if vSign == 0 {
		vSign = guessVoltageSign(product*iSign, v, curves)
	}
	return vSign, iSign
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
	sign := 1
	for _, c := range curves {
		for _, r := range c.Readings {
			if r.Retarding > 0 {
				return 1
			}
			if r.Retarding < 0 {
				sign = -1
			}
		}
	}
	return sign
}

// trend returns the product of the signs of voltage and current as the curves
// show it, 0 where none does, and the sign of the current that flows forward.
func trend(curves []found) (product, forward int) {
	correlation, lit, direction := 0.0, 0, 0
	for _, c := range curves {
		if c.Dark || len(c.Readings) < 2 {
			continue
		}
		s := shapeOf(c.Readings)
		correlation += s.correlation
		lit++
		direction += s.direction()
	}
	forward = 1
	if direction < 0 {
		forward = -1
	}
	const clear = 0.3 // of a correlation between -1 and 1
	switch {
	case correlation < -clear*float64(lit):
		product = 1
	case correlation > clear*float64(lit):
		product = -1
	}
	return product, forward
}

// A shape is what a curve looks like whatever its units are.
type shape struct {
	// correlation is that of current and voltage, 0 where either is constant.
	correlation float64
	// low and high are the limits of the current.
	low, high float64
	// sag is how far the mean current over the voltage lies below the chord
	// from one end to the other, as a share of high less low.
	sag float64
}

// direction returns the sign of the forward current, 0 where it is not clear.
// Forward current is much larger than reverse current, unless the sweep begins
// close to the cutoff; there it still is the current that bends away from the
// chord, since the reverse one saturates.
func (s shape) direction() int {
	const much, bent = 3, 0.05
	switch {
	case s.high > -much*s.low && s.high > 0:
		return 1
	case -s.low > much*s.high && s.low < 0:
		return -1
	case s.sag > bent:
		return 1
	case s.sag < -bent:
		return -1
	}
	return 0
}

// shapeOf returns the shape of a curve.
func shapeOf(readings []run.Reading) shape {
	sorted := slices.Clone(readings)
	slices.SortFunc(sorted, func(a, b run.Reading) int { return cmp.Compare(a.Retarding, b.Retarding) })
	s := shape{low: math.Inf(1), high: math.Inf(-1)}
	vScale, iScale := 0.0, 0.0
	for _, x := range sorted {
		s.low, s.high = math.Min(s.low, x.Current), math.Max(s.high, x.Current)
		vScale, iScale = math.Max(vScale, math.Abs(x.Retarding)), math.Max(iScale, math.Abs(x.Current))
	}
	if vScale == 0 || iScale == 0 {
		return s
	}
	// Scaled to at most 1, no square over- or underflows.
	v := func(k int) float64 { return sorted[k].Retarding / vScale }
	i := func(k int) float64 { return sorted[k].Current / iScale }
	var vMean, iMean, area float64
	n := len(sorted)
	for k := range sorted {
		vMean += v(k) / float64(n)
		iMean += i(k) / float64(n)
		if k > 0 {
			area += (v(k) - v(k-1)) * (i(k) + i(k-1)) / 2
		}
	}
	var vv, ii, vi float64
	for k := range sorted {
		dv, di := v(k)-vMean, i(k)-iMean
		vv, ii, vi = vv+dv*dv, ii+di*di, vi+dv*di
	}
	if vv == 0 || ii == 0 {
		return s
	}
	s.correlation = vi / math.Sqrt(vv) / math.Sqrt(ii)
	chord := (i(0) + i(n-1)) / 2
	s.sag = (chord - area/(v(n-1)-v(0))) / (s.high/iScale - s.low/iScale)
	return s
}
