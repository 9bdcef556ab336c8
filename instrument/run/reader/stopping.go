package reader

import (
	"fmt"
	"io"
	"math"
	"slices"
)

// A StoppingVoltage is one row of a table of stopping voltages against the
// light. The light is given by its wavelength or by its frequency; the other
// is 0.
type StoppingVoltage struct {
	// Line is that of the row in its file, from 1.
	Line int
	// Setting names the state of the light; it may be empty.
	Setting string
	// Wavelength is in nm in standard air; UWavelength is its standard
	// uncertainty in nm, 0 where it is not known.
	Wavelength, UWavelength float64
	// Frequency is in Hz; UFrequency is its standard uncertainty in Hz, 0
	// where it is not known.
	Frequency, UFrequency float64
	// Stopping is the stopping voltage in V, positive when the collector is
	// negative against the emitter; UStopping is its standard uncertainty in
	// V, 0 where it is not known.
	Stopping, UStopping float64
	// BelowThreshold says that the row has exactly 0 V where the other rows
	// leave no light that frees an electron: somebody wrote down that there
	// was no current, and no line should count it.
	BelowThreshold bool
}

// terahertz returns the frequency in THz without the index of air, to within
// 0.03 %.
func (s StoppingVoltage) terahertz() float64 {
	if s.Frequency != 0 {
		return s.Frequency / 1e12
	}
	return lightSpeed / s.Wavelength
}

// light names the light of a row.
func (s StoppingVoltage) light() string {
	if s.Frequency != 0 {
		return fmt.Sprintf("%.6g THz", s.Frequency/1e12)
	}
	return fmt.Sprintf("%.7g nm", s.Wavelength)
}

// ReadTable reads a table of stopping voltages: wavelength or frequency,
// voltage, and optional uncertainties of both, in columns that their headings
// name. It says what looks wrong in them: a frequency given as a wavelength is
// an error, a repeated wavelength is not.
//
// Faults in the input are of type *Error.
func ReadTable(s Source, o Options) ([]StoppingVoltage, []Guess, error) {
	if err := o.check(); err != nil {
		return nil, nil, err
	}
	tables, err := readTables(s, o)
	if err != nil {
		return nil, nil, err
	}
	if tables[0].sheet == "" {
		if err := o.noSheet(s.Name); err != nil {
			return nil, nil, err
		}
	}
	t := pick(tables, false, []role{voltages}, []role{wavelengths, frequencies})[0]
	l, err := t.findLayout()
	if err != nil {
		return nil, nil, err
	}
	rows, err := l.stoppingVoltages(o)
	if err != nil {
		return nil, nil, err
	}
	return rows, merged(t.guesses), nil
}

// ReadTableFile is ReadTable for the file at path, where "-" is standard
// input.
func ReadTableFile(path string, stdin io.Reader, o Options) ([]StoppingVoltage, []Guess, error) {
	var rows []StoppingVoltage
	var guesses []Guess
	err := withSource(path, stdin, func(s Source) (err error) {
		rows, guesses, err = ReadTable(s, o)
		return err
	})
	return rows, guesses, err
}

// stoppingColumns are the places of the columns, -1 where there is none.
type stoppingColumns struct {
	wave, uWave, freq, uFreq, volt, uVolt, name int
}

// stoppingVoltages reads the rows below the headings.
func (l *layout) stoppingVoltages(o Options) ([]StoppingVoltage, error) {
	at, err := l.stoppingColumns(o)
	if err != nil {
		return nil, err
	}
	var out []StoppingVoltage
	for _, row := range l.body {
		if empty(row, at.wave, at.freq, at.volt) {
			continue
		}
		if err := l.checkWidth(row); err != nil {
			return nil, err
		}
		s, err := l.stoppingRow(row, at)
		if err != nil {
			return nil, err
		}
		if empty(row, at.volt) {
			l.guess("", "line %d has no stopping voltage for %s and is left out", s.Line, s.light())
			continue
		}
		if len(out) == mostStopping {
			return nil, l.at(row[0], "here begins row %d; a table of stopping voltages has at most %d", mostStopping+1, mostStopping)
		}
		out = append(out, s)
	}
	if len(out) == 0 {
		return nil, &Error{File: l.file, Text: "has headings and no stopping voltages; rows of wavelength and voltage are needed below them"}
	}
	if err := l.turnStopping(out, at, o); err != nil {
		return nil, err
	}
	l.noticeRepeats(out)
	l.noticeThreshold(out)
	return out, nil
}

// stoppingColumns finds the columns and their units.
func (l *layout) stoppingColumns(o Options) (stoppingColumns, error) {
	none := stoppingColumns{}
	if err := l.assign(o.VoltageColumn, "voltage-column", voltages); err != nil {
		return none, err
	}
	if err := l.assign(o.WavelengthColumn, "wavelength-column", wavelengths); err != nil {
		return none, err
	}
	if err := l.assign(o.SettingColumn, "setting-column", settings); err != nil {
		return none, err
	}
	l.nameStoppingColumns()
	if err := l.settleWaves(o); err != nil {
		return none, err
	}
	var at stoppingColumns
	for _, c := range []struct {
		place  *int
		role   role
		option string
	}{
		{&at.wave, wavelengths, "wavelength-column"}, {&at.freq, frequencies, "wavelength-column"},
		{&at.volt, voltages, "voltage-column"}, {&at.name, settings, "setting-column"},
		{&at.uWave, wavelengthUncertainties, ""}, {&at.uFreq, frequencyUncertainties, ""}, {&at.uVolt, voltageUncertainties, ""},
	} {
		var err error
		if *c.place, err = l.one(c.role, c.option); err != nil {
			return none, err
		}
	}
	first := l.columns[0].cell
	switch {
	case at.volt < 0:
		return none, l.at(first, "no column is named as the stopping voltage; name it stopping_V, or choose with --voltage-column")
	case at.wave < 0 && at.freq < 0:
		return none, l.at(first, "no column is named as the wavelength or the frequency; name it wavelength_nm or frequency_Hz, or choose with --wavelength-column")
	case at.wave >= 0 && at.freq >= 0:
		l.guess("wavelength-column", "%s is used and %s is not", shown(l.columns[at.wave].text), shown(l.columns[at.freq].text))
		at.freq, at.uFreq = -1, -1
	}
	h := &l.columns[at.volt]
	u, err := askedUnit(o.VoltageUnit, voltage)
	if err != nil {
		return none, &Error{Text: err.Error()}
	}
	if u.symbol != "" {
		h.unit = u
	}
	if h.unit.symbol == "" {
		h.unit = guessVoltageUnit(l.largest(at.volt))
		l.guess("voltage-unit", "the voltage is in %s", h.unit.symbol)
	}
	if at.uVolt >= 0 {
		l.columns[at.uVolt].followUnit(h.unit)
	}
	return at, nil
}

// nameStoppingColumns gives roles to the columns of a table without headings
// of two or three columns: light, voltage and its uncertainty.
func (l *layout) nameStoppingColumns() {
	n := len(l.columns)
	if n < 2 || n > 3 || slices.ContainsFunc(l.columns, func(h heading) bool { return h.role != ignored }) {
		return
	}
	l.columns[0].role, l.columns[1].role = wavelengths, voltages
	if _, ok := guessWaveUnit(wavelength, l.largest(0)); !ok {
		l.columns[0].role = frequencies
	}
	text := "column 1 holds the " + quantityOf[l.columns[0].role].String() + " and column 2 the stopping voltage"
	if n == 3 {
		l.columns[2].role = voltageUncertainties
		text += ", column 3 its uncertainty"
	}
	l.guess("wavelength-column", "%s", text)
}

// stoppingRow reads the values of a row; a missing voltage is 0.
func (l *layout) stoppingRow(row []cell, at stoppingColumns) (StoppingVoltage, error) {
	s := StoppingVoltage{Line: int(row[0].line)}
	var err error
	if at.name >= 0 {
		s.Setting = cellAt(row, at.name).text
	}
	if at.wave >= 0 {
		s.Wavelength, err = l.wavelength(row, at.wave)
	} else {
		s.Frequency, err = l.frequency(row, at.freq)
	}
	if err != nil {
		return s, err
	}
	if !empty(row, at.volt) {
		if s.Stopping, err = l.number(row, at.volt, voltage, l.columns[at.volt].unit); err != nil {
			return s, err
		}
	}
	if s.UWavelength, err = l.uncertainty(row, at.uWave, wavelength, s.Wavelength); err != nil {
		return s, err
	}
	if s.UFrequency, err = l.uncertainty(row, at.uFreq, frequency, s.Frequency); err != nil {
		return s, err
	}
	s.UStopping, err = l.uncertainty(row, at.uVolt, voltage, s.Stopping)
	return s, err
}

// turnStopping turns the voltages to positive retarding ones. They rise with
// the frequency; where they fall, and none is positive, they are the
// collector's potential, and otherwise the light is misnamed.
func (l *layout) turnStopping(rows []StoppingVoltage, at stoppingColumns, o Options) error {
	sign := o.VoltageSign
	slope := slopeAgainstFrequency(rows)
	positive := slices.ContainsFunc(rows, func(s StoppingVoltage) bool { return s.Stopping > 0 })
	negative := slices.ContainsFunc(rows, func(s StoppingVoltage) bool { return s.Stopping < 0 })
	if sign == 0 {
		sign = 1
		if l.columns[at.volt].fixed {
			sign = l.columns[at.volt].sign
		} else if negative && !positive && slope <= 0 {
			sign = -1
			l.guess("voltage-sign", "the stopping voltages are the collector's potential, negative where it retards")
		}
	}
	if sign < 0 {
		for i := range rows {
			rows[i].Stopping = 0 - rows[i].Stopping
		}
		slope, positive, negative = -slope, negative, positive
	}
	if slope < 0 && len(rows) > 2 {
		h, what := l.columns[max(at.wave, at.freq)], "a frequency in THz (head the column frequency_THz)"
		if at.freq >= 0 {
			what = "a wavelength in nm (head the column wavelength_nm)"
		}
		return l.at(h.cell, "the stopping voltage falls where the frequency of the light rises; %s may hold %s, or the voltages have the wrong sign", shown(h.text), what)
	}
	if negative {
		l.guess("voltage-sign", "negative stopping voltages are kept: light below the collector's threshold has them")
	}
	return nil
}

// slopeAgainstFrequency returns the slope of the stopping voltage in V per
// THz, 0 where the light does not vary.
func slopeAgainstFrequency(rows []StoppingVoltage) float64 {
	slope, _ := roughLine(rows)
	return slope
}

// roughLine returns slope (V per THz) and intercept (V) of the straight line
// of least squares.
func roughLine(rows []StoppingVoltage) (slope, intercept float64) {
	if len(rows) == 0 {
		return 0, 0
	}
	var f, v float64
	n := float64(len(rows))
	for _, s := range rows {
		f, v = f+s.terahertz()/n, v+s.Stopping/n
	}
	var ff, fv float64
	for _, s := range rows {
		ff += (s.terahertz() - f) * (s.terahertz() - f)
		fv += (s.terahertz() - f) * (s.Stopping - v)
	}
	if ff == 0 {
		return 0, v
	}
	return fv / ff, v - fv/ff*f
}

// noticeRepeats remarks on rows with the same light.
func (l *layout) noticeRepeats(rows []StoppingVoltage) {
	first := make(map[[2]float64]int)
	for _, s := range rows {
		k := [2]float64{s.Wavelength, s.Frequency}
		if line, ok := first[k]; ok {
			l.guess("", "%s stands in line %d and again in line %d; both count", s.light(), line, s.Line)
			continue
		}
		first[k] = s.Line
	}
}

// noticeThreshold marks rows of exactly 0 V for which the line through the
// others asks for clearly less.
func (l *layout) noticeThreshold(rows []StoppingVoltage) {
	const clearly = -0.05 // V, more than a reading of a stopping voltage scatters
	others := slices.Clone(rows)
	others = slices.DeleteFunc(others, func(s StoppingVoltage) bool { return s.Stopping == 0 })
	slope, intercept := roughLine(others)
	if len(others) < 2 || slope <= 0 || math.IsInf(slope, 0) {
		return
	}
	for i := range rows {
		s := &rows[i]
		if expected := intercept + slope*s.terahertz(); s.Stopping == 0 && expected < clearly {
			s.BelowThreshold = true
			l.guess("", "0 V at %s in line %d lies below the threshold, where the other rows expect %.2f V; it is no stopping voltage", s.light(), s.Line, expected)
		}
	}
}
