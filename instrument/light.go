package instrument

import (
	"cmp"
	"math"
	"slices"

	"stopvolt/physics"
)

// A Light is one setting of the light: a source, a filter and a neutral
// attenuator. The zero Light is the closed shutter.
type Light struct {
	// Name of the setting, such as "violet".
	Name string
	// Nominal is the wavelength in nm in standard air that the analyst is
	// told.
	Nominal float64
	// Lines are those of the source.
	Lines []physics.SpectralLine
	// Flux is the power in W of all lines together that would reach the cell
	// without filter and attenuator.
	Flux float64
	// Filter is the coloured filter in front of the cell.
	Filter Filter
	// Neutral is the transmission of the neutral attenuator, from 0 to 1.
	Neutral float64
	// Shift in V, of either sign, adds to the retarding voltage that the
	// electrons of this setting meet: the spot that the beam lights has another
	// work function than the rest, or the cell has drifted between two settings.
	Shift float64
}

// Filter is an interference filter with a Gaussian pass band over a blocking
// floor. The zero Filter is no filter.
type Filter struct {
	// Centre and Width (full at half maximum) are in nm; a Width of 0 is no
	// filter.
	Centre, Width float64
	// Peak is the transmission at the centre, and Blocking that far from it,
	// both from 0 to 1, and Blocking not above Peak.
	Peak, Blocking float64
}

// Transmission returns that at a wavelength in nm.
func (f Filter) Transmission(wavelength float64) float64 {
	if f.Width == 0 {
		return 1
	}
	x := (wavelength - f.Centre) / f.Width
	return f.Blocking + (f.Peak-f.Blocking)*math.Exp(-4*math.Ln2*x*x)
}

// Spectrum returns the lines that arrive at the cell, their weights being
// powers in W. Lines without power are left out.
func (l Light) Spectrum() []physics.SpectralLine {
	var sum float64
	for _, line := range l.Lines {
		sum += line.Weight
	}
	var arriving []physics.SpectralLine
	for _, line := range l.Lines {
		power := l.Flux * line.Weight / sum * l.Neutral * l.Filter.Transmission(line.Wavelength)
		if power > 0 {
			arriving = append(arriving, physics.SpectralLine{Wavelength: line.Wavelength, Weight: power})
		}
	}
	return arriving
}

// leastGroup is the distance in nm from the nominal wavelength up to which a
// line belongs to the setting however narrow the filter, and groupGap that from
// a line which belongs to the next: the mercury lines at 404.7 and 407.8 nm are
// one multiplet, and the lines that stand for a band stand closer.
const leastGroup, groupGap = 5, 8

// sorted returns the lines that arrive, those that the setting is meant to have
// apart from neighbours that leak through.
func (l Light) sorted() (own, neighbours []physics.SpectralLine) {
	lines := l.Spectrum()
	slices.SortFunc(lines, func(a, b physics.SpectralLine) int { return cmp.Compare(a.Wavelength, b.Wavelength) })
	// The run of lines in the window, and those joined to it.
	window := max(1.5*l.Filter.Width, leastGroup)
	first, last := len(lines), -1
	for i, line := range lines {
		if math.Abs(line.Wavelength-l.Nominal) <= window {
			first, last = min(first, i), i
		}
	}
	if last < 0 {
		return nil, lines
	}
	for first > 0 && lines[first].Wavelength-lines[first-1].Wavelength <= groupGap {
		first--
	}
	for last < len(lines)-1 && lines[last+1].Wavelength-lines[last].Wavelength <= groupGap {
		last++
	}
	neighbours = append(neighbours, lines[:first]...)
	return lines[first : last+1], append(neighbours, lines[last+1:]...)
}

// sending returns the setting with a source of which the given lines arrive,
// their weights being powers in W. The filter must pass each of them.
func (l Light) sending(arriving []physics.SpectralLine) Light {
	l.Lines, l.Flux = nil, 0
	for _, line := range arriving {
		line.Weight /= l.Neutral * l.Filter.Transmission(line.Wavelength)
		l.Flux += line.Weight
		l.Lines = append(l.Lines, line)
	}
	return l
}

// Effective returns the wavelength in nm in standard air whose photon energy is
// the mean of the photons that arrive, without those of neighbour lines, and
// the nominal one where none arrive.
func (l Light) Effective() float64 {
	own, _ := l.sorted()
	switch len(own) {
	case 0:
		return l.Nominal
	case 1:
		return own[0].Wavelength
	}
	var photons, wavenumbers float64
	for _, line := range own {
		vacuum := physics.VacuumWavelength(line.Wavelength)
		photons += line.Weight * vacuum
		wavenumbers += line.Weight
	}
	vacuum := photons / wavenumbers
	return vacuum / physics.RefractiveIndex(vacuum)
}
