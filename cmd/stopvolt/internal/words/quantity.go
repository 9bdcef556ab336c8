package words

import (
	"fmt"
	"math"
	"strings"
)

// prefixes are those of the International System of Units from 1e-18 to 1e12, in
// steps of a thousand.
var prefixes = [...]string{"a", "f", "p", "n", "µ", "m", "", "k", "M", "G", "T"}

// Quantity writes a value to three figures with its unit and a prefix, as in
// 1.23 nA.
func Quantity(x float64, unit string) string {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return fmt.Sprintf("%g %s", x, unit)
	}
	// Three figures first, so that 0.9999 does not become 1000 of the prefix
	// below.
	var rounded float64
	fmt.Sscanf(fmt.Sprintf("%.2e", x), "%g", &rounded)
	step := int(math.Floor(math.Log10(math.Abs(rounded)) / 3))
	step = min(max(step, -6), len(prefixes)-7)
	scaled := rounded / math.Pow(1000, float64(step))
	decimals := min(max(2-int(math.Floor(math.Log10(math.Abs(scaled)))), 0), 2)
	return strings.Replace(fmt.Sprintf("%.*f %s%s", decimals, scaled, prefixes[step+6], unit), "-", "−", 1)
}

// Share writes a fraction in per cent, to two figures below ten.
func Share(x float64) string {
	if math.Abs(x) >= 0.1 {
		return fmt.Sprintf("%.0f %%", 100*x)
	}
	return fmt.Sprintf("%.2g %%", 100*x)
}
