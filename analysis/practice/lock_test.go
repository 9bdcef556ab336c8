package practice_test

import (
	"bytes"
	"errors"
	"io"
	"os"
	"runtime"
	"strings"
	"testing"

	"filippo.io/age"

	"stopvolt/analysis/practice"
	"stopvolt/instrument/run"
)

// keyOf returns a key of students whose readings fill several pieces of the file.
func keyOf(t testing.TB) []byte {
	t.Helper()
	public := practice.Public{Title: "a bench", Settings: []string{"blue"}, Step: 0.05}
	var file bytes.Buffer
	k, err := practice.NewKeyWriter(&file, cheap, public, secret)
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range practice.Numbered(3) {
		curve := run.Curve{Setting: "blue", Wavelength: 435.8}
		// Numbers that do not compress.
		for j := range 12_000 {
			x := float64((i*12_000+j)*7919%100_003) / 99_991
			curve.Readings = append(curve.Readings, run.Reading{Retarding: x, Current: 1e-9 * x * x, Uncertainty: 1e-12, Time: float64(j)})
		}
		err := k.Write(practice.Record{
			Student: s, Run: run.Run{Curves: []run.Curve{curve}},
			Truth: practice.Truth{HOverE: 4.1e-15, Settings: []practice.SettingTruth{{Name: "blue", Wavelength: 435.8, Stopping: 1, Frees: true}}},
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	return file.Bytes()
}

// students opens a key and counts its students.
func students(file []byte, lock practice.Lock) (int, error) {
	k, err := practice.OpenKey(bytes.NewReader(file), lock)
	if err != nil {
		return 0, err
	}
	for n := 0; ; n++ {
		if _, err := k.Next(); errors.Is(err, io.EOF) {
			return n, nil
		} else if err != nil {
			return n, err
		}
	}
}

// Each way in which a key can be wrong is told from the others, as far as the
// format can.
func TestAKeySaysWhatIsWrongWithIt(t *testing.T) {
	file := keyOf(t)
	const piece = 64<<10 + 16
	head := bytes.Index(file, []byte("\n---")) + len("\n--- ") + 43 + 1 + 16
	if len(file) < head+2*piece {
		t.Fatalf("the key has %d bytes; three pieces are needed", len(file))
	}
	if n, err := students(file, cheap); n != 3 || err != nil {
		t.Fatalf("%d students: %v", n, err)
	}
	changed := func(at int) []byte {
		c := bytes.Clone(file)
		c[at] ^= 1
		return c
	}
	first, second := file[head:head+piece], file[head+piece:head+2*piece]
	for _, test := range []struct {
		name string
		file []byte
		lock practice.Lock
		want error
	}{
		{"another passphrase", file, practice.Lock{Passphrase: []byte("five grey heron"), Work: 4}, practice.ErrPassphrase},
		{"cut off after a piece", file[:head+piece], cheap, practice.ErrCutOff},
		{"cut off before the first", file[:head], cheap, practice.ErrCutOff},
		{"cut off in the header", file[:head-40], cheap, practice.ErrCutOff},
		{"cut off in the first line", file[:9], cheap, practice.ErrCutOff},
		{"cut off in a piece", file[:len(file)-1], cheap, practice.ErrChanged},
		{"a changed reading", changed(head + piece + 5), cheap, practice.ErrChanged},
		{"a changed end of the header", changed(head - 30), cheap, practice.ErrChanged},
		{"something behind", append(bytes.Clone(file), 'x'), cheap, practice.ErrChanged},
		{"pieces exchanged", append(append(append(bytes.Clone(file[:head]), second...), first...), file[head+2*piece:]...), cheap, practice.ErrChanged},
	} {
		n, err := students(test.file, test.lock)
		for _, e := range []error{practice.ErrPassphrase, practice.ErrChanged, practice.ErrCutOff} {
			if errors.Is(err, e) != (e == test.want) {
				t.Errorf("%s: %d students and %v", test.name, n, err)
			}
		}
	}
}

// No byte of a key can be changed and nobody notice.
func TestAChangedByteIsNoticed(t *testing.T) {
	file := keyOf(t)
	for i := 0; i < len(file); i += 1 + i*i/900 {
		changed := bytes.Clone(file)
		changed[i] ^= 0x10
		if n, err := students(changed, cheap); err == nil {
			t.Errorf("byte %d of %d was changed, and %d students came back", i, len(file), n)
		}
	}
}

// A forged header may ask for a gibibyte. It is refused before anything is derived.
func TestAForgedHeaderCostsNothing(t *testing.T) {
	lock := practice.Lock{Passphrase: passphrase, Work: practice.Work}
	file := keyOf(t)
	for _, work := range []string{"18", "20", "23", "30", "99", "9999999999999999999999"} {
		forged := bytes.Replace(file, []byte(" 4\n"), []byte(" "+work+"\n"), 1)
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := students(forged, lock)
		runtime.ReadMemStats(&after)
		if !errors.Is(err, practice.ErrChanged) {
			t.Errorf("a work factor of %s: %v", work, err)
		}
		if len(work) < 3 && !strings.Contains(err.Error(), "asks for 2^"+work+" rounds") {
			t.Errorf("a work factor of %s: %v; it should say what is asked for", work, err)
		}
		if took := after.TotalAlloc - before.TotalAlloc; took > 1<<20 {
			t.Errorf("a work factor of %s takes %d bytes before it is refused", work, took)
		}
	}
	if _, err := students(file, lock); err != nil {
		t.Errorf("a smaller work factor is refused: %v", err)
	}
}

func TestOtherFilesAreNoKeys(t *testing.T) {
	for _, test := range []struct{ file, want string }{
		{"stopvolt sealed file 1\n{\"derivation\":\"Argon2id\"}\n....", "earlier version"},
		{"student_id,name\na,Ada\n", "is not a key"},
		{"", "is not a key"},
	} {
		if _, err := students([]byte(test.file), cheap); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%.20q: %v; it should say %q", test.file, err, test.want)
		}
	}
}

// The format is that of age, so that any program of it opens a key; what is behind
// the lock is gzip.
func TestAKeyIsAFileOfTheAgeFormat(t *testing.T) {
	identity, err := age.NewScryptIdentity(string(passphrase))
	if err != nil {
		t.Fatal(err)
	}
	opened, err := age.Decrypt(bytes.NewReader(keyOf(t)), identity)
	if err != nil {
		t.Fatal(err)
	}
	begin := make([]byte, 2)
	if _, err := io.ReadFull(opened, begin); err != nil || !bytes.Equal(begin, []byte{0x1f, 0x8b}) {
		t.Errorf("behind the lock is %x, %v", begin, err)
	}
}

// Whatever a file holds, it opens or is refused, and the most it costs is what this
// lock allows.
func FuzzKeyFile(f *testing.F) {
	file := keyOf(f)
	for _, seed := range [][]byte{file[:400], file[:len(file)/2], []byte("stopvolt sealed file 1\n"), []byte("age-encryption.org/v1\n-> scrypt AAAAAAAAAAAAAAAAAAAAAA 4\n")} {
		f.Add(seed)
	}
	lock := practice.Lock{Passphrase: passphrase, Work: 4}
	f.Fuzz(func(t *testing.T, file []byte) {
		_, err := students(file, lock)
		if errors.Is(err, os.ErrClosed) {
			t.Error(err)
		}
	})
}
