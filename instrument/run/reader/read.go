// Package reader reads runs, tables of stopping voltages and lists from files
// as laboratories keep them. What a file does not say it guesses, and tells
// each guess; what cannot be is an *Error with its place.
package reader

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"stopvolt/instrument/run"
)

// Options say what files mean where they do not say it themselves. The zero
// value of a field leaves it to be guessed, and each guess is reported under
// the name in brackets.
type Options struct {
	// Delimiter stands between cells; a blank stands for any run of blanks and
	// tabs [delimiter].
	Delimiter rune
	// Decimal is the decimal mark, a point or a comma [decimal].
	Decimal rune
	// VoltageUnit and CurrentUnit are units such as "mV", "pA" or "1e-7 A", in
	// place of what the headings say [voltage-unit, current-unit].
	VoltageUnit, CurrentUnit string
	// WavelengthUnit is the unit of a column of wavelengths, such as "nm" or
	// "angstrom", or of frequencies, such as "THz" [wavelength-unit].
	WavelengthUnit string
	// VoltageSign is 1 where voltages are retarding ones and -1 where they are
	// the collector's potential against the emitter [voltage-sign].
	VoltageSign int
	// CurrentSign is 1 where the current of electrons from emitter to
	// collector counts as positive and -1 where as negative [current-sign].
	CurrentSign int
	// Wavelengths are those of the curves but the dark ones, in the order in
	// which they are read, in nm in standard air [wavelength].
	Wavelengths []float64
	// Sheet is the name of the sheet of a workbook [sheet].
	Sheet string
	// The columns are named by their headings, by numbers from 1, or in a
	// workbook by letters [voltage-column, current-column, wavelength-column,
	// setting-column].
	VoltageColumn, CurrentColumn, WavelengthColumn, SettingColumn string
}

// A Source is one file to be read.
type Source struct {
	// Name is the file's name: it stands in errors and names the setting, and
	// may hold the wavelength.
	Name string
	// Reader gives the content.
	Reader io.Reader
	// Package gives the descriptor that lies beside the file; nil for none.
	Package io.Reader
}

// A Guess is something that was not in the files and that the user can
// overrule.
type Guess struct {
	// File is the name of the file, or of several.
	File string
	// Text says in one clause what was taken for true.
	Text string
	// Option names the option that overrules the guess, as Options has it; it
	// is empty for a remark that no option changes.
	Option string
	// nm is the wavelength that the text tells by a name; 0 for other texts.
	nm float64
}

// String returns the guess as one line.
func (g Guess) String() string {
	if g.Option == "" {
		return g.File + ": " + g.Text
	}
	return fmt.Sprintf("%s: %s (guessed; --%s says otherwise)", g.File, g.Text, g.Option)
}

// A found curve is one with the place where it was read.
type found struct {
	run.Curve
	file string
	line int
	// unnamed says that nothing was found to tell the wavelength.
	unnamed bool
	// sweep is what tells the curve from others of the same light in its file.
	sweep string
	// sign is that of the voltage in the file, 1 for a retarding one, and
	// signKnown says that the file shows it.
	sign      int
	signKnown bool
}

// A gatherer collects curves file by file.
type gatherer struct {
	options Options
	curves  []found
	place   map[string]int // of a setting among the curves
	// readings counts those of all curves.
	readings int
	facts    run.Facts
	factsOf  string
	// sheets says that there was a workbook.
	sheets  bool
	guesses []Guess
}

// Read reads runs from files: one with all columns of Write, one file a
// wavelength, one with a column of currents for each wavelength, or several of
// them together. A file in the form of Write needs no guess.
//
// Rows of one setting make one curve, and rows at one voltage are its repeats.
// A curve is dark if its wavelength is an empty cell in a column of
// wavelengths or, where no wavelength is found at all, if its name says so.
//
// Faults in the input are of type *Error.
func Read(sources []Source, o Options) (run.Run, []Guess, error) {
	g := gatherer{options: o}
	if err := o.check(); err != nil {
		return run.Run{}, nil, err
	}
	for _, s := range sources {
		if err := g.add(s); err != nil {
			return run.Run{}, nil, err
		}
	}
	return g.run()
}

// ReadFiles is Read for the files at the given paths, where "-" is standard
// input, with the descriptor that lies beside each.
func ReadFiles(paths []string, stdin io.Reader, o Options) (run.Run, []Guess, error) {
	g := gatherer{options: o}
	if err := o.check(); err != nil {
		return run.Run{}, nil, err
	}
	for _, path := range paths {
		err := withSource(path, stdin, g.add)
		if err != nil {
			return run.Run{}, nil, err
		}
	}
	if !g.sheets && len(paths) > 0 {
		if err := o.noSheet(paths[0]); err != nil {
			return run.Run{}, nil, err
		}
	}
	return g.run()
}

// noSheet returns an error where a sheet is asked for and there is no workbook.
func (o Options) noSheet(name string) error {
	if o.Sheet == "" {
		return nil
	}
	return &Error{File: name, Text: fmt.Sprintf("is no workbook and has no sheet %s; leave --sheet out", shown(o.Sheet))}
}

// withSource hands the file at path to do.
func withSource(path string, stdin io.Reader, do func(Source) error) error {
	if path == "-" {
		return do(Source{Name: "standard input", Reader: stdin})
	}
	f, err := os.Open(path)
	if err != nil {
		return &Error{File: path, Text: fmt.Sprintf("cannot be opened: %v", reason(err))}
	}
	defer f.Close()
	s := Source{Name: path, Reader: f}
	if beside, err := os.Open(filepath.Join(filepath.Dir(path), run.PackageName)); err == nil {
		defer beside.Close()
		s.Package = beside
	}
	return do(s)
}

// reason returns the inner error of a file error, whose path is known.
func reason(err error) error {
	var p *os.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// check returns an error for options that cannot be.
func (o Options) check() error {
	bad := func(format string, args ...any) error { return &Error{Text: fmt.Sprintf(format, args...)} }
	switch {
	case o.Delimiter != 0 && !validDelimiter(o.Delimiter):
		return bad("%q cannot be a delimiter; a comma, a semicolon, a tab or a blank is needed", o.Delimiter)
	case o.Decimal != 0 && o.Decimal != '.' && o.Decimal != ',':
		return bad("%q cannot be a decimal mark; a point or a comma is needed", o.Decimal)
	case o.VoltageSign < -1 || o.VoltageSign > 1:
		return bad("a sign of the voltage of %d is impossible; 1 for a retarding voltage or -1 for the collector's potential is needed", o.VoltageSign)
	case o.CurrentSign < -1 || o.CurrentSign > 1:
		return bad("a sign of the current of %d is impossible; 1 or -1 is needed", o.CurrentSign)
	}
	for _, u := range []struct {
		text string
		q    quantity
	}{{o.VoltageUnit, voltage}, {o.CurrentUnit, current}} {
		if _, err := askedUnit(u.text, u.q); err != nil {
			return bad("%v", err)
		}
	}
	if u, ok := parseUnit(o.WavelengthUnit); o.WavelengthUnit != "" && (!ok || u.quantity == voltage || u.quantity == duration) {
		return bad("%s is not a unit of wavelength or frequency; one such as nm or THz is needed", shown(o.WavelengthUnit))
	}
	for _, nm := range o.Wavelengths {
		if !run.PlausibleWavelength(nm) {
			return bad("a wavelength of %v nm lies outside %v to %v nm", nm, run.ShortestWavelength, run.LongestWavelength)
		}
	}
	return nil
}

// askedUnit reads the unit in an option; empty text gives the zero unit.
func askedUnit(text string, q quantity) (unit, error) {
	if text == "" {
		return unit{}, nil
	}
	u, ok := parseUnit(text)
	if ok {
		u, ok = u.as(q)
	}
	if !ok {
		return unit{}, fmt.Errorf("%s is not a unit of %v; one such as %s is needed", shown(text), q, plainUnits[q])
	}
	return u, nil
}

// add reads one file.
func (g *gatherer) add(s Source) error {
	tables, err := readTables(s, g.options)
	if err != nil {
		return err
	}
	g.sheets = g.sheets || tables[0].sheet != ""
	var curves []found
	for _, t := range pick(tables, true, []role{voltages}, []role{currents}) {
		c, err := t.curves(g.options)
		if err != nil {
			return err
		}
		curves = append(curves, c...)
		g.guesses = append(g.guesses, t.guesses...)
	}
	if s.Package != nil {
		f, err := ReadPackage(s.Package, filepath.Join(filepath.Dir(s.Name), run.PackageName), s.Name)
		if err != nil {
			return err
		}
		if err := g.addFacts(f, s.Name); err != nil {
			return err
		}
	}
	for _, c := range curves {
		if err := g.addCurve(c); err != nil {
			return err
		}
	}
	return nil
}

// addFacts merges the facts of one file.
func (g *gatherer) addFacts(f run.Facts, file string) error {
	merge := func(known *float64, value float64, name, unit string) error {
		switch {
		case value == 0 || *known == value:
		case *known == 0:
			*known = value
		default:
			return &Error{File: file, Text: fmt.Sprintf("its %s of %v %s contradicts the %v %s of %s; files of one session agree",
				name, value, unit, *known, unit, g.factsOf)}
		}
		return nil
	}
	err := merge(&g.facts.Temperature, f.Temperature, "emitter temperature", "K")
	if err == nil {
		err = merge(&g.facts.Resolution, f.Resolution, "resolution", "A")
	}
	if g.factsOf == "" && f != (run.Facts{}) {
		g.factsOf = file
	}
	return err
}

// addCurve adds a curve unless an earlier one contradicts it.
func (g *gatherer) addCurve(c found) error {
	if n := utf8.RuneCountInString(c.Setting); n > run.LongestName {
		return &Error{File: c.file, Line: c.line, Text: fmt.Sprintf("the name of setting %s has %d characters; at most %d are allowed", shown(c.Setting), n, run.LongestName)}
	}
	if g.readings += len(c.Readings); g.readings > mostReadings {
		return &Error{File: c.file, Line: c.line, Text: fmt.Sprintf("here the run comes to more than %d readings; leave some files out, or means in their place", int(mostReadings))}
	}
	if len(g.curves) == mostCurves {
		return &Error{File: c.file, Line: c.line, Text: fmt.Sprintf("here begins the %dth curve; a run has at most %d", mostCurves+1, mostCurves)}
	}
	if i, ok := g.place[c.Setting]; ok {
		old := g.curves[i]
		switch {
		case old.Wavelength != c.Wavelength || old.Dark != c.Dark:
			return &Error{File: c.file, Line: c.line, Text: fmt.Sprintf("setting %s is %s here and %s in %s; a setting has one wavelength",
				shown(c.Setting), c.light(), old.light(), old.file)}
		case !slices.Equal(old.Readings, c.Readings):
			return g.keepApart(c, old)
		}
		g.guesses = append(g.guesses, Guess{File: c.file, Text: fmt.Sprintf("holds the same readings of setting %s as %s and was left out", shown(c.Setting), old.file)})
		return nil
	}
	if g.place == nil {
		g.place = make(map[string]int)
	}
	g.place[c.Setting] = len(g.curves)
	g.curves = append(g.curves, c)
	return nil
}

// keepApart adds a further sweep of a setting under a name of its own.
func (g *gatherer) keepApart(c, old found) error {
	name := c.Setting
	for n := 2; ; n++ {
		c.Setting = fmt.Sprintf("%s (%d)", name, n)
		if _, ok := g.place[c.Setting]; !ok {
			break
		}
	}
	g.guesses = append(g.guesses, Guess{File: c.file, Text: fmt.Sprintf("holds other readings of setting %s than %s, and is kept apart as %s", shown(name), old.file, shown(c.Setting))})
	g.place[c.Setting] = len(g.curves)
	g.curves = append(g.curves, c)
	return nil
}

// light says what light a curve was taken with.
func (c found) light() string {
	switch {
	case c.Dark:
		return "dark"
	case c.unnamed:
		return "without a wavelength"
	}
	return strconv.FormatFloat(c.Wavelength, 'g', -1, 64) + " nm"
}

// run returns what was gathered.
func (g *gatherer) run() (run.Run, []Guess, error) {
	if len(g.curves) == 0 {
		return run.Run{}, nil, &Error{Text: "there is nothing to read; at least one file is needed"}
	}
	if err := g.nameLight(); err != nil {
		return run.Run{}, nil, err
	}
	g.alignSigns()
	r := run.Run{Facts: g.facts}
	good := false
	for _, c := range g.curves {
		r.Curves = append(r.Curves, c.Curve)
		if len(c.Readings) > 1 {
			good = true
		}
	}
	if !good {
		c := g.curves[0]
		return run.Run{}, nil, &Error{File: c.file, Line: c.line, Text: "holds one reading only; a curve needs at least two, and a method more"}
	}
	return r, merged(g.guesses), nil
}

// nameLight gives the curves the wavelengths that the user gave, or returns an
// error where one is not known.
func (g *gatherer) nameLight() error {
	given := g.options.Wavelengths
	if len(given) == 0 {
		for _, c := range g.curves {
			if c.unnamed {
				return &Error{File: c.file, Line: c.line, Text: fmt.Sprintf(
					"nothing tells the wavelength of setting %s; add a column wavelength_nm, write it in the name of the setting or of the file (as 405nm.csv), or give --wavelength", shown(c.Setting))}
			}
		}
		return nil
	}
	lit := 0
	for i := range g.curves {
		if g.curves[i].Dark {
			continue
		}
		if lit < len(given) {
			g.curves[i].Wavelength = given[lit]
		}
		lit++
	}
	if lit != len(given) {
		return &Error{Text: fmt.Sprintf("%d wavelengths were given for %d curves; one for each is needed", len(given), lit)}
	}
	return nil
}

// namesTogether joins the wavelengths of several files by their names into one
// guess, in the place of the first.
func namesTogether(guesses []Guess) []Guess {
	var files, wavelengths []string
	for _, g := range guesses {
		if g.nm != 0 && !slices.Contains(files, g.File) {
			files, wavelengths = append(files, g.File), append(wavelengths, fmt.Sprintf("%.7g", g.nm))
		}
	}
	if len(files) < 2 {
		return guesses
	}
	var out []Guess
	for _, g := range guesses {
		switch {
		case g.nm == 0:
			out = append(out, g)
		case files != nil:
			last := len(wavelengths) - 1
			text := "the wavelengths are " + strings.Join(wavelengths[:last], ", ") + " and " + wavelengths[last] + " nm by the names"
			out = append(out, Guess{File: listed(files), Text: text, Option: g.Option})
			files = nil
		}
	}
	return out
}

// listed names files, the first of many.
func listed(files []string) string {
	if len(files) > 3 {
		return fmt.Sprintf("%s and %d more", files[0], len(files)-1)
	}
	return strings.Join(files, ", ")
}

// merged joins equal guesses about several files into one.
func merged(guesses []Guess) []Guess {
	guesses = namesTogether(guesses)
	type key struct{ text, option string }
	files := make(map[key][]string)
	var order []key
	for _, g := range guesses {
		k := key{g.Text, g.Option}
		if files[k] == nil {
			order = append(order, k)
		}
		if !slices.Contains(files[k], g.File) {
			files[k] = append(files[k], g.File)
		}
	}
	out := make([]Guess, len(order))
	for i, k := range order {
		out[i] = Guess{File: listed(files[k]), Text: k.text, Option: k.option}
	}
	return out
}

// baseName returns the name of a file without its folder and its ending.
func baseName(file string) string {
	base := plainText(filepath.Base(file))
	if name := []rune(base); len(name) > run.LongestName {
		base = string(name[:run.LongestName])
	}
	if name := strings.TrimSpace(strings.TrimSuffix(base, filepath.Ext(base))); name != "" {
		return name
	}
	return base
}
