package main

import (
	"fmt"
	"math"
)

// concise writes a value with its standard uncertainty in its last digits, as
// in 1.234(12) (JCGM 100:2008, 7.2.2). The uncertainty has one digit, or two
// if the first is 1 or 2.
func concise(x, u float64) string {
	if !(u > 0) || math.IsInf(u, 0) {
		return fmt.Sprintf("%.4g", x)
	}
	exponent := int(math.Floor(math.Log10(u)))
	if lead := u / math.Pow10(exponent); lead < 2.95 {
		exponent--
	}
	decimals := max(-exponent, 0)
	if u < 1 {
		return fmt.Sprintf("%.*f(%.0f)", decimals, x, u*math.Pow10(decimals))
	}
	return fmt.Sprintf("%.*f(%.*f)", decimals, x, decimals, u)
}
