package reader

import (
	"math"
)

// settleUnits gives each column of voltages and currents a unit: the one asked
// for, the one in its heading, or one guessed from the size of the numbers.
func (l *layout) settleUnits(list []series, o Options) error {
	asked := make(map[quantity]unit)
	for q, text := range map[quantity]string{voltage: o.VoltageUnit, current: o.CurrentUnit} {
		u, err := askedUnit(text, q)
		if err != nil {
			return &Error{Text: err.Error()}
		}
		asked[q] = u
	}
	settle := func(q quantity, option string, guess func(largest float64) unit, columns ...int) {
		most, open, told := 0.0, false, make(map[unit]bool)
		for _, i := range columns {
			h := &l.columns[i]
			if asked[q].symbol != "" {
				h.unit = asked[q]
			}
			if h.unit.symbol == "" {
				open = true
				most = max(most, l.largest(i))
				continue
			}
			told[h.unit] = true
		}
		if !open {
			return
		}
		u := guess(most)
		if len(told) == 1 { // that of the neighbours
			for u = range told {
			}
		}
		for _, i := range columns {
			if l.columns[i].unit.symbol == "" {
				l.columns[i].unit = u
			}
		}
		l.guess(option, "the %v is in %s", q, u.symbol)
	}
	var vs, is []int
	for _, s := range list {
		vs, is = append(vs, s.voltage), append(is, s.current)
	}
	settle(voltage, "voltage-unit", guessVoltageUnit, vs...)
	settle(current, "current-unit", guessCurrentUnit, is...)
	for _, s := range list {
		if s.uncertainty >= 0 {
			l.columns[s.uncertainty].followUnit(l.columns[s.current].unit)
		}
	}
	return nil
}

// largest returns the largest magnitude in a column, as it stands.
func (l *layout) largest(column int) float64 {
	most := 0.0
	for _, row := range l.body {
		if column < len(row) {
			if x, err := parseNumber(row[column].text, l.decimal); err == nil {
				most = max(most, math.Abs(x))
			}
		}
	}
	return most
}

// guessVoltageUnit guesses the unit from the largest number: no photocell is
// swept over more than some ten volts.
func guessVoltageUnit(most float64) unit {
	if most > 30 {
		return units["mV"]
	}
	return units["V"]
}

// guessCurrentUnit guesses the unit from the largest number: photocells give
// picoamperes to some hundred nanoamperes.
func guessCurrentUnit(most float64) unit {
	switch {
	case most < 1e-4:
		return units["A"]
	case most < 20:
		return units["nA"]
	}
	return units["pA"]
}
