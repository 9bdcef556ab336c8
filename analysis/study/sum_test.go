package study

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

// The reference is math/big's exact arithmetic.
func TestSumIsExactAndKnowsNoOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		numbers := rapid.SliceOfN(rapid.Float64Range(-1e12, 1e12), 1, 40).Draw(t, "numbers")
		var forwards, backwards, left, right Sum
		exact := new(big.Rat)
		for i, x := range numbers {
			forwards.Add(x)
			backwards.Add(numbers[len(numbers)-1-i])
			if i%2 == 0 {
				left.Add(x)
			} else {
				right.Add(x)
			}
			exact.Add(exact, new(big.Rat).SetFloat64(x))
		}
		right.Merge(left)
		if forwards != backwards || forwards != right {
			t.Fatalf("sums in three orders differ: %v, %v, %v", forwards, backwards, right)
		}
		want, _ := exact.Float64()
		// Each term is rounded to half a unit of 2^-80, which may carry the sum
		// across a tie, to the neighbouring float64.
		ulp := math.Nextafter(math.Abs(want), math.Inf(1)) - math.Abs(want)
		if got := forwards.Float(); math.Abs(got-want) > ulp+40*math.Ldexp(1, -81) {
			t.Fatalf("sum %.17g, want %.17g", got, want)
		}
		text, err := forwards.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		var back Sum
		if err := back.UnmarshalText(text); err != nil || back != forwards {
			t.Fatalf("%s comes back as %v, error %v", text, back, err)
		}
	})
}

func TestSumTakesEverySize(t *testing.T) {
	for _, x := range []float64{0, 5e-324, 1e-30, math.Ldexp(1, -81), math.Ldexp(1.5, -80), 1e-20, 1, -1, 1e24, -1e24, 1e29} {
		var s Sum
		s.Add(x)
		if got := s.Float(); math.Abs(got-x) > math.Abs(x)*2e-16+math.Ldexp(1, -81) {
			t.Errorf("%g comes back as %g", x, got)
		}
	}
}

// A spread far below the mean survives the difference of two large sums.
func TestMomentsOfASmallSpread(t *testing.T) {
	var x, x2 Sum
	const n = 1000
	for i := range n {
		v := 0.138 + 1e-6*float64(i%2*2-1)
		x.Add(v)
		x2.Add(v * v)
	}
	mean, deviation := moments(n, x, x2)
	want := 1e-6 * math.Sqrt(float64(n)/(n-1))
	// v*v is rounded to 2e-18 before it is added, a millionth of the square of
	// the spread.
	if math.Abs(mean-0.138) > 1e-15 || math.Abs(deviation/want-1) > 1e-5 {
		t.Errorf("mean %.12g, deviation %.6g, want 0.138 and %.6g", mean, deviation, want)
	}
}
