package practice_test

import (
	"bytes"
	"io"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopvolt/analysis/practice"
	"stopvolt/analysis/practice/seal"
	"stopvolt/instrument/run"
	"stopvolt/scenarios"
)

// secret is that of every set here; a failure is repeated by it.
var secret = practice.Secret{0x20, 0x26, 0x11, 0x25}

// cheap keeps the tests quick; passphrase is theirs.
var cheap = seal.Costs{Passes: 1, MemoryKiB: 64, Lanes: 1}

var passphrase = []byte("five grey herons")

// recipe returns that of a level of the embedded scenario.
func recipe(t testing.TB, level string) practice.Recipe {
	t.Helper()
	s, err := scenarios.Load(scenarios.Practice, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range s.Practice {
		if v.Name == level {
			return practice.Recipe{Apparatus: s.Apparatus, Variation: v}
		}
	}
	t.Fatalf("no level %q", level)
	return practice.Recipe{}
}

// made returns the records of n students.
func made(t testing.TB, r practice.Recipe, n int) []practice.Record {
	t.Helper()
	var records []practice.Record
	err := practice.Make(r, secret, practice.Numbered(n), func(record practice.Record) error {
		records = append(records, clone(record))
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return records
}

// clone copies the run, which is good for one call only.
func clone(r practice.Record) practice.Record {
	curves := r.Run.Curves
	r.Run.Curves = nil
	for _, c := range curves {
		c.Readings = append([]run.Reading(nil), c.Readings...)
		r.Run.Curves = append(r.Run.Curves, c)
	}
	return r
}

func TestZZ(t *testing.T) {
	for _, level := range []string{"clean", "ordinary", "awkward"} {
		for _, blind := range []bool{false, true} {
			r := recipe(t, level)
			r.Blind = blind
			records := made(t, r, 60)
			low, high := math.Inf(1), 0.0
			for _, x := range records {
				low, high = min(low, x.Truth.Attainable), max(high, x.Truth.Attainable)
			}
			t.Log(level, blind, low, high)
		}
	}
}

func TestKeysHoldTheWholeSet(t *testing.T) {
	r := recipe(t, "awkward")
	records := made(t, r, 3)
	public := r.Public("a bench", practice.Presentation{Language: "en"})
	var file bytes.Buffer
	k, err := practice.NewKeyWriter(&file, passphrase, cheap, public, secret)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range records {
		if err := k.Write(x); err != nil {
			t.Fatal(err)
		}
	}
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	t.Log(file.Len())
	back, err := practice.OpenKey(&file, passphrase)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(practice.Key{Schema: 1, Public: public, Secret: secret}, back.Key); d != "" {
		t.Error(d)
	}
	for _, want := range records {
		got, err := back.Next()
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Error(d)
		}
	}
	if _, err := back.Next(); err != io.EOF {
		t.Errorf("after the last student: %v", err)
	}
}
