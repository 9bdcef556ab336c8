package reader

import (
	"slices"
	"strconv"
	"strings"
)

// wide reads a table with a column of currents for each wavelength, or with
// several columns of repeats of one curve.
func (l *layout) wide(list []series, o Options) ([]found, error) {
	time, err := l.one(times, "")
	if err != nil {
		return nil, err
	}
	out := make([]found, len(list))
	for k, s := range list {
		out[k] = l.columnCurve(s)
	}
	into, err := l.joinRepeats(list, out, o)
	if err != nil {
		return nil, err
	}
	for _, row := range l.body {
		if err := l.checkWidth(row); err != nil {
			return nil, err
		}
		for k, s := range list {
			if empty(row, s.current) { // a column may be shorter, or have gaps
				continue
			}
			if l.lacks(row, s) {
				continue
			}
			r, beyond, err := l.reading(row, s, time, -1)
			if err != nil {
				return nil, err
			}
			if !beyond {
				out[into[k]].Readings = append(out[into[k]].Readings, r)
			}
		}
	}
	return out, nil
}

// sideBySide says whether columns of current are repeats of one reading at the
// voltage of their row: their headings differ by a number only, or are missing
// after the first one, and their numbers are alike.
func (l *layout) sideBySide(list []series) bool {
	first := l.columns[list[0].current]
	for _, s := range list {
		h := l.columns[s.current]
		switch {
		case h.dark, h.nm != 0, s.voltage != list[0].voltage, h.unit.power != first.unit.power:
			return false
		case h.repeats == 0 && unnumbered(h.text) != unnumbered(first.text):
			return false
		case l.profile(list[0].current).unlike(l.profile(s.current)):
			return false
		}
	}
	return true
}

// unnumbered returns the words of a heading without its unit and its digits.
func unnumbered(text string) string {
	name, _ := splitUnit(text)
	return strings.Join(wordsOf(name), " ")
}

// columnCurve returns the curve of a column of currents without its readings.
func (l *layout) columnCurve(s series) found {
	h, above := l.columns[s.current], l.textAbove(s)
	c := found{file: l.file, line: int(h.line)}
	c.Setting = h.text
	c.Wavelength = h.nm
	if h.nm == 0 && above != "" {
		c.Setting, c.Wavelength = above, wavelengthIn(above)
	}
	c.Dark = c.Wavelength == 0 && (h.dark || isDark(above))
	c.unnamed = c.Wavelength == 0 && !c.Dark
	if c.Setting == "" {
		c.Setting = "column " + strconv.Itoa(s.current+1)
	}
	return c
}

// joinRepeats returns, for each column of currents, the curve to which its
// readings go. That is its own, unless no heading tells a wavelength and the
// file is that of one curve: then the columns are its repeats, beside a dark
// one perhaps.
func (l *layout) joinRepeats(list []series, out []found, o Options) ([]int, error) {
	into := make([]int, len(list))
	first, lit, unnamed := -1, 0, 0
	place := make(map[int]int) // of a column's curve
	for k, c := range out {
		into[k] = k
		place[list[k].current] = k
		if of := l.columns[list[k].current].repeats; of > 0 {
			into[k] = place[of-1]
			continue
		}
		if c.Dark {
			continue
		}
		lit++
		if c.unnamed {
			unnamed++
			if first < 0 {
				first = k
			}
		}
	}
	if unnamed == 0 || len(o.Wavelengths) > 1 {
		return into, nil
	}
	if unnamed < lit && len(o.Wavelengths) > 0 {
		return into, nil // whose number will be compared
	}
	if unnamed < lit {
		return nil, l.at(l.columns[list[first].current].cell, "nothing tells the wavelength of this current; name it in the heading (as 405 nm), choose one current with --current-column, or give --wavelength")
	}
	for k, c := range out {
		if h := l.columns[list[k].current]; !c.Dark && h.kin != l.columns[list[first].current].kin {
			return nil, l.at(h.cell, "%s and %s are not repeats of one current by their headings; choose one with --current-column, or name a wavelength in each",
				l.columnName(list[first].current), l.columnName(list[k].current))
		}
	}
	whole := &out[first]
	l.nameByFile(whole, o)
	if whole.unnamed && len(o.Wavelengths) == 0 {
		return nil, l.at(l.columns[list[first].current].cell, "nothing tells the wavelength of this current; name it in the heading (as 405 nm) or name the file by it, choose one current with --current-column, or give --wavelength")
	}
	for k := range out {
		if into[k] != k {
			continue
		}
		if out[k].Dark && k != first {
			out[k].Setting = whole.Setting + ", " + out[k].Setting
			continue
		}
		into[k] = first
	}
	for k := range out {
		into[k] = into[into[k]]
	}
	if lit > 1 {
		l.guess("current-column", "%d columns of current are repeats of one curve", lit)
	}
	return into, nil
}

// textAbove returns what stands in the row above the headings of a pair of
// columns, as over merged cells.
func (l *layout) textAbove(s series) string {
	if len(l.above) == 0 {
		return ""
	}
	row := l.above[len(l.above)-1]
	left := s.current
	if s.voltage < s.current && len(l.with(voltages)) > 1 {
		left = s.voltage
	}
	for i := s.current; i >= left; i-- {
		if i < len(row) && row[i].text != "" {
			return row[i].text
		}
	}
	return ""
}

// dropDerived leaves out columns that were calculated from other columns of
// current and would count twice, with the uncertainties that follow them: means
// and the like beside their readings, and the least and the most beside their
// mean.
func (l *layout) dropDerived() {
	is := l.with(currents)
	some := func(is func(h heading) bool) bool {
		return slices.ContainsFunc(l.columns, func(h heading) bool { return h.role == currents && !h.dark && is(h) })
	}
	readings := some(func(h heading) bool { return !h.derived && !h.extreme })
	means := some(func(h heading) bool { return h.mean && !h.extreme })
	for _, i := range is {
		h := &l.columns[i]
		why := ""
		switch {
		case (readings || means) && h.extreme:
			why = "holds the least or the most of several currents"
		case readings && h.derived, means && h.derived && !h.mean:
			why = "is calculated from the other columns"
		}
		if why == "" {
			continue
		}
		h.role = ignored
		l.guess("current-column", "%s %s and is left out", l.columnName(i), why)
		if u := i + 1; readings && u < len(l.columns) && l.columns[u].role == currentUncertainties {
			l.columns[u].role = ignored
			l.guess("current-column", "%s goes with it", l.columnName(u))
		}
	}
}
