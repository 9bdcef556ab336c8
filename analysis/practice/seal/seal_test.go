package seal_test

import (
	"bytes"
	"encoding/hex"
	"errors"
	"io"
	"testing"

	"golang.org/x/crypto/argon2"

	"stopvolt/analysis/practice/seal"
)

var passphrase = []byte("five grey herons")

// cheap keeps the tests quick.
var cheap = seal.Costs{Passes: 1, MemoryKiB: 64, Lanes: 1}

func sealed(t *testing.T, text []byte) []byte {
	t.Helper()
	var file bytes.Buffer
	w, err := seal.NewWriter(&file, passphrase, cheap)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.Write(text); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return file.Bytes()
}

func opened(file, passphrase []byte) ([]byte, error) {
	r, err := seal.NewReader(bytes.NewReader(file), passphrase)
	if err != nil {
		return nil, err
	}
	return io.ReadAll(r)
}

func TestWhatWasSealedComesBack(t *testing.T) {
	const piece = 64 << 10
	for _, length := range []int{0, 1, piece - 1, piece, piece + 1, 3 * piece} {
		text := bytes.Repeat([]byte{'k'}, length)
		got, err := opened(sealed(t, text), passphrase)
		if err != nil || !bytes.Equal(got, text) {
			t.Errorf("%d bytes came back as %d: %v", length, len(got), err)
		}
	}
}

func TestOnlyThePassphraseOpens(t *testing.T) {
	file := sealed(t, []byte("the truth"))
	for _, wrong := range []string{"", "five grey heron", "five grey herons ", "Five grey herons"} {
		if got, err := opened(file, []byte(wrong)); !errors.Is(err, seal.ErrClosed) || len(got) > 0 {
			t.Errorf("%q opens the file: %q, %v", wrong, got, err)
		}
	}
}

func TestAChangedByteIsNoticed(t *testing.T) {
	text := []byte("the truth")
	file := sealed(t, text)
	for i := range file {
		changed := bytes.Clone(file)
		changed[i] ^= 1
		if got, err := opened(changed, passphrase); err == nil {
			t.Errorf("byte %d of %d was changed and %q came back", i, len(file), got)
		}
	}
}

func TestACutOrLengthenedFileIsNoticed(t *testing.T) {
	const piece, tag = 64 << 10, 16
	file := sealed(t, make([]byte, 2*piece+5))
	head := len(file) - (2*piece + 5 + 3*tag)
	first, second := file[head:head+piece+tag], file[head+piece+tag:head+2*(piece+tag)]
	for name, changed := range map[string][]byte{
		"the last piece is gone":      file[:head+2*(piece+tag)],
		"the last byte is gone":       file[:len(file)-1],
		"all pieces are gone":         file[:head],
		"a byte follows":              append(bytes.Clone(file), 0),
		"the pieces are exchanged":    append(append(append(bytes.Clone(file[:head]), second...), first...), file[head+2*(piece+tag):]...),
		"the first piece comes twice": append(append(bytes.Clone(file[:head+piece+tag]), first...), file[head+2*(piece+tag):]...),
	} {
		if _, err := opened(changed, passphrase); err == nil {
			t.Errorf("%s, and nobody noticed", name)
		}
	}
}

func TestEqualTextsAreSealedDifferently(t *testing.T) {
	if a, b := sealed(t, []byte("the truth")), sealed(t, []byte("the truth")); bytes.Equal(a, b) {
		t.Error("two files are equal")
	}
}

// A header that asks for a gibibyte more is refused before the memory is taken.
func TestTheHeaderIsBounded(t *testing.T) {
	file := sealed(t, nil)
	for _, change := range [][2]string{{`"memory_KiB":64`, `"memory_KiB":4194304`}, {`"passes":1`, `"passes":4000`}, {`"lanes":1`, `"lanes":0`}} {
		changed := bytes.Replace(file, []byte(change[0]), []byte(change[1]), 1)
		if bytes.Equal(changed, file) {
			t.Fatalf("%s is not in the header", change[0])
		}
		if _, err := opened(changed, passphrase); err == nil || errors.Is(err, seal.ErrClosed) {
			t.Errorf("a header with %s: error %v", change[1], err)
		}
	}
}

// The numbers are those of RFC 9106, section 4, second recommended option.
func TestTheUsualCostsAreRecommendedOnes(t *testing.T) {
	if got := seal.Recommended(); got != (seal.Costs{Passes: 3, MemoryKiB: 65536, Lanes: 4}) {
		t.Errorf("the costs are %+v", got)
	}
}

// The vector is from the tests of the reference implementation of Argon2 (two
// passes, 64 KiB, one lane), from memory; that of RFC 9106, section 5.3, needs a
// secret that the library does not take.
func TestTheDerivationIsTheStandardOne(t *testing.T) {
	got := argon2.IDKey([]byte("password"), []byte("somesalt"), 2, 64, 1, 24)
	if hex.EncodeToString(got) != "068d62b26455936aa6ebe60060b0a65870dbfa3ddf8d41f7" {
		t.Errorf("the key is %x", got)
	}
}
