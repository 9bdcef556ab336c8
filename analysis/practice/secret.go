package practice

import (
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"

	"stopvolt/instrument/population"
)

// A Secret is what all randomness of a set comes from. It is drawn once, by the
// operating system, and kept in the key; no passphrase and no number that
// anybody types has a part in it.
//
// Each truth is an output of HMAC-SHA256 under the secret, named by the student
// and the quantity (RFC 2104). To guess one from the others, or from the
// readings, is to break that function.
type Secret [32]byte

// NewSecret draws a secret.
func NewSecret() (Secret, error) {
	var s Secret
	_, err := rand.Read(s[:])
	return s, err
}

// MarshalText returns the secret in hexadecimal digits.
func (s Secret) MarshalText() ([]byte, error) { return hex.AppendEncode(nil, s[:]), nil }

// UnmarshalText reads hexadecimal digits.
func (s *Secret) UnmarshalText(text []byte) error {
	if n, err := hex.Decode(s[:], text[:min(len(text), 2*len(s))]); err != nil || n != len(s) || len(text) != 2*len(s) {
		return fmt.Errorf("a secret has %d hexadecimal digits", 2*len(s))
	}
	return nil
}

// A draw is what a secret gives for one trial at one student's bench.
type draw struct {
	secret  Secret
	student string
	trial   int
}

// bits returns 64 random bits for a purpose.
func (d draw) bits(purpose string) uint64 {
	mac := hmac.New(sha256.New, d.secret[:])
	var numbers [16]byte
	binary.BigEndian.PutUint64(numbers[:8], uint64(d.trial))
	// The length keeps ("ab", "c") apart from ("a", "bc").
	binary.BigEndian.PutUint64(numbers[8:], uint64(len(d.student)))
	mac.Write(numbers[:])
	mac.Write([]byte(d.student))
	mac.Write([]byte(purpose))
	return binary.BigEndian.Uint64(mac.Sum(nil))
}

// seed returns the seed of the noise of the readings.
//
// It has 64 bits only, which is enough for what it guards. Whoever wanted to
// find it would simulate each of 2^64 seeds, some ten thousand years on a
// million cores, and would win a run without noise; the truth behind it is
// drawn apart from the seed, and no more known than before.
func (d draw) seed() uint64 { return d.bits("noise") }

// uniform returns a number above 0 and below 1.
func (d draw) uniform(quantity string) float64 {
	return max(float64(d.bits(quantity)>>11), 0.5) * 0x1p-53
}

// of returns a number that follows a law.
func (d draw) of(l population.Law, quantity string) float64 { return l.Quantile(d.uniform(quantity)) }

// choose returns a number from 0 to n-1.
func (d draw) choose(n int, what string) int { return int(d.uniform(what) * float64(n)) }
