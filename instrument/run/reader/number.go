package reader

import (
	"errors"
	"math"
	"regexp"
	"strconv"
	"strings"
)

var (
	errNotNumber = errors.New("is not a number")
	errNotFinite = errors.New("is not a finite number")
	errDate      = errors.New("is a date, as spreadsheets make of numbers")
)

// signs maps the characters that people and programs write for a minus sign
// and for blanks inside a cell to plain ones.
var signs = strings.NewReplacer("\u2212", "-", "\u2013", "-", "\u2012", "-", "\u00a0", " ", "\u202f", " ")

// powerOfTen is the long form of an exponent, as in 1.2 x 10^-9.
var powerOfTen = regexp.MustCompile(`^([-+]?[0-9.]+) ?[x*×·] ?10 ?(?:\^|\*\*)? ?\{?([-+]?[0-9]+)\}?$`)

// parseNumber reads a decimal number with the given decimal mark.
func parseNumber(text string, decimal rune) (float64, error) {
	return parseScaled(text, decimal, 0)
}

// parseScaled reads a decimal number and returns it times ten to the power. The
// power goes into the text's exponent, so that 1.1 nA gives the number that is
// nearest to 1.1e-9 and no digits that nobody wrote.
func parseScaled(text string, decimal rune, power int) (float64, error) {
	s := strings.TrimSpace(text)
	if strings.ContainsAny(s, "\u2212\u2013\u2012\u00a0\u202f") {
		s = strings.TrimSpace(signs.Replace(s))
	}
	if decimal == ',' {
		if strings.Contains(s, ".") || !digitsAround(s, strings.IndexByte(s, ',')) {
			return 0, notANumber(s)
		}
		s = strings.Replace(s, ",", ".", 1)
	}
	if !plainNumber(s) {
		m := powerOfTen.FindStringSubmatch(s)
		if m == nil {
			return 0, notANumber(s)
		}
		s = m[1] + "e" + m[2]
	}
	x, err := strconv.ParseFloat(scaleText(s, power), 64)
	if errors.Is(err, strconv.ErrRange) || math.IsInf(x, 0) {
		return 0, errNotFinite
	}
	if err != nil {
		return 0, notANumber(s)
	}
	return x, nil
}

// scaleText adds the power to the exponent of a number.
func scaleText(s string, power int) string {
	if power == 0 {
		return s
	}
	mantissa := s
	if i := strings.IndexAny(s, "eE"); i >= 0 {
		n, err := strconv.Atoi(s[i+1:])
		if err != nil || n > 1000 || n < -1000 {
			return s // no number, or one out of reach at any power
		}
		mantissa, power = s[:i], n+power
	}
	return mantissa + "e" + strconv.Itoa(power)
}

// digitsAround says whether the mark at i, if there is one, stands between
// digits, as a decimal comma does and a comma of a list does not.
func digitsAround(s string, i int) bool {
	digit := func(c byte) bool { return c >= '0' && c <= '9' }
	return i < 0 || i > 0 && i+1 < len(s) && digit(s[i-1]) && digit(s[i+1])
}

// plainNumber says whether s has only the characters of a decimal number, so
// that the hexadecimal and named numbers which strconv knows stay out.
func plainNumber(s string) bool {
	if s == "" {
		return false
	}
	for i := range len(s) {
		switch c := s[i]; {
		case c >= '0' && c <= '9', c == '.', c == '-', c == '+', c == 'e', c == 'E':
		default:
			return false
		}
	}
	return true
}

// dates are the shapes in which spreadsheets show a number that they took for
// a day or a time of day.
var dates = regexp.MustCompile(`(?i)^(\d{1,4}[-./ ]{1,2})?(jan|feb|mar|m[äa]r|apr|may|mai|jun|jul|aug|sep|oct|okt|nov|dec|dez)[a-z]*\.?([-./ ]{1,2}\d{1,4})?$` +
	`|^\d{1,2}[-./]\d{1,2}[-./](\d{2}|\d{4})?( .*)?$|^\d{4}-\d{1,2}-\d{1,2}|^\d{1,2}:\d{2}`)

// notANumber returns the reason why s is no number.
func notANumber(s string) error {
	switch strings.ToLower(strings.Trim(s, "+-")) {
	case "nan", "inf", "infinity", "1.#inf", "1.#ind", "1.#qnan", "∞":
		return errNotFinite
	}
	if dates.MatchString(s) {
		return errDate
	}
	return errNotNumber
}

// shift returns x times ten to the power, rounded once.
func shift(x float64, power int) float64 {
	if power < 0 {
		return x / math.Pow10(-power)
	}
	return x * math.Pow10(power)
}
