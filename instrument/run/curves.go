package run

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"
)

// A series is one column of currents with the column of its voltages.
type series struct {
	current, voltage, uncertainty int
}

// curves reads the curves of a table.
func (t *table) curves(o Options) ([]found, error) {
	l, err := t.findLayout()
	if err != nil {
		return nil, err
	}
	for _, asked := range []struct {
		name, option string
		role         role
	}{
		{o.VoltageColumn, "voltage-column", voltages}, {o.CurrentColumn, "current-column", currents},
		{o.WavelengthColumn, "wavelength-column", wavelengths}, {o.SettingColumn, "setting-column", settings},
	} {
		if err := l.assign(asked.name, asked.option, asked.role); err != nil {
			return nil, err
		}
	}
	if err := l.settleWaves(o); err != nil {
		return nil, err
	}
	list, err := l.series()
	if err != nil {
		return nil, err
	}
	if err := l.settleUnits(list, o); err != nil {
		return nil, err
	}
	var out []found
	if len(list) == 1 {
		out, err = l.long(list[0], o)
	} else {
		out, err = l.wide(list, o)
	}
	if err != nil {
		return nil, err
	}
	if len(out) == 0 {
		return nil, &Error{File: t.file, Text: "has headings and no readings; rows of voltage and current are needed below them"}
	}
	l.settleSigns(list, out, o)
	return out, nil
}

// series pairs each column of currents with the column of voltages at its
// left, or the only one, and with the column of uncertainties that follows.
func (l *layout) series() ([]series, error) {
	if len(l.with(voltages)) == 0 {
		if len(l.with(currents)) == 0 && len(l.columns) == 2 {
			l.columns[0].role, l.columns[1].role = voltages, currents
			l.guess("voltage-column", "column 1 holds the voltage and column 2 the current")
		} else {
			return nil, l.at(l.columns[0].cell, "no column is named as the voltage; name the columns in the first row (as retarding_V, current_A), or choose with --voltage-column and --current-column")
		}
	}
	if len(l.with(currents)) == 0 {
		rest := l.with(ignored)
		rest = slices.DeleteFunc(rest, func(i int) bool { return l.columns[i].text == "" })
		if len(rest) != 1 {
			return nil, l.at(l.columns[0].cell, "no column is named as the current; name it in its heading (as current_A), or choose with --current-column")
		}
		l.columns[rest[0]].role = currents
		l.guess("current-column", "%s holds the current", shown(l.columns[rest[0]].text))
	}
	vs, is := l.with(voltages), l.with(currents)
	if len(vs) > 1 && len(vs) != len(is) {
		if _, err := l.one(voltages, "voltage-column"); err != nil {
			return nil, err
		}
	}
	us := l.with(currentUncertainties)
	out := make([]series, len(is))
	for k, i := range is {
		s := series{current: i, voltage: vs[0], uncertainty: -1}
		for _, v := range vs {
			if v < i {
				s.voltage = v
			}
		}
		for _, u := range us {
			if u > i && (k+1 == len(is) || u < is[k+1]) {
				s.uncertainty = u
				break
			}
		}
		out[k] = s
	}
	if len(out) == 1 && len(us) == 1 {
		out[0].uncertainty = us[0]
	}
	return out, nil
}

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
		most, open := 0.0, false
		for _, i := range columns {
			h := &l.columns[i]
			if asked[q].symbol != "" {
				h.unit = asked[q]
			}
			if h.unit.symbol == "" {
				open = true
				most = max(most, l.largest(i))
			}
		}
		if !open {
			return
		}
		u := guess(most)
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
		if s.uncertainty >= 0 && l.columns[s.uncertainty].unit.symbol == "" {
			l.columns[s.uncertainty].unit = l.columns[s.current].unit
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

// long reads a table with one column of currents, where other columns may tell
// the settings apart.
func (l *layout) long(s series, o Options) ([]found, error) {
	at := make(map[role]int)
	for _, r := range []role{settings, wavelengths, times, flags, frequencies} {
		i, err := l.one(r, map[role]string{settings: "setting-column", wavelengths: "wavelength-column"}[r])
		if err != nil {
			return nil, err
		}
		at[r] = i
	}
	if i := at[frequencies]; i >= 0 && at[wavelengths] < 0 {
		return nil, l.at(l.columns[i].cell, "curves are told apart by wavelength; a column wavelength_nm is needed in place of a frequency")
	}
	place := make(map[string]int)
	var out []found
	for _, row := range l.body {
		if empty(row, s.voltage, s.current, at[settings], at[wavelengths]) {
			continue
		}
		if err := l.checkWidth(row); err != nil {
			return nil, err
		}
		c, err := l.light(row, at[settings], at[wavelengths], l.columns[s.current])
		if err != nil {
			return nil, err
		}
		r, err := l.reading(row, s, at[times], at[flags])
		if err != nil {
			return nil, err
		}
		k, ok := place[c.Setting]
		if !ok {
			if k = len(out); k == mostCurves {
				return nil, l.at(cellAt(row, max(at[settings], at[wavelengths])), "here begins the %dth setting; a column of readings may be named as one of settings or wavelengths", k+1)
			}
			place[c.Setting] = k
			out = append(out, c)
		}
		if old := out[k]; old.Wavelength != c.Wavelength || old.Dark != c.Dark {
			return nil, l.at(cellAt(row, max(at[wavelengths], 0)), "setting %s is %s here and %s in line %d; a setting has one wavelength",
				shown(c.Setting), c.light(), old.light(), old.line)
		}
		out[k].Readings = append(out[k].Readings, r)
	}
	if at[settings] < 0 && at[wavelengths] < 0 && len(out) == 1 {
		l.nameByFile(&out[0], o)
	}
	if at[wavelengths] < 0 || l.columns[at[wavelengths]].text == columnNames[1] {
		return out, nil // in our own files an empty cell is no guess
	}
	for _, c := range out {
		if c.Dark && !isDark(c.Setting) {
			l.guess("", "setting %s has no wavelength and is taken for a dark curve", shown(c.Setting))
		}
	}
	return out, nil
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
		nm, err := l.wavelength(row, wave)
		if err != nil {
			return c, err
		}
		c.Wavelength = nm
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

// reading reads the values of a row.
func (l *layout) reading(row []cell, s series, time, flag int) (Reading, error) {
	var r Reading
	var err error
	if r.Retarding, err = l.number(row, s.voltage, voltage, l.columns[s.voltage].unit); err != nil {
		return r, err
	}
	if r.Current, err = l.number(row, s.current, current, l.columns[s.current].unit); err != nil {
		return r, err
	}
	if s.uncertainty >= 0 && !empty(row, s.uncertainty) {
		if r.Uncertainty, err = l.number(row, s.uncertainty, current, l.columns[s.uncertainty].unit); err != nil {
			return r, err
		}
		if r.Uncertainty < 0 {
			return r, l.at(row[s.uncertainty], "an uncertainty of %s is impossible; one above 0 is needed, or an empty cell", row[s.uncertainty].text)
		}
	}
	if time >= 0 && !empty(row, time) {
		if r.Time, err = l.number(row, time, duration, l.columns[time].unit); err != nil {
			return r, err
		}
	}
	if flag >= 0 && !empty(row, flag) {
		r.Flags = readFlags(row[flag].text)
	}
	return r, nil
}

// readFlags reads the words in a cell of flags; what other programs remark is
// passed over.
func readFlags(text string) Flags {
	var f Flags
	for _, w := range wordsOf(text) {
		for _, known := range flagWords {
			if w == known.word {
				f |= known.flag
			}
		}
	}
	return f
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
	if nm := l.remarkedWavelength(); nm != 0 {
		c.Wavelength, c.unnamed = nm, false
		return
	}
	if nm := wavelengthIn(name); nm != 0 && !isDark(name) {
		c.Wavelength, c.unnamed = nm, false
		l.guess("wavelength", "the wavelength is %v nm by the name", nm)
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
		return slices.ContainsFunc(wordsOf(s), func(w string) bool { return slices.Contains(wavelengthWords, w) })
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

// wide reads a table with a column of currents for each wavelength.
func (l *layout) wide(list []series, o Options) ([]found, error) {
	for _, r := range []role{settings, wavelengths} {
		if i := slices.IndexFunc(l.columns, func(h heading) bool { return h.role == r }); i >= 0 {
			return nil, l.at(l.columns[i].cell, "%s tells curves apart, and so do %d columns of current; choose one of these with --current-column",
				shown(l.columns[i].text), len(list))
		}
	}
	time, err := l.one(times, "")
	if err != nil {
		return nil, err
	}
	out := make([]found, len(list))
	for k, s := range list {
		h := l.columns[s.current]
		above := l.textAbove(s)
		nm := h.nm
		if nm == 0 {
			nm = wavelengthIn(above)
		}
		c := found{file: l.file, line: int(h.line)}
		c.Wavelength = nm
		c.Dark = nm == 0 && (h.dark || isDark(above))
		c.unnamed = nm == 0 && !c.Dark
		c.Setting = h.text
		if h.nm == 0 && above != "" {
			c.Setting = above
		}
		if c.Setting == "" {
			c.Setting = "column " + strconv.Itoa(s.current+1)
		}
		out[k] = c
		if c.unnamed && len(o.Wavelengths) == 0 {
			return nil, l.at(h.cell, "nothing tells the wavelength of this current; name it in the heading (as 405 nm), choose one current with --current-column, or give --wavelength")
		}
	}
	for _, row := range l.body {
		if err := l.checkWidth(row); err != nil {
			return nil, err
		}
		for k, s := range list {
			if empty(row, s.current) { // a column may be shorter, or have gaps
				continue
			}
			r, err := l.reading(row, s, time, -1)
			if err != nil {
				return nil, err
			}
			out[k].Readings = append(out[k].Readings, r)
		}
	}
	return slices.DeleteFunc(out, func(c found) bool { return len(c.Readings) == 0 }), nil
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
