package reader

import (
	"math"
	"slices"
	"strconv"
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
	if time >= 0 && !missing(cellAt(row, time).text) {
		if r.Time, err = l.number(row, time, duration, l.columns[time].unit); err != nil {
			return r, false, err
		}
	}
	if flag >= 0 && !empty(row, flag) {
		r.Flags = readFlags(row[flag].text)
	}
	return r, false, nil
}

// faults are the words by which spreadsheets and programs say that a cell has no
// value, in capitals and in several languages (ECMA-376, part 1, 18.18.11, and
// common practice).
var faults = []string{"#DIV/0!", "#N/A", "#VALUE!", "#REF!", "#NUM!", "#NULL!", "#NAME?", "#NV", "#WERT!", "#ZAHL!", "#BEZUG!", "#DIV/0",
	"#VALEUR!", "#NOMBRE!", "#NOMBRE?", "NAN", "N/A", "NA", "NULL", "NONE", "-", "--", "---", "\u2013", "\u2014"}

// missing says whether a cell has no value.
func missing(text string) bool {
	return text == "" || slices.Contains(faults, strings.ToUpper(text))
}

// lacks says whether a row lacks the value of its voltage or its current, and
// remembers to tell it.
func (l *layout) lacks(row []cell, s series) bool {
	if !missing(cellAt(row, s.voltage).text) && !missing(cellAt(row, s.current).text) {
		return false
	}
	l.leftOut = append(l.leftOut, row[0].line)
	return true
}

// noticeLeftOut tells the readings that lack a value.
func (l *layout) noticeLeftOut() {
	const most = 5
	if len(l.leftOut) == 0 {
		return
	}
	lines := make([]string, 0, most)
	for _, n := range l.leftOut[:min(len(l.leftOut), most)] {
		lines = append(lines, strconv.Itoa(int(n)))
	}
	where := "line " + lines[0]
	if n := len(l.leftOut); n > 1 {
		where = "lines " + strings.Join(lines, ", ")
		if n > most {
			where += " and others"
		}
	}
	l.guess("", "%d of the rows lack a voltage or a current and are left out (%s)", len(l.leftOut), where)
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
