package result

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"stopvolt/analysis"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/words"
	"stopvolt/physics"
)

// A Line is a line through stopping voltages, ready to be told.
type Line struct {
	analysis.MethodLine
	// Exact is the h/e in V s that it is compared with.
	Exact float64
	// Bootstrap holds the spreads by the bootstrap; nil where none was done.
	Bootstrap *Spreads
	// Note stands in tables in place of what was left out; it may be empty.
	Note string
}

// Spreads are standard uncertainties of a line by the bootstrap.
type Spreads struct{ HOverE, WorkFunction analysis.Spread }

// found returns a number of the line, NaN where there is no line.
func (l Line) found(get func(analysis.Line) float64) float64 {
	if l.Status != analysis.OK {
		return math.NaN()
	}
	return get(l.Line)
}

// workFunction returns the collector's work function and its standard
// uncertainty in eV.
func (l Line) workFunction() (phi, u float64) {
	if l.Status != analysis.OK {
		return math.NaN(), math.NaN()
	}
	return l.Line.WorkFunction()
}

// concise shows a column as a value with the standard uncertainty of its last
// digits.
func concise[R any](cs Columns[R], unit string, one float64, get func(R) (value, u float64)) Columns[R] {
	cs[0].Unit = unit
	cs[0].Text = func(r R) string {
		value, u := get(r)
		if math.IsNaN(value) {
			return missing
		}
		return analysis.Concise(value/one, u/one, "")
	}
	return cs
}

// lineColumns are those of a line. What was left out, and why there is no line,
// share a column of the tables.
var lineColumns = slices.Concat(
	text("method", "method", func(l Line) string { return l.Method }),
	text("fit", "line", func(l Line) string { return l.Fit }),
	concise(number("h_over_e_Vs", "h/e", scale{}, Line.hOverE), "1e-15 V s", 1e-15, func(l Line) (float64, float64) { return l.hOverE(), l.uHOverE() }),
	number("u_Vs", "", scale{}, Line.uHOverE),
	number("relative_deviation", "off by", signedPercent, func(l Line) float64 { return l.hOverE()/l.Exact - 1 }),
	concise(number("collector_work_function_eV", "collector's work function", scale{}, func(l Line) float64 { phi, _ := l.workFunction(); return phi }),
		"eV", 1, Line.workFunction),
	number("u_collector_work_function_eV", "", scale{}, func(l Line) float64 { _, u := l.workFunction(); return u }),
	count("degrees_of_freedom", "", func(l Line) int {
		if l.Status != analysis.OK {
			return 0
		}
		return l.Line.DegreesOfFreedom
	}),
	text("status", "", func(l Line) string { return l.Status.String() }),
	text("reason", "", func(l Line) string { return l.Reason }).optional(),
	leftOutColumn,
	fact("bootstrap_u_Vs", "", func(l Line) any {
		if l.Bootstrap == nil {
			return nil
		}
		return Number(l.Bootstrap.HOverE.Deviation)
	}).optional(),
)

var leftOutColumn = Columns[Line]{{
	Key: "left_out", Heading: "left out",
	Value: func(l Line) any { return append([]string{}, l.LeftOut...) },
	Text: func(l Line) string {
		switch {
		case l.Note != "":
			return l.Note
		case l.Status != analysis.OK:
			return l.Reason
		}
		said := strings.Join(l.LeftOut, ", ")
		// Two settings settle a straight line; three leave one to doubt it by.
		if l.Line.DegreesOfFreedom == 1 && l.Fit != analysis.JointLine {
			if said != "" {
				said += "; "
			}
			said += "rests on three settings"
		}
		return said
	},
}}

func (l Line) hOverE() float64  { return l.found(func(l analysis.Line) float64 { return l.Slope }) }
func (l Line) uHOverE() float64 { return l.found(func(l analysis.Line) float64 { return l.USlope }) }

// Lines returns lines ready to be told against an h/e in V s.
func Lines(lines []analysis.MethodLine, exact float64) []Line {
	var all []Line
	for _, l := range lines {
		all = append(all, Line{MethodLine: l, Exact: exact})
	}
	return all
}

// LineTable returns the table of a page.
func LineTable(lines []Line) Table { return lineColumns.table(Page, lines) }

// PrintLines prints the table of lines.
func PrintLines(w io.Writer, lines []Line) error {
	fmt.Fprintln(w)
	return lineColumns.table(Terminal, lines).Print(w, "")
}

// LineObjects returns lines as JSON.
func LineObjects(lines []Line) []Object { return lineColumns.objects(lines) }

// A cutoff is what a method read from a curve.
type cutoff struct {
	method string
	analysis.Cutoff
	bootstrap *analysis.Spread
}

// stopping returns the stopping voltage and its standard uncertainty in V.
func (c cutoff) stopping() (v, u float64) {
	if c.Status != analysis.OK {
		return math.NaN(), math.NaN()
	}
	return c.Stopping, c.U
}

// cutoffColumns are those of a cutoff. Tables have a row a method and a column a
// setting, and show the stopping voltage.
var cutoffColumns = slices.Concat(
	text("method", "", func(c cutoff) string { return c.method }),
	concise(number("stopping_V", "stopping voltage", scale{}, func(c cutoff) float64 { return c.Stopping }), "V", 1, cutoff.stopping),
	number("u_V", "", scale{}, func(c cutoff) float64 { return c.U }),
	text("status", "", func(c cutoff) string { return c.Status.String() }),
	text("reason", "", func(c cutoff) string { return c.Reason }).optional(),
	text("remark", "", func(c cutoff) string { return c.Remark }).optional(),
	fact("level_A", "", func(c cutoff) any {
		if c.Level == 0 {
			return nil
		}
		return c.Level
	}).optional(),
	fact("bootstrap_u_V", "", func(c cutoff) any {
		if c.bootstrap == nil {
			return nil
		}
		return Number(c.bootstrap.Deviation)
	}).optional(),
)

// An Extraction is what the methods made of a run, ready to be told.
type Extraction struct {
	analysis.Extraction
	Methods []analysis.Method
	// Slips are readings far off their neighbours; the cutoffs rest on them too.
	Slips []analysis.Slip
	// Bootstrap is nil where none was done.
	Bootstrap *analysis.Bootstrapped
	// Answer is what the extraction comes to, and Fit the name of the line fit
	// that it is by.
	Answer analysis.Answer
	Fit    string
	// AllRows tells every line of every method, and every reason; without it
	// tables have one row a method.
	AllRows bool
}

// lines returns the lines with what the bootstrap made of them.
func (x Extraction) lines() []Line {
	lines := Lines(x.Lines, physics.HOverE)
	if x.Bootstrap != nil {
		for i := range lines {
			lines[i].Bootstrap = &Spreads{x.Bootstrap.Slopes[i], x.Bootstrap.WorkFunctions[i]}
		}
	}
	return lines
}

// told returns the lines for a table: one a method unless all are asked for,
// those of methods that are of use here first.
func (x Extraction) told() []Line {
	all := x.lines()
	if x.AllRows || x.Fit == "" {
		return all
	}
	var usable, others []Line
	for _, l := range all {
		switch {
		case l.Fit != x.Fit && l.Fit != analysis.JointLine:
		case x.useful(l.Method):
			usable = append(usable, l)
		default:
			l.Note = "of no use here"
			others = append(others, l)
		}
	}
	return append(usable, others...)
}

// useful says whether a method is of use for the run.
func (x Extraction) useful(method string) bool {
	return slices.ContainsFunc(x.Answer.Usable, func(s analysis.Standing) bool { return s.Method == method })
}

// LineTable returns the table of the lines for a page.
func (x Extraction) LineTable() Table { return LineTable(x.told()) }

// WriteCSV writes the cutoffs as tidy CSV: a row a setting and method.
func (x Extraction) WriteCSV(w io.Writer) error {
	var rows []settingCutoff
	for i, s := range x.Settings {
		for _, c := range x.cutoffs(i) {
			rows = append(rows, settingCutoff{s, c})
		}
	}
	return settingCutoffColumns.write(w, rows)
}

// WriteLines writes all lines as tidy CSV.
func (x Extraction) WriteLines(w io.Writer) error { return lineColumns.write(w, x.lines()) }

// A settingCutoff is a cutoff with its setting.
type settingCutoff struct {
	analysis.Setting
	cutoff
}

// settingCutoffColumns are those of a cutoff in a table of all.
var settingCutoffColumns = slices.Concat(
	text("setting", "", func(c settingCutoff) string { return c.Name }),
	number("wavelength_nm", "", scale{}, func(c settingCutoff) float64 { return c.Wavelength }),
	of(cutoffColumns, func(c settingCutoff) cutoff { return c.cutoff }),
)

// cutoffs returns those of one setting.
func (x Extraction) cutoffs(setting int) []cutoff {
	var all []cutoff
	for m, c := range x.Settings[setting].Cutoffs {
		told := cutoff{method: x.Methods[m].Name(), Cutoff: c}
		if x.Bootstrap != nil {
			told.bootstrap = &x.Bootstrap.Cutoffs[setting][m]
		}
		all = append(all, told)
	}
	return all
}

// Object returns the extraction as JSON.
func (x Extraction) Object() Object {
	settings := []Object{}
	for i, s := range x.Settings {
		settings = append(settings, Object{
			{"name", s.Name}, {"wavelength_nm", s.Wavelength}, {"cutoffs", nullable(cutoffColumns.objects(x.cutoffs(i)))},
		})
	}
	return Object{{"schema", Schema}, {"answer", AnswerObject(x.Answer)}, {"slips", slipColumns.objects(x.Slips)}, {"settings", settings}, {"lines", LineObjects(x.lines())}}
}

// slipColumns are those of a reading far off its neighbours.
var slipColumns = slices.Concat(
	text("setting", "", func(s analysis.Slip) string { return s.Setting }),
	number("retarding_V", "", scale{}, func(s analysis.Slip) float64 { return s.Reading.Retarding }),
	number("current_A", "", scale{}, func(s analysis.Slip) float64 { return s.Reading.Current }),
	number("suggested_A", "", scale{}, func(s analysis.Slip) float64 { return s.Suggested }),
)

// bySetting returns a table with a row a method and a column a setting.
func (x Extraction) bySetting(cell func(setting, method int) string) Table {
	t := Table{Headings: []string{"method"}, Numbers: []bool{false}}
	for _, s := range x.Settings {
		t.Headings, t.Numbers = append(t.Headings, s.Name), append(t.Numbers, true)
	}
	for m, method := range x.Methods {
		row := []string{method.Name()}
		for i := range x.Settings {
			row = append(row, cell(i, m))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// Cutoffs returns the table of the stopping voltages, with the truth below where
// it is known; truth may be nil.
func (x Extraction) Cutoffs(truth []float64) Table {
	shown := cutoffColumns.in(Page)[0]
	t := x.bySetting(func(setting, method int) string { return shown.shown(x.cutoffs(setting)[method]) })
	if truth != nil {
		row := []string{"truth"}
		for _, v := range truth {
			row = append(row, scale{"V", 1, "%.4f"}.write(v))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// Print prints the answer, the cutoffs, the lines, and what is to be said about
// them.
func (x Extraction) Print(w io.Writer) error {
	if err := printAnswer(w, x); err != nil {
		return err
	}
	fmt.Fprint(w, "\nStopping voltages in V, with the standard uncertainty of the last digits\n\n")
	if err := x.Cutoffs(nil).Clipped(14).Print(w, ""); err != nil {
		return err
	}
	if level := words.FixedLevel(x.Extraction, x.Methods); level != "" {
		fmt.Fprintf(w, "\n%s\n", level)
	}
	if err := PrintLines(w, x.told()); err != nil {
		return err
	}
	fmt.Fprint(w, "\n", console.Fold("Off by: against the exact h/e, 4.135667696...e-15 V s. The uncertainty of a line is that of the "+
		"points' scatter about it, or that by their own uncertainties where these ask for more; the answer's has the spread between "+
		"the methods besides.", 96, ""), "\n")
	if x.Bootstrap != nil {
		if err := x.printBootstrap(w); err != nil {
			return err
		}
	}
	// Without an answer every reason counts.
	about := func(method string) bool {
		return x.AllRows || x.Answer.Status != analysis.OK || x.useful(method)
	}
	for _, part := range words.OfCutoffs(x.Extraction, x.Slips, x.Methods, about) {
		fmt.Fprintf(w, "\n%s:\n", part.Heading)
		for _, line := range part.Lines {
			fmt.Fprintf(w, "  %s\n", line)
		}
	}
	return nil
}

// bootstrapColumns are those of the table of the bootstrap.
var bootstrapColumns = slices.Concat(
	text("method", "method", func(l Line) string { return l.Method }),
	text("fit", "line", func(l Line) string { return l.Fit }),
	number("bootstrap_u_Vs", "h/e", scale{"1e-15 V s", 1e-15, "%.2g"}, func(l Line) float64 { return deviation(l.Bootstrap.HOverE) }),
	number("bootstrap_u_collector_work_function_eV", "collector's work function", scale{"eV", 1, "%.2g"}, func(l Line) float64 { return deviation(l.Bootstrap.WorkFunction) }),
)

// deviation returns a standard deviation, NaN where too few draws have one.
func deviation(s analysis.Spread) float64 {
	if s.N < 2 {
		return math.NaN()
	}
	return s.Deviation
}

// printBootstrap prints what the bootstrap made of the uncertainties.
func (x Extraction) printBootstrap(w io.Writer) error {
	fmt.Fprint(w, "\nStandard uncertainties by the bootstrap: cutoffs in V\n\n")
	of := func(setting, method int) string {
		return scale{"V", 1, "%.2g"}.write(deviation(x.Bootstrap.Cutoffs[setting][method]))
	}
	if err := x.bySetting(of).Clipped(14).Print(w, ""); err != nil {
		return err
	}
	fmt.Fprintln(w)
	return bootstrapColumns.table(Terminal, x.told()).Print(w, "")
}

// Clipped cuts the headings, which may be anybody's, to a number of characters.
func (t Table) Clipped(most int) Table {
	t.Headings = slices.Clone(t.Headings)
	for i, h := range t.Headings {
		t.Headings[i] = console.Clip(h, most)
	}
	return t
}
