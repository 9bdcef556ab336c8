package reader

import (
	"regexp"
	"strconv"
	"strings"
)

// A quantity is what the numbers of a column are.
type quantity int

const (
	noQuantity quantity = iota
	voltage
	current
	wavelength
	frequency
	duration
)

// names of the quantities and of their plain unit, for messages.
var quantityNames = [...]string{"quantity", "voltage", "current", "wavelength", "frequency", "time"}
var plainUnits = [...]string{"", "V", "A", "nm", "Hz", "s"}

func (q quantity) String() string { return quantityNames[q] }

// A unit is a symbol as it stands in a heading, with the power of ten that
// leads from it to the plain unit of its quantity: V, A, nm, Hz or s.
type unit struct {
	symbol   string
	quantity quantity
	power    int
}

// units are the symbols by their spelling, in small letters where no prefix
// depends on the case.
var units = map[string]unit{
	"V": {"V", voltage, 0}, "mV": {"mV", voltage, -3}, "µV": {"µV", voltage, -6}, "kV": {"kV", voltage, 3},
	"volt": {"V", voltage, 0}, "volts": {"V", voltage, 0}, "millivolt": {"mV", voltage, -3}, "millivolts": {"mV", voltage, -3},
	"A": {"A", current, 0}, "mA": {"mA", current, -3}, "µA": {"µA", current, -6}, "nA": {"nA", current, -9},
	"pA": {"pA", current, -12}, "fA": {"fA", current, -15},
	"amp": {"A", current, 0}, "amps": {"A", current, 0}, "ampere": {"A", current, 0}, "amperes": {"A", current, 0},
	"nanoamp": {"nA", current, -9}, "nanoamps": {"nA", current, -9}, "nanoampere": {"nA", current, -9}, "nanoamperes": {"nA", current, -9},
	"picoamp": {"pA", current, -12}, "picoamps": {"pA", current, -12}, "picoampere": {"pA", current, -12}, "picoamperes": {"pA", current, -12},
	"microamp": {"µA", current, -6}, "microamps": {"µA", current, -6}, "microampere": {"µA", current, -6}, "microamperes": {"µA", current, -6},
	"nm": {"nm", wavelength, 0}, "Å": {"Å", wavelength, -1}, "angstrom": {"Å", wavelength, -1}, "angstroms": {"Å", wavelength, -1},
	"ångström": {"Å", wavelength, -1}, "ångstrom": {"Å", wavelength, -1}, "µm": {"µm", wavelength, 3}, "m": {"m", wavelength, 9},
	"nanometre": {"nm", wavelength, 0}, "nanometres": {"nm", wavelength, 0}, "nanometer": {"nm", wavelength, 0}, "nanometers": {"nm", wavelength, 0},
	"Hz": {"Hz", frequency, 0}, "kHz": {"kHz", frequency, 3}, "MHz": {"MHz", frequency, 6}, "GHz": {"GHz", frequency, 9},
	"THz": {"THz", frequency, 12}, "PHz": {"PHz", frequency, 15}, "hertz": {"Hz", frequency, 0}, "terahertz": {"THz", frequency, 12},
	"s": {"s", duration, 0}, "ms": {"ms", duration, -3}, "sec": {"s", duration, 0}, "second": {"s", duration, 0}, "seconds": {"s", duration, 0},
}

// shouted are the symbols by their spelling in small letters, for headings
// that a program wrote all in one case.
var shouted = map[string]unit{
	"v": units["V"], "mv": units["mV"], "µv": units["µV"],
	"a": units["A"], "ma": units["mA"], "µa": units["µA"], "na": units["nA"], "pa": units["pA"], "fa": units["fA"],
	"nm": units["nm"], "å": units["Å"], "hz": units["Hz"], "thz": units["THz"], "s": units["s"],
}

// micro maps the two characters for the prefix, the letter u in their place,
// and the two letters to which a wrong decoding turns it, to one.
var micro = strings.NewReplacer("\u00c2\u00b5", "\u00b5", "\u00ce\u00bc", "\u00b5", "\u03bc", "\u00b5", "\u212b", "\u00c5")

// superscripts maps raised digits to plain ones.
var superscripts = strings.NewReplacer("⁰", "0", "¹", "1", "²", "2", "³", "3", "⁴", "4", "⁵", "5", "⁶", "6",
	"⁷", "7", "⁸", "8", "⁹", "9", "⁻", "-", "⁺", "+")

// scaled is a unit with a power of ten before it: e-7 A, 10^-7 A, x10⁻⁷ A,
// 1E14 Hz.
var scaled = regexp.MustCompile(`^(?:(?:[x×*·] ?)?(?:10 ?(?:\^|\*\*)? ?|1?[eE] ?|1\.0*[eE] ?)\{?\(?([-+]?[0-9]{1,3})\)?\}?[ *·×_]*)?(\p{L}+)$`)

// parseUnit reads a unit.
func parseUnit(text string) (unit, bool) {
	s := superscripts.Replace(micro.Replace(signs.Replace(strings.TrimSpace(text))))
	m := scaled.FindStringSubmatch(s)
	if m == nil {
		return unit{}, false
	}
	symbol := m[2]
	if len(symbol) >= 2 && symbol[0] == 'u' {
		symbol = "µ" + symbol[1:]
	}
	u, ok := units[symbol]
	if !ok {
		u, ok = units[strings.ToLower(symbol)]
	}
	if !ok {
		u, ok = shouted[strings.ToLower(symbol)]
	}
	if !ok {
		return unit{}, false
	}
	if m[1] != "" {
		power, err := strconv.Atoi(m[1])
		if err != nil || power < -30 || power > 30 {
			return unit{}, false
		}
		u.power += power
		u.symbol = "1e" + strconv.Itoa(power) + " " + u.symbol
	}
	return u, true
}

// as returns the unit read as one of quantity q: A is an ampere of a current
// and an angstrom of a wavelength.
func (u unit) as(q quantity) (unit, bool) {
	if q == wavelength && u.quantity == current && u.symbol == "A" {
		return units["Å"], true
	}
	return u, u.quantity == q
}
