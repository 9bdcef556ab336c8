package reader

import (
	"slices"
	"strconv"
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
	if o.CurrentColumn == "" {
		l.adoptRepeats()
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
	switch teller := slices.IndexFunc(l.columns, heading.tellsCurves); {
	case len(list) == 1:
		out, err = l.long(list, o)
	case (teller >= 0 || hasRole(l.columns, frequencies)) && l.sideBySide(list):
		l.guess("current-column", "%d columns of current are repeats of one another", len(list))
		out, err = l.long(list, o)
	case teller >= 0:
		err = l.at(l.columns[teller].cell, "%s tells curves apart, and so do %d columns of current, which are no repeats of one another by their headings or numbers; choose one of these with --current-column",
			shown(l.columns[teller].text), len(list))
	default:
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
	l.noticeLeftOut()
	l.settleSigns(list, out, o)
	return out, nil
}

// series pairs each column of currents with the column of voltages at its
// left, or the only one, and with the column of uncertainties that follows.
func (l *layout) series() ([]series, error) {
	if len(l.with(voltages)) == 0 {
		if len(l.with(currents)) > 0 || !l.guessColumns() {
			return nil, l.at(l.columns[0].cell, "no column is named as the voltage; name the columns in the first row (as retarding_V, current_A), or choose with --voltage-column and --current-column")
		}
	}
	if len(l.with(currents)) == 0 {
		rest := l.numericColumns()
		if len(rest) == 0 {
			return nil, l.at(l.columns[0].cell, "no column is named as the current; name it in its heading (as current_A), or choose with --current-column")
		}
		for _, i := range rest {
			l.columns[i].role = currents
			l.guess("current-column", "%s holds the current", l.columnName(i))
		}
	}
	l.dropDerived()
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

// numeric says whether the first cell with a value in a column is a number.
func (l *layout) numeric(column int) bool {
	for _, row := range l.body {
		if !missing(cellAt(row, column).text) {
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
