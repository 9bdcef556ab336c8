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
	l.passOverTimes()
	var out []found
	if len(list) == 1 {
		out, err = l.long(list[0], o)
	} else {
		out, err = l.wide(list, o)
	}
	if err != nil {
		return nil, err
	}
	out = slices.DeleteFunc(out, func(c found) bool { return len(c.Readings) == 0 })
	if len(out) == 0 {
		return nil, &Error{File: t.file, Text: "has headings and no readings; rows of voltage and current are needed below them"}
	}
	l.noticeOverRange()
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
		rest := slices.DeleteFunc(l.with(ignored), func(i int) bool { return !l.numeric(i) })
		if len(rest) == 0 {
			return nil, l.at(l.columns[0].cell, "no column is named as the current; name it in its heading (as current_A), or choose with --current-column")
		}
		for _, i := range rest {
			l.columns[i].role = currents
			l.guess("current-column", "%s holds the current", l.columnName(i))
		}
	}
	l.dropMeans()
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

// numeric says whether the first cells with text in a column are numbers.
func (l *layout) numeric(column int) bool {
	for _, row := range l.body {
		if !empty(row, column) {
			_, err := parseNumber(row[column].text, l.decimal)
			return err == nil
		}
	}
	return false
}

// columnName names a column in a message by its heading or its number.
func (l *layout) columnName(column int) string {
	if text := l.columns[column].text; text != "" {
		return shown(text)
	}
	return "column " + strconv.Itoa(column+1)
}

// dropMeans leaves out columns of means beside the currents they are made of,
// which would count twice.
func (l *layout) dropMeans() {
	is := l.with(currents)
	if !slices.ContainsFunc(is, func(i int) bool { return !l.columns[i].mean }) {
		return
	}
	for _, i := range is {
		if l.columns[i].mean {
			l.columns[i].role = ignored
			l.guess("current-column", "%s holds means of the other columns and is left out", l.columnName(i))
		}
	}
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
	l.fillDown(at[settings], at[wavelengths])
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
		r, beyond, err := l.reading(row, s, at[times], at[flags])
		if err != nil {
			return nil, err
		}
		if beyond {
			continue
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

// passOverTimes takes the role from a column of times that are not in seconds,
// such as the hour of the day, unless its heading promises seconds.
func (l *layout) passOverTimes() {
	for _, i := range l.with(times) {
		if l.columns[i].unit.symbol == "" && !l.numeric(i) {
			l.columns[i].role = ignored
			l.guess("", "the times in %s are not in seconds and are passed over", l.columnName(i))
		}
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

// reading reads the values of a row; beyond says that the current was out of
// the meter's range and has no value.
func (l *layout) reading(row []cell, s series, time, flag int) (r Reading, beyond bool, err error) {
	if r.Retarding, err = l.number(row, s.voltage, voltage, l.columns[s.voltage].unit); err != nil {
		return r, false, err
	}
	if l.overRange(cellAt(row, s.current), l.columns[s.current]) {
		l.beyond++
		return r, true, nil
	}
	if r.Current, err = l.number(row, s.current, current, l.columns[s.current].unit); err != nil {
		return r, false, err
	}
	if r.Uncertainty, err = l.uncertainty(row, s.uncertainty, current, r.Current); err != nil {
		return r, false, err
	}
	if time >= 0 && !empty(row, time) {
		if r.Time, err = l.number(row, time, duration, l.columns[time].unit); err != nil {
			return r, false, err
		}
	}
	if flag >= 0 && !empty(row, flag) {
		r.Flags = readFlags(row[flag].text)
	}
	return r, false, nil
}

// overRangeWords are what meters show beyond their range (common practice, no
// source).
var overRangeWords = []string{"ol", "0l", "ovl", "ovld", "ovrflw", "over", "overload", "overflow", "overrange"}

// infinity is the number that instruments send in place of a value beyond the
// range, and a little more for one that is none (SCPI-1999, volume 1, section
// 7.2.1.4).
const infinity = 9.9e37

// overRange says whether a current was beyond the meter's range. A column
// named as in our own files has no such numbers.
func (l *layout) overRange(c cell, h heading) bool {
	if x, err := parseNumber(c.text, l.decimal); err == nil {
		return math.Abs(x) >= infinity && math.Abs(x) < 1e38 && h.text != columnNames[3]
	}
	return slices.Contains(overRangeWords, strings.ToLower(strings.Trim(c.text, "+-. ")))
}

// noticeOverRange remarks on the readings without a value.
func (l *layout) noticeOverRange() {
	if l.beyond > 0 {
		l.guess("", "%d readings beyond the meter's range are left out", l.beyond)
	}
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

// wide reads a table with a column of currents for each wavelength, or with
// several columns of repeats of one curve.
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
	for k, c := range out {
		into[k] = k
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
	if unnamed < lit {
		return nil, l.at(l.columns[list[first].current].cell, "nothing tells the wavelength of this current; name it in the heading (as 405 nm), choose one current with --current-column, or give --wavelength")
	}
	whole := &out[first]
	l.nameByFile(whole, o)
	if whole.unnamed && len(o.Wavelengths) == 0 {
		return nil, l.at(l.columns[list[first].current].cell, "nothing tells the wavelength of this current; name it in the heading (as 405 nm) or name the file by it, choose one current with --current-column, or give --wavelength")
	}
	for k := range out {
		if out[k].Dark && k != first {
			out[k].Setting = whole.Setting + ", " + out[k].Setting
			continue
		}
		into[k] = first
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
