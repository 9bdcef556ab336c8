package reader

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"stopvolt/instrument/run"
)

// longColumns are the places of the columns beside voltage and current, -1
// where there is none.
type longColumns struct {
	setting, wave, time, flag, sweep int
}

// longColumns finds the columns beside voltage and current.
func (l *layout) longColumns() (longColumns, error) {
	var at longColumns
	freq := -1
	for _, c := range []struct {
		place  *int
		role   role
		option string
	}{
		{&at.setting, settings, "setting-column"}, {&at.wave, wavelengths, "wavelength-column"}, {&freq, frequencies, ""},
		{&at.time, times, ""}, {&at.flag, flags, ""},
	} {
		var err error
		if *c.place, err = l.one(c.role, c.option); err != nil {
			return at, err
		}
	}
	if at.wave < 0 {
		at.wave = freq
	}
	at.sweep = -1
	if i := slices.IndexFunc(l.with(sweeps), l.tellsSweeps); i >= 0 {
		at.sweep = l.with(sweeps)[i]
	}
	return at, nil
}

// tellsSweeps says whether a column has several values and repeats them, as one
// that counts the rows does not.
func (l *layout) tellsSweeps(column int) bool {
	values := make(map[string]bool)
	for _, row := range l.body {
		values[cellAt(row, column).text] = true
	}
	delete(values, "")
	return len(values) > 1 && 2*len(values) <= len(l.body) && len(values) <= mostCurves
}

// long reads a table with one column of currents, or several of repeats side by
// side, where other columns may tell the settings apart.
func (l *layout) long(list []series, o Options) ([]found, error) {
	at, err := l.longColumns()
	if err != nil {
		return nil, err
	}
	l.fillDown(at.setting, at.wave)
	l.fillNames(at.setting, at.wave)
	place := make(map[string]int)
	var out []found
	for _, row := range l.body {
		if empty(row, append(amounts(list), at.setting, at.wave)...) {
			continue
		}
		if err := l.checkWidth(row); err != nil {
			return nil, err
		}
		for _, s := range l.filled(row, list) {
			c, err := l.light(row, at.setting, at.wave, l.columns[s.current])
			if err != nil {
				return nil, err
			}
			r, beyond, err := l.reading(row, s, at.time, at.flag)
			if err != nil {
				return nil, err
			}
			if beyond {
				continue
			}
			if at.sweep >= 0 {
				c.sweep = cellAt(row, at.sweep).text
			}
			name := c.Setting + "\n" + c.sweep
			k, ok := place[name]
			if !ok {
				if k = len(out); k == mostCurves {
					return nil, l.at(cellAt(row, max(at.setting, at.wave)), "here begins the %dth setting; a column of readings may be named as one of settings or wavelengths", k+1)
				}
				place[name] = k
				out = append(out, c)
			}
			if old := out[k]; old.Wavelength != c.Wavelength || old.Dark != c.Dark {
				return nil, l.at(cellAt(row, max(at.wave, 0)), "setting %s is %s here and %s in line %d; a setting has one wavelength",
					shown(c.Setting), c.light(), old.light(), old.line)
			}
			out[k].Readings = append(out[k].Readings, r)
		}
	}
	l.settleLight(out, at, o)
	if at.sweep >= 0 {
		for k := range out {
			if c := &out[k]; c.sweep != "" {
				c.Setting += ", " + l.columns[at.sweep].text + " " + c.sweep
			}
		}
		l.guess("setting-column", "the sweeps that %s tells apart are curves of their own", l.columnName(at.sweep))
	}
	return out, nil
}

// amounts returns the columns of the voltages and currents of series.
func amounts(list []series) []int {
	var all []int
	for _, s := range list {
		all = append(all, s.voltage, s.current)
	}
	return all
}

// filled returns those series that have a reading in a row. Of several repeats
// some may be missing; a row without any lacks its value.
func (l *layout) filled(row []cell, list []series) []series {
	some := slices.DeleteFunc(slices.Clone(list), func(s series) bool { return len(list) > 1 && missing(cellAt(row, s.current).text) })
	if len(some) == 0 {
		some = list
	}
	if l.lacks(row, some[0]) {
		return nil
	}
	return some
}

// settleLight names the light of the only curve of a file that has no column
// of wavelengths, and remarks on curves that are dark for want of one.
func (l *layout) settleLight(curves []found, at longColumns, o Options) {
	if at.wave < 0 && !slices.ContainsFunc(curves, func(c found) bool { return c.Setting != curves[0].Setting }) {
		for k := range curves {
			c := &curves[k]
			setting := c.Setting
			l.nameByFile(c, o)
			c.Setting = cmp.Or(setting, c.Setting)
		}
	}
	if at.wave < 0 || l.columns[at.wave].text == run.ColumnWavelength {
		return // in our own files an empty cell is no guess
	}
	for _, c := range curves {
		if c.Dark && !isDark(c.Setting) {
			l.guess("", "setting %s has no wavelength and is taken for a dark curve", shown(c.Setting))
		}
	}
}

// fillDown repeats the setting and the wavelength in the rows below which lack
// both, as people leave them out and as merged cells are stored. It does not
// where two rows in sequence tell the same: there an empty cell means the dark.
func (l *layout) fillDown(setting, wave int) {
	told := func(row []cell) (string, bool) {
		text := ""
		for _, i := range []int{setting, wave} {
			if i >= 0 {
				text += cellAt(row, i).text + "\n"
			}
		}
		return text, strings.Trim(text, "\n") != ""
	}
	before, gaps := "", false
	for k, row := range l.body {
		now, ok := told(row)
		if k == 0 && !ok || ok && now == before {
			return
		}
		before, gaps = now, gaps || !ok
	}
	if !gaps {
		return
	}
	var last []cell
	for k, row := range l.body {
		if _, ok := told(row); ok {
			last = row
			continue
		}
		for _, i := range []int{setting, wave} {
			if i >= 0 && i < len(last) {
				for len(row) <= i {
					row = append(row, cell{line: row[0].line})
				}
				row[i].text = last[i].text
			}
		}
		l.body[k] = row
	}
	l.guess("", "empty cells below a setting or wavelength repeat it")
}

// fillNames repeats a name in the rows below of its wavelength that have none, where
// people label each curve once. It does not for a wavelength at which two rows in
// sequence have the same name: there an empty cell may mean another setting, such as
// one without the filter.
func (l *layout) fillNames(setting, wave int) {
	if setting < 0 || wave < 0 {
		return
	}
	before := make(map[string]string) // by what tells the wavelength
	each := make(map[string]bool)
	for _, row := range l.body {
		light, name := cellAt(row, wave).text, cellAt(row, setting).text
		each[light] = each[light] || name != "" && name == before[light]
		before[light] = name
	}
	above, filled := make(map[string]string), false
	for k, row := range l.body {
		light, name := cellAt(row, wave).text, cellAt(row, setting).text
		switch {
		case light == "" || each[light]:
		case name != "":
			above[light] = name
		case above[light] != "":
			for len(row) <= setting {
				row = append(row, cell{line: row[0].line})
			}
			row[setting].text, filled = above[light], true
			l.body[k] = row
		}
	}
	if filled {
		l.guess("setting-column", "empty cells of %s at a wavelength repeat the name above", l.columnName(setting))
	}
}

// light reads what tells one curve from another in a row.
func (l *layout) light(row []cell, setting, wave int, above heading) (found, error) {
	c := found{file: l.file, line: int(row[0].line)}
	if setting >= 0 {
		c.Setting = cellAt(row, setting).text
		if c.Setting == "" && wave < 0 {
			return c, l.at(cellAt(row, setting), "the setting is missing; a name such as violet is needed")
		}
	}
	if wave >= 0 {
		text := cellAt(row, wave).text
		if text == "" || isDark(text) {
			c.Dark = true
			c.Setting = cmp.Or(c.Setting, "dark")
			return c, nil
		}
		nm, err := l.lightAt(row, wave)
		if err != nil {
			return c, err
		}
		c.Wavelength = nm
		if h := l.columns[wave]; h.role == frequencies {
			c.Setting = cmp.Or(c.Setting, text+" "+symbolOr(h.unit, "Hz"))
		}
		c.Setting = cmp.Or(c.Setting, strconv.FormatFloat(nm, 'g', -1, 64)+" nm")
		return c, nil
	}
	if setting >= 0 {
		c.Wavelength = wavelengthIn(c.Setting)
		c.Dark = c.Wavelength == 0 && isDark(c.Setting)
	} else {
		c.Wavelength, c.Dark = above.nm, above.dark
	}
	c.unnamed = c.Wavelength == 0 && !c.Dark
	return c, nil
}

// nameByFile names the only curve of a file after it, and looks for its
// wavelength there and in what stands above the table.
func (l *layout) nameByFile(c *found, o Options) {
	name := baseName(l.file)
	if namesLight(l.sheet) {
		name = l.sheet
	}
	c.Setting = name
	if !c.unnamed || len(o.Wavelengths) > 0 {
		return
	}
	nm := wavelengthIn(name)
	if inside := l.remarkedWavelength(); inside != 0 {
		c.Wavelength, c.unnamed = inside, false
		if nm != 0 && math.Abs(nm-inside) > 1 {
			l.guess("wavelength", "the wavelength is %.7g nm as the file says inside, not %.7g nm as its name does", inside, nm)
		}
		return
	}
	if nm != 0 && !isDark(name) {
		c.Wavelength, c.unnamed = nm, false
		l.guess("wavelength", "the wavelength is %.7g nm by the name", nm)
		l.guesses[len(l.guesses)-1].nm = nm
		return
	}
	if isDark(name) {
		c.Dark, c.unnamed = true, false
		l.guess("", "is a dark curve by its name")
	}
}

// remarkedWavelength looks for the wavelength in the comments and the rows
// above the headings.
func (l *layout) remarkedWavelength() float64 {
	speaks := func(s string) bool {
		return slices.ContainsFunc(wordsOf(s), func(w string) bool { return slices.Contains(wavelengthWords, w) || slices.Contains(frequencyWords, w) })
	}
	for _, r := range l.remarks {
		if speaks(r.text) {
			if nm := wavelengthIn(r.text); nm != 0 {
				return nm
			}
		}
	}
	for _, row := range l.above {
		var words []string
		for _, c := range row {
			words = append(words, c.text)
		}
		if s := strings.Join(words, " "); speaks(s) {
			if nm := wavelengthIn(s); nm != 0 {
				return nm
			}
		}
	}
	return 0
}
