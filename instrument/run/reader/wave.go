package reader

import (
	"math"

	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// lightSpeed is the speed of light in vacuum in nm THz, to translate a number
// in a message.
const lightSpeed = 299792.458

// settleWaves gives the columns of wavelengths and frequencies a unit: the one
// asked for, the one in the heading, or one guessed from the size of the
// numbers.
func (l *layout) settleWaves(o Options) error {
	for _, r := range []role{wavelengths, frequencies} {
		for _, i := range l.with(r) {
			h := &l.columns[i]
			if o.WavelengthUnit != "" {
				h.unit, _ = parseUnit(o.WavelengthUnit)
				if u, ok := h.unit.as(wavelength); ok {
					h.role, h.unit = wavelengths, u
				} else {
					h.role = frequencies
				}
				continue
			}
			if h.unit.symbol != "" {
				continue
			}
			u, ok := guessWaveUnit(quantityOf[r], l.largest(i))
			if ok {
				h.unit = u
				l.guess("wavelength-unit", "the %v is in %s", quantityOf[r], u.symbol)
			}
		}
	}
	for _, pair := range [][2]role{{wavelengthUncertainties, wavelengths}, {frequencyUncertainties, frequencies}} {
		of := l.with(pair[1])
		for _, i := range l.with(pair[0]) {
			if len(of) > 0 {
				l.columns[i].followUnit(l.columns[of[0]].unit)
			}
		}
	}
	return nil
}

// guessWaveUnit guesses the unit of a wavelength or a frequency from the
// largest number.
func guessWaveUnit(q quantity, most float64) (unit, bool) {
	var candidates []unit
	if q == wavelength {
		candidates = []unit{units["nm"], units["Å"], units["µm"], units["m"]}
	} else {
		hundred, _ := parseUnit("1e14 Hz")
		candidates = []unit{units["THz"], units["Hz"], units["PHz"], hundred}
	}
	for _, u := range candidates {
		nm := shift(most, u.power)
		if q == frequency {
			nm = lightSpeed / shift(nm, -12)
		}
		if run.PlausibleWavelength(nm) {
			return u, true
		}
	}
	return unit{}, false
}

// wavelength reads a wavelength in nm.
func (l *layout) wavelength(row []cell, column int) (float64, error) {
	u := l.columns[column].unit
	nm, err := l.number(row, column, wavelength, u)
	if err != nil {
		return 0, err
	}
	if run.PlausibleWavelength(nm) {
		return nm, nil
	}
	c := cellAt(row, column)
	raw := shift(nm, -u.power)
	switch hertz := math.Abs(raw); {
	case nm <= 0:
		return 0, l.at(c, "a wavelength of %s is impossible; one in nm is needed, or an empty cell for a dark curve", c.text)
	case run.PlausibleWavelength(lightSpeed / shift(hertz, -12)):
		return 0, l.at(c, "%s looks like a frequency in Hz; head the column frequency_Hz, or give the wavelength of %.4g nm", c.text, lightSpeed/shift(hertz, -12))
	case run.PlausibleWavelength(lightSpeed / shift(hertz, 2)):
		return 0, l.at(c, "%s looks like a frequency in 1e14 Hz; head the column so, or give the wavelength of %.4g nm", c.text, lightSpeed/shift(hertz, 2))
	case run.PlausibleWavelength(nm / 10):
		return 0, l.at(c, "a wavelength of %s %s looks like one in angstrom; %.6g nm is meant, or give --wavelength-unit angstrom", c.text, symbolOr(u, "nm"), nm/10)
	}
	return 0, l.at(c, "a wavelength of %s %s is out of reach; one of %v to %v nm is needed", c.text, symbolOr(u, "nm"), run.ShortestWavelength, run.LongestWavelength)
}

// frequency reads a frequency in Hz.
func (l *layout) frequency(row []cell, column int) (float64, error) {
	u := l.columns[column].unit
	hertz, err := l.number(row, column, frequency, u)
	if err != nil {
		return 0, err
	}
	if run.PlausibleWavelength(lightSpeed / shift(hertz, -12)) {
		return hertz, nil
	}
	c := cellAt(row, column)
	if raw := shift(hertz, -u.power); run.PlausibleWavelength(raw) {
		return 0, l.at(c, "%s %s is no frequency of light; if it is a wavelength in nm, head the column wavelength_nm", c.text, symbolOr(u, "Hz"))
	}
	return 0, l.at(c, "a frequency of %s %s is out of reach; light of %v to %v nm has %.3g to %.3g THz", c.text, symbolOr(u, "Hz"),
		run.ShortestWavelength, run.LongestWavelength, lightSpeed/run.LongestWavelength, lightSpeed/run.ShortestWavelength)
}

// airWavelength returns in nm the wavelength in standard air of light of a
// frequency in Hz, 0 where that can be none.
func airWavelength(hertz float64) float64 {
	if !run.PlausibleWavelength(lightSpeed / shift(hertz, -12)) {
		return 0
	}
	if nm := physics.AirWavelength(hertz); run.PlausibleWavelength(nm) {
		return nm
	}
	return 0
}

// lightAt reads the wavelength in nm in standard air of a row from its
// wavelength or its frequency.
func (l *layout) lightAt(row []cell, column int) (float64, error) {
	if l.columns[column].role != frequencies {
		return l.wavelength(row, column)
	}
	hertz, err := l.frequency(row, column)
	if err != nil {
		return 0, err
	}
	if nm := airWavelength(hertz); nm != 0 {
		return nm, nil
	}
	return 0, l.at(cellAt(row, column), "a frequency of %s is that of no light in air", cellAt(row, column).text)
}

// symbolOr returns the symbol of a unit, or another where none was stated.
func symbolOr(u unit, other string) string {
	if u.symbol == "" {
		return other
	}
	return u.symbol
}
