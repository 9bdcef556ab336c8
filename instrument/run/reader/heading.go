package reader

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"stopvolt/instrument/run"
)

// A role is what a column is for.
type role int

const (
	ignored role = iota
	voltages
	currents
	currentUncertainties
	voltageUncertainties
	wavelengths
	wavelengthUncertainties
	frequencies
	frequencyUncertainties
	times
	settings
	flags
	sweeps
)

// quantityOf is the quantity of the numbers in a column of a role.
var quantityOf = map[role]quantity{
	voltages: voltage, voltageUncertainties: voltage, currents: current, currentUncertainties: current,
	wavelengths: wavelength, wavelengthUncertainties: wavelength,
	frequencies: frequency, frequencyUncertainties: frequency, times: duration,
}

// roleOf and uncertaintyOf are the roles of columns by their quantity.
var roleOf = map[quantity]role{
	voltage: voltages, current: currents, wavelength: wavelengths, frequency: frequencies, duration: times,
}
var uncertaintyOf = map[role]role{
	voltages: voltageUncertainties, currents: currentUncertainties,
	wavelengths: wavelengthUncertainties, frequencies: frequencyUncertainties,
}

// A heading is what the text above a column says.
type heading struct {
	cell
	role role
	// unit is the zero unit where the text names none.
	unit unit
	// sign is 1 for a voltage named as retarding and -1 for one named as the
	// collector's potential; fixed says that the name is one of this program's
	// own, which the data cannot overrule.
	sign  int
	fixed bool
	// nm is the wavelength named above a column of currents, 0 for none, and
	// dark says that the text calls them a dark curve.
	nm   float64
	dark bool
	// percent says that uncertainties are relative, in per cent.
	percent bool
	// derived says that currents were calculated from those in other columns,
	// mean that they are their means, and extreme that they are the least or
	// the most of several.
	derived, mean, extreme bool
	// repeats is the number, from 1, of the column whose current this one
	// repeats without a heading of its own; 0 for none.
	repeats int
	// kin are the words of the heading without what numbers it among others.
	kin string
}

// tellsCurves says whether the column tells the curves of a table apart by name or
// wavelength.
func (h heading) tellsCurves() bool { return h.role == settings || h.role == wavelengths }

// words of headings, in the languages in which laboratories of the decimal
// comma write them as well.
var (
	retardingWords  = []string{"retarding", "retardation", "stopping", "decelerating", "braking", "counter", "reverse", "gegenspannung", "bremsspannung"}
	collectorWords  = []string{"collector", "anode"}
	voltageWords    = []string{"voltage", "voltages", "volt", "volts", "potential", "bias", "spannung", "gegenspannung", "bremsspannung", "tension", "voltaje", "tensione", "v", "vr", "vs", "vstop", "va", "vac", "u", "ua", "ug", "ur", "us"}
	currentWords    = []string{"current", "currents", "photocurrent", "strom", "photostrom", "fotostrom", "courant", "corriente", "corrente", "amps", "i", "ip", "iph", "ic", "ia"}
	wavelengthWords = []string{"wavelength", "wavelengths", "lambda", "λ", "wellenlänge", "lunghezza"}
	frequencyWords  = []string{"frequency", "frequencies", "freq", "frequenz", "fréquence", "frecuencia", "frequenza", "ν", "nu", "f"}
	timeWords       = []string{"time", "elapsed", "t", "zeit", "temps", "tiempo", "tempo"}
	settingWords    = []string{"setting", "settings", "light", "lamp", "filter", "colour", "color", "curve", "line", "led", "name", "source", "farbe"}
	flagWordsAbove  = []string{"flag", "flags", "status", "remark", "remarks"}
	darkWords       = []string{"dark", "background", "unlit", "dunkel", "dunkelstrom"}
	meanWords       = []string{"mean", "average", "averaged", "avg", "mittel", "mittelwert", "moyenne", "moyen", "media", "promedio"}
	extremeWords    = []string{"min", "max", "minimum", "maximum", "minimal", "maximal", "lowest", "highest"}
	sweepWords      = []string{"sweep", "run", "trial", "pass", "series", "messreihe", "durchgang", "serie", "essai"}
	derivedWords    = []string{"log", "lg", "ln", "sqrt", "normalised", "normalized", "relative", "corrected", "subtracted", "net", "difference"}
	switchWords     = []string{"light", "lamp", "led", "laser", "source", "licht", "lampe"}
	colourWords     = []string{"red", "green", "blue", "yellow", "violet", "orange", "cyan"}
	uncertainWords  = []string{"uncertainty", "uncertainties", "unc", "error", "err", "sigma", "σ", "sd", "std", "stdev", "stddev", "deviation", "standardabweichung", "stabw", "sem", "δ", "delta", "unsicherheit", "fehler"}
)

// uncertainty is how a heading of uncertainties begins when it does so with a
// symbol: u_current, u(I), s_V, ±.
var uncertainty = regexp.MustCompile(`^(?:u[_(]|s[_(]|σ|δ|Δ|±|\+/?-)`)

var uncertaintySymbols = []string{"u", "s", "σ", "δ"}

// readHeading reads the text above a column, of which the one before has the
// role before.
func (t *table) readHeading(c cell, before role) (heading, error) {
	h := heading{cell: c}
	name, u := splitUnit(c.text)
	h.unit = u
	words := wordsOf(name)
	uncertain := uncertainty.MatchString(c.text)
	if uncertain && len(words) > 0 && slices.Contains(uncertaintySymbols, words[0]) {
		words = words[1:] // and not the u of a voltage
	}
	has := func(list []string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(list, w) })
	}
	base := ignored
	switch nm := wavelengthIn(name); {
	case len(words) == 0 && nm == 0: // a unit alone
		base = roleOf[u.quantity]
	case nm != 0 && u.quantity != voltage && !has(voltageWords) && !has(timeWords),
		has(darkWords) && (u.quantity == current || u.symbol == ""):
		base, h.nm = currents, nm
		if u.quantity == wavelength { // the number's unit, not the column's
			h.unit = unit{}
		}
	case has(currentWords):
		base = currents
	case has(wavelengthWords):
		base = wavelengths
	case has(retardingWords), has(collectorWords), has(voltageWords):
		base = voltages
	case has(frequencyWords):
		base = frequencies
	case has(timeWords):
		base = times
	case has(flagWordsAbove):
		base = flags
	case has(settingWords):
		base = settings
	case has(sweepWords) && u.symbol == "":
		base = sweeps
	default:
		base = roleOf[u.quantity]
	}
	if base == currents && h.nm == 0 {
		h.dark = isDark(name)
	}
	h.role = base
	if uncertain || has(uncertainWords) {
		if base == ignored { // that of the column before
			base = before
		}
		h.role, h.nm, h.dark = uncertaintyOf[base], 0, false
		h.percent = strings.Contains(c.text, "%")
	}
	h.mean, h.extreme = has(meanWords), has(extremeWords)
	h.derived = h.mean || has(derivedWords) || strings.Contains(name, " - ")
	h.kin = kinOf(words)
	if base == voltages {
		switch {
		case has(collectorWords):
			h.sign = -1
		case has(retardingWords):
			h.sign = 1
		}
		h.fixed = c.text == run.ColumnRetarding || c.text == "collector_V"
	}
	return h, t.fitUnit(&h)
}

// fitUnit gives the unit of a heading its meaning for the heading's role.
func (t *table) fitUnit(h *heading) error {
	q, ok := quantityOf[h.role]
	if !ok || h.unit.symbol == "" {
		return nil
	}
	u, ok := h.unit.as(q)
	if !ok && h.role == wavelengths && h.unit.quantity == frequency {
		h.role, u, ok = frequencies, h.unit, true
	}
	if !ok {
		return t.at(h.cell, "%s is headed as a %v in %s; a unit of %v is needed, such as %s",
			shown(h.text), q, h.unit.symbol, q, plainUnits[q])
	}
	h.unit = u
	return nil
}

// followUnit gives uncertainties without a unit that of the values, unless they
// are relative.
func (h *heading) followUnit(u unit) {
	if h.unit.symbol == "" && !h.percent {
		h.unit = u
	}
}

// brackets is a unit in brackets at the end of a heading.
var brackets = regexp.MustCompile(`^(.*?)\s*[\[({<]\s*(?:in |/ ?)?([^\[\](){}<>]*(?:\{[^{}]*\}[^\[\](){}<>]*)?)\s*[\])}>]$`)

// splitUnit cuts the unit off the end of a heading: current [pA], current (pA),
// I / pA, current in pA, current, pA, current_A, and a unit alone. Where there
// is none, or none that is known, the unit is zero.
func splitUnit(text string) (string, unit) {
	s := strings.TrimSpace(text)
	if m := brackets.FindStringSubmatch(s); m != nil {
		if u, ok := parseUnit(m[2]); ok {
			return m[1], u
		}
		return s, unit{}
	}
	if u, ok := parseUnit(s); ok && !isSymbol(s) {
		return "", u
	}
	for _, mark := range []string{"/", ",", " in ", "_", " ", "×"} {
		for i := strings.Index(s, mark); i >= 0 && i < len(s); {
			end := s[i+len(mark):]
			// A small letter at the end numbers a column: series a, run_s.
			numbered := len(end) == 1 && end == strings.ToLower(end) && (mark == "_" || mark == " ")
			if u, ok := parseUnit(end); ok && i > 0 && !numbered {
				return strings.TrimRight(s[:i], " ,_/"), u
			}
			next := strings.Index(s[i+len(mark):], mark)
			if next < 0 {
				break
			}
			i += len(mark) + next
		}
	}
	return s, unit{}
}

// isSymbol says whether a unit alone is rather the symbol of the quantity, so
// that nothing is known of the unit: V for a voltage.
func isSymbol(s string) bool {
	return s == "V" || s == "v" || s == "volts" || s == "Volts" || s == "volt" || s == "Volt"
}

// wordsOf splits a heading into words of small letters.
func wordsOf(name string) []string {
	return strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) })
}

// isDark says whether a name is that of a dark curve: it says so, and adds no
// colour, since a dark red is a light, nor that the dark was taken off.
func isDark(name string) bool {
	words := wordsOf(name)
	dark := false
	for i, w := range words {
		switch {
		case slices.Contains(colourWords, w), slices.Contains(derivedWords, w), slices.Contains(meanWords, w):
			return false
		case slices.Contains(darkWords, w),
			w == "off" && i > 0 && slices.Contains(switchWords, words[i-1]),
			w == "no" && i+1 < len(words) && slices.Contains(switchWords, words[i+1]):
			dark = true
		}
	}
	return dark && !strings.Contains(name, " - ")
}

// kinOf joins words but the single letters after the first, which number a
// column like digits do.
func kinOf(words []string) string {
	var kept []string
	for i, w := range words {
		if i == 0 || utf8.RuneCountInString(w) > 1 && !slices.Contains(extremeWords, w) {
			kept = append(kept, w)
		}
	}
	return strings.Join(kept, " ")
}

// wavelengthText is a number that can be a wavelength, with its unit or
// without.
var wavelengthText = regexp.MustCompile(`(?:^|[^0-9.,])([0-9]+(?:[.,][0-9]+)?)(?:\s*_?(nm|Å|A\b|THz|terahertz))?`)

// frequencyText is a frequency of light in 10^14 or 10^15 Hz.
var frequencyText = regexp.MustCompile(`([0-9]+(?:[.,][0-9]+)?)\s*(?:[x×*·]?\s*10\s*\^?\s*|[eE]\+?)(1[45])\s*_?Hz`)

// wavelengthIn returns the wavelength in nm that a name holds, 0 for none and
// for several that cannot be told apart. A number with its unit comes before
// numbers without.
func wavelengthIn(name string) float64 {
	if m := frequencyText.FindStringSubmatch(superscripts.Replace(name)); m != nil {
		if hertz, err := parseNumber(strings.Replace(m[1], ",", ".", 1)+"e"+m[2], '.'); err == nil {
			return airWavelength(hertz)
		}
	}
	var with, without []float64
	for _, m := range wavelengthText.FindAllStringSubmatch(name, -1) {
		x, err := parseNumber(strings.Replace(m[1], ",", ".", 1), '.')
		if err != nil {
			continue
		}
		switch m[2] {
		case "", "nm":
		case "THz", "terahertz":
			x = airWavelength(x * 1e12)
		default:
			x /= 10
		}
		switch {
		case !run.PlausibleWavelength(x):
		case m[2] != "":
			with = append(with, x)
		case x >= 180 && x <= 1200: // a bare number may as well be a year or a count
			without = append(without, x)
		}
	}
	switch {
	case len(with) == 1:
		return with[0]
	case len(with) == 0 && len(without) == 1:
		return without[0]
	}
	return 0
}
