package analysis

import (
	"math"
	"testing"
)

func TestConciseWritesUncertaintyInTheLastPlaces(t *testing.T) {
	for _, c := range []struct {
		value, u float64
		unit     string
		want     string
	}{
		{4.1298e-15, 0.051e-15, "V s", "4.13(5)e-15 V s"},
		{4.1298e-15, 0.012e-15, "V s", "4.130(12)e-15 V s"},
		// JCGM 100:2008, 7.2.2, example 2: a mass of nominally 100 g.
		{100.02147, 0.00035, "g", "100.02147(35) g"},
		{1.786, 0.0382, "V", "1.79(4) V"},
		{-0.0123, 0.0021, "V", "-0.0123(21) V"},
		{0.00001234, 0.0000005, "", "1.23(5)e-5"},
		{1234, 56, "A", "1.23(6)e3 A"},
		{9.9996, 0.0095, "V", "10.000(10) V"},
		{9.9996e-12, 0.006e-12, "A", "1.0000(6)e-11 A"},
		{0.02, 3, "V", "0.0(30) V"},
		{2.5, 0, "V", "2.5 V"},
		{2.5, math.NaN(), "V", "2.5 V"},
		{math.NaN(), 1, "V", "none"},
	} {
		if got := Concise(c.value, c.u, c.unit); got != c.want {
			t.Errorf("Concise(%v, %v) = %q, want %q", c.value, c.u, got, c.want)
		}
	}
}
