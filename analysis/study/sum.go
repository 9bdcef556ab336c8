package study

import (
	"fmt"
	"math"
	"math/big"
	"math/bits"
)

// Sum is an exact sum of numbers: a fixed-point number of 192 bits. Adding is
// associative and commutative to the last bit, so that a study gives the same
// bytes in whatever order, and on however many machines, its replicates are
// done. (Sums of float64 would depend on the order.)
//
// A number is rounded once, when it is added, to a multiple of 2^-80, about
// 8e-25. Sums up to 2^110 in size fit.
type Sum struct {
	words [3]uint64 // two's complement, the least significant first
}

// unitExponent is the binary exponent of a Sum's unit.
const unitExponent = -80

// Add adds a finite number below 2^100 in size.
func (s *Sum) Add(x float64) {
	mantissa, exponent := math.Frexp(math.Abs(x))
	// x = whole * 2^shift units, with a whole number of 53 bits.
	whole := uint64(mantissa * (1 << 53))
	shift := exponent - 53 - unitExponent
	var term [3]uint64
	switch {
	case shift < -53:
		return
	case shift < 0:
		term[0] = (whole + 1<<(-shift-1)) >> -shift
	default:
		word, bit := shift/64, shift%64
		term[word] = whole << bit
		if bit > 0 && word < 2 {
			term[word+1] = whole >> (64 - bit)
		}
	}
	if x < 0 {
		s.subtract(term)
		return
	}
	s.plus(term)
}

// Merge adds another sum.
func (s *Sum) Merge(other Sum) { s.plus(other.words) }

func (s *Sum) plus(term [3]uint64) {
	var carry uint64
	for i := range s.words {
		s.words[i], carry = bits.Add64(s.words[i], term[i], carry)
	}
}

func (s *Sum) subtract(term [3]uint64) {
	var borrow uint64
	for i := range s.words {
		s.words[i], borrow = bits.Sub64(s.words[i], term[i], borrow)
	}
}

// units returns the sum in its units.
func (s Sum) units() *big.Int {
	total := new(big.Int)
	for i := len(s.words) - 1; i >= 0; i-- {
		total.Lsh(total, 64)
		total.Or(total, new(big.Int).SetUint64(s.words[i]))
	}
	if s.words[2]>>63 == 1 {
		total.Sub(total, new(big.Int).Lsh(big.NewInt(1), 192))
	}
	return total
}

// Float returns the sum, rounded.
func (s Sum) Float() float64 { return float(s.units(), unitExponent) }

// float returns a whole number times a power of two.
func float(whole *big.Int, exponent int) float64 {
	f, _ := new(big.Float).SetInt(whole).Float64()
	if !math.IsInf(f, 0) {
		return math.Ldexp(f, exponent)
	}
	f, _ = new(big.Float).SetMantExp(new(big.Float).SetInt(whole), exponent).Float64()
	return f
}

// MarshalText writes the sum in its units as a decimal number.
func (s Sum) MarshalText() ([]byte, error) { return s.units().MarshalText() }

// UnmarshalText reads what MarshalText wrote.
func (s *Sum) UnmarshalText(text []byte) error {
	total := new(big.Int)
	if err := total.UnmarshalText(text); err != nil {
		return err
	}
	if total.BitLen() > 190 {
		return fmt.Errorf("the sum %s has more than 190 bits", text)
	}
	if total.Sign() < 0 {
		total.Add(total, new(big.Int).Lsh(big.NewInt(1), 192))
	}
	mask := new(big.Int).SetUint64(math.MaxUint64)
	for i := range s.words {
		s.words[i] = new(big.Int).And(total, mask).Uint64()
		total.Rsh(total, 64)
	}
	return nil
}

// moments returns the mean and the standard deviation of n numbers of a sum and
// a sum of squares. The difference that the deviation is made of is exact; both
// are NaN where there are too few numbers.
func moments(n int64, sum, squares Sum) (mean, deviation float64) {
	if n == 0 {
		return math.NaN(), math.NaN()
	}
	mean = sum.Float() / float64(n)
	if n == 1 {
		return mean, math.NaN()
	}
	s := sum.units()
	count := big.NewInt(n)
	// n*squares - sum^2, in the square of the unit.
	difference := new(big.Int).Lsh(squares.units(), -unitExponent)
	difference.Mul(difference, count)
	difference.Sub(difference, s.Mul(s, s))
	if difference.Sign() <= 0 {
		// Rounding of the terms may leave less than nothing.
		return mean, 0
	}
	return mean, math.Sqrt(float(difference, 2*unitExponent) / (float64(n) * float64(n-1)))
}
