package analysis

import (
	"math"
	"strconv"
	"strings"
)

// Concise writes a value with its standard uncertainty in the short form of JCGM
// 100:2008, 7.2.2: 4.13(5)e-15 V s, where the digits in brackets are those of
// the uncertainty in the last places of the value. The uncertainty has two
// digits if they are below 36, else one (the rounding rule of the Particle Data
// Group, from memory), and the value as many places. Without a finite
// uncertainty above zero the value stands alone with six digits, and a value
// that is not finite is "none".
func Concise(value, u float64, unit string) string {
	if unit != "" {
		unit = " " + unit
	}
	if !finite(value) {
		return "none"
	}
	if !finite(u) || u <= 0 {
		return strconv.FormatFloat(value, 'g', 6, 64) + unit
	}
	last, digits := uncertaintyDigits(u)
	top := math.Max(math.Abs(value), float64(digits)*math.Pow10(last))
	exponent := int(math.Floor(math.Log10(top)))
	if last <= 0 && exponent > -4 {
		exponent = 0
	}
	places := exponent - last
	mantissa := strconv.FormatFloat(value/math.Pow10(exponent), 'f', max(places, 0), 64)
	if isOverflown(mantissa) && exponent != 0 {
		// 9.996 has become 10.0.
		exponent++
		places++
		mantissa = strconv.FormatFloat(value/math.Pow10(exponent), 'f', max(places, 0), 64)
	}
	out := mantissa + "(" + strconv.Itoa(digits) + ")"
	if exponent != 0 {
		out += "e" + strconv.Itoa(exponent)
	}
	return out + unit
}

// isOverflown says whether rounding gave a mantissa two digits before its point.
func isOverflown(mantissa string) bool {
	return strings.HasPrefix(strings.TrimPrefix(mantissa, "-"), "10")
}

// uncertaintyDigits returns the digits that an uncertainty is stated with, and
// the power of ten of the last of them.
func uncertaintyDigits(u float64) (last, digits int) {
	first := int(math.Floor(math.Log10(u)))
	last = first - 1
	digits = int(math.Round(u / math.Pow10(last)))
	if digits < 36 {
		return last, digits
	}
	last = first
	return last, int(math.Round(u / math.Pow10(last)))
}
