package practice_test

import (
	"bytes"
	"errors"
	"io"
	"math"
	"runtime"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopvolt/analysis/practice"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/scenarios"
)

// secret is that of every set here; a failure is repeated by it.
var secret = practice.Secret{0x20, 0x26, 0x11, 0x25}

// cheap is a lock that opens quickly.
var cheap = practice.Lock{Passphrase: passphrase, Work: 4}

var passphrase = []byte("five grey herons")

// recipe returns that of a level of the embedded scenario.
func recipe(t testing.TB, level string, assignments ...string) practice.Recipe {
	t.Helper()
	s, err := scenarios.Load(scenarios.Practice, assignments)
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

// Each bench of a class can be read by two methods or more, the best of them
// comes within 3 % of the truth, and no student has readings 2.6 times as
// uncertain as another's.
func TestBenchesOfAClassAreSolvableAndFair(t *testing.T) {
	for _, level := range []string{"clean", "ordinary", "awkward"} {
		for _, blind := range []bool{false, true} {
			r := recipe(t, level)
			r.Blind = blind
			c := newClassroom(t, r, 30)
			low, high := math.Inf(1), 0.0
			for i, m := range c.blank {
				low, high = min(low, m.Truth.Attainable), max(high, m.Truth.Attainable)
				best, answers := math.Inf(1), 0
				for _, x := range m.References {
					if d := math.Abs(x.HOverE/m.Truth.HOverE - 1); !math.IsNaN(d) {
						best = min(best, d)
						answers++
					}
				}
				if answers < 2 || best > 0.03 {
					t.Errorf("%s, blind %v, student %d: %d lines, the best %.1f %% off", level, blind, i, answers, 100*best)
				}
			}
			if high > 2.6*low {
				t.Errorf("%s, blind %v: attainable uncertainties from %g to %g", level, blind, low, high)
			}
			t.Logf("%s, blind %v: attainable uncertainties from %.2g to %.2g", level, blind, low, high)
		}
	}
}

func TestBlindWorldsDifferAndOthersDoNot(t *testing.T) {
	r := recipe(t, "ordinary")
	for _, x := range made(t, r, 5) {
		if x.Truth.HOverE != physics.HOverE {
			t.Errorf("h/e is %g V s in the common world", x.Truth.HOverE)
		}
	}
	r.Blind = true
	seen := make(map[float64]bool)
	for _, x := range made(t, r, 40) {
		if d := x.Truth.HOverE/physics.HOverE - 1; math.Abs(d) > 0.2 || seen[d] {
			t.Errorf("student %s has an h/e %.2f %% from the book value", x.Student.ID, 100*d)
		}
		seen[x.Truth.HOverE/physics.HOverE-1] = true
	}
}

// A student's bench depends on the secret and the student, and on nobody else.
func TestEqualSecretsGiveEqualBenches(t *testing.T) {
	r := recipe(t, "ordinary")
	class := []practice.Student{{ID: "b"}, {ID: "a"}, {ID: "c"}}
	benches := func(secret practice.Secret, class []practice.Student) map[string]practice.Record {
		all := make(map[string]practice.Record)
		if err := practice.Make(r, secret, class, func(x practice.Record) error { all[x.Student.ID] = clone(x); return nil }); err != nil {
			t.Fatal(err)
		}
		return all
	}
	whole, part, other := benches(secret, class), benches(secret, class[1:2]), benches(practice.Secret{1}, class)
	if d := cmp.Diff(whole["a"], part["a"]); d != "" {
		t.Error("a student's bench depends on the rest of the class:", d)
	}
	for _, s := range class {
		if cmp.Equal(whole[s.ID].Run, other[s.ID].Run) || whole[s.ID].Truth.CollectorWorkFunction == other[s.ID].Truth.CollectorWorkFunction {
			t.Errorf("student %s has the same bench under another secret", s.ID)
		}
	}
	if whole["a"].Truth.CollectorWorkFunction == whole["b"].Truth.CollectorWorkFunction {
		t.Error("two students have one cell")
	}
}

// Each planted fault shows in what the student is handed, as an instructor would
// expect it to.
func TestPlantedFaultsShow(t *testing.T) {
	r := recipe(t, "clean")
	r.Faults = true
	seen := make(map[string]int)
	for _, x := range made(t, r, 40) {
		seen[x.Truth.Fault]++
		dark, first := x.Run.Curves[0].Readings, x.Run.Curves[1].Readings
		end := len(dark) - 1
		switch x.Truth.Fault {
		case "leaking-cell":
			// A volt drives ten picoamperes or more.
			if fall := dark[0].Current - dark[end].Current; fall < 30e-12 {
				t.Errorf("student %s: a leak of %g A over the sweep", x.Student.ID, fall)
			}
		case "warm-up":
			if x.Truth.FaultSetting != "" || first[10].Current < 1.02*first[0].Current {
				t.Errorf("student %s: the light grows from %g to %g A", x.Student.ID, first[0].Current, first[10].Current)
			}
		case "wrong-filter":
			if x.Truth.FaultSetting == "" {
				t.Errorf("student %s: no setting has the wrong filter", x.Student.ID)
			}
		case practice.NoFault:
			if first[10].Current > 1.02*first[0].Current || dark[0].Current-dark[end].Current > 3e-12 {
				t.Errorf("student %s: a bench without a fault has one", x.Student.ID)
			}
		default:
			t.Errorf("student %s has the fault %q", x.Student.ID, x.Truth.Fault)
		}
	}
	for _, f := range practice.Faults() {
		if seen[f.Name] == 0 {
			t.Errorf("no bench of forty has the fault %s", f.Name)
		}
	}
	if seen[practice.NoFault] == 0 {
		t.Error("each bench of forty has a fault")
	}
}

// The memory at the thousandth student is what it was at the hundredth, and a
// thousand take less than ten seconds on one core.
func TestAThousandStudentsInConstantMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("a thousand students")
	}
	r := recipe(t, "ordinary")
	k, err := practice.NewKeyWriter(io.Discard, cheap, r.Public("a bench", practice.Presentation{}), secret)
	if err != nil {
		t.Fatal(err)
	}
	live := func() uint64 {
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	var hundredth, n uint64
	start := busy(t)
	err = practice.Make(r, secret, practice.Numbered(1000), func(x practice.Record) error {
		if n++; n == 100 {
			hundredth = live()
		}
		if n == 1000 {
			if last := live(); last > hundredth+256<<10 {
				t.Errorf("%d bytes are alive at the hundredth student and %d at the thousandth", hundredth, last)
			}
		}
		return k.Write(x)
	})
	if err != nil {
		t.Fatal(err)
	}
	if took := busy(t) - start; took > 10 {
		t.Errorf("a thousand students took %.1f s of a core", took)
	} else {
		t.Logf("a thousand students took %.1f s of a core", took)
	}
}

func TestAScenarioThatNobodyCanSolveIsRefused(t *testing.T) {
	r := recipe(t, "ordinary", "plan.stop_V=0.3")
	err := practice.Make(r, secret, practice.Numbered(1), func(practice.Record) error { return nil })
	var u *practice.UnsolvableError
	if !errors.As(err, &u) || u.Level != "ordinary" {
		t.Errorf("the error is %v", err)
	}
}

func TestKeysHoldTheWholeSet(t *testing.T) {
	r := recipe(t, "awkward")
	records := made(t, r, 3)
	public := r.Public("a bench", practice.Presentation{Language: "en"})
	var file bytes.Buffer
	k, err := practice.NewKeyWriter(&file, cheap, public, secret)
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
	back, err := practice.OpenKey(&file, cheap)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(practice.Key{Schema: 2, Public: public, Secret: secret}, back.Key); d != "" {
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
