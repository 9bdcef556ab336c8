package words

import "testing"

func TestQuantitiesHaveThreeFiguresAndAPrefix(t *testing.T) {
	for _, c := range []struct {
		x    float64
		unit string
		want string
	}{
		{1.234e-9, "A", "1.23 nA"},
		{-9.996e-13, "A", "−1.00 pA"},
		{12.34e-12, "A", "12.3 pA"},
		{0.02543, "eV", "25.4 meV"},
		{2e12, "Ω", "2.00 TΩ"},
		{0, "A", "0 A"},
		{1.5, "V", "1.50 V"},
	} {
		if got := Quantity(c.x, c.unit); got != c.want {
			t.Errorf("%g %s is written %q, not %q", c.x, c.unit, got, c.want)
		}
	}
}
