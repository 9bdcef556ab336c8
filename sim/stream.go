package sim

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"

	//lint:ignore SA1019 frozen, which is what makes the same seed give the same bytes in years to come
	"golang.org/x/exp/rand"
)

// A StreamName says what a stream of random numbers is for. Streams of
// different names are independent, so that no result depends on which goroutine
// drew first.
type StreamName struct {
	// Seed is the user's.
	Seed uint64
	// Replicate is the index of the repetition of the experiment.
	Replicate int
	// Setting is the name of the setting of the light; empty for what all
	// settings share.
	Setting string
	// Purpose is what the numbers decide, such as "noise".
	Purpose string
}

// For returns the name of a stream for a purpose that all settings share.
func (n StreamName) For(purpose string) StreamName {
	n.Setting, n.Purpose = "", purpose
	return n
}

// A Stream is a source of random numbers, a permuted congruential generator of
// 128 bits of state (M. E. O'Neill, technical report HMC-CS-2014-0905). It
// satisfies math/rand/v2's Source, so that gonum's distuv draws from it.
type Stream struct {
	source rand.PCGSource
}

// NewStream returns the stream of a name. Its state is a hash of the name; two
// streams overlap within n numbers with a probability of about n/2^127.
func NewStream(name StreamName) *Stream {
	s := new(Stream)
	s.Start(name)
	return s
}

// Start makes s the stream of a name from its beginning, without allocating a
// new one.
func (s *Stream) Start(name StreamName) {
	text := make([]byte, 0, 128)
	text = binary.BigEndian.AppendUint64(text, name.Seed)
	text = binary.BigEndian.AppendUint64(text, uint64(name.Replicate))
	// The length keeps ("ab", "c") apart from ("a", "bc").
	text = binary.BigEndian.AppendUint64(text, uint64(len(name.Setting)))
	text = append(text, name.Setting...)
	text = append(text, name.Purpose...)
	hash := sha256.Sum256(text)
	if err := s.source.UnmarshalBinary(hash[:16]); err != nil {
		panic(fmt.Sprintf("sim: the generator refuses a state of 16 bytes: %v", err))
	}
}

// Uint64 returns 64 random bits.
func (s *Stream) Uint64() uint64 { return s.source.Uint64() }
