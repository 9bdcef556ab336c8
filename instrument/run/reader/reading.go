package reader

import (
	"math"
	"slices"
	"strings"

	"stopvolt/instrument/run"
)

// reading reads the values of a row; beyond says that the current was out of
// the meter's range and has no value.
func (l *layout) reading(row []cell, s series, time, flag int) (r run.Reading, beyond bool, err error) {
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

// readFlags reads the words in a cell of flags; what other programs remark is
// passed over.
func readFlags(text string) run.Flags {
	var f run.Flags
	for _, w := range wordsOf(text) {
		f |= run.ParseFlag(w)
	}
	return f
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
		return math.Abs(x) >= infinity && math.Abs(x) < 1e38 && h.text != run.ColumnCurrent
	}
	return slices.Contains(overRangeWords, strings.ToLower(strings.Trim(c.text, "+-. ")))
}

// noticeOverRange remarks on the readings without a value.
func (l *layout) noticeOverRange() {
	if l.beyond > 0 {
		l.guess("", "%d readings beyond the meter's range are left out", l.beyond)
	}
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
