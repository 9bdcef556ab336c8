package practice

import (
	"compress/gzip"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"

	"stopvolt/instrument/run"
)

// keySchema is the version of what is sealed in a key.
const keySchema = 2

// oldestKeySchema is that of the keys that can still be marked: without an Origin,
// so that nobody can rehearse at their benches.
const oldestKeySchema = 1

// A Key is the beginning of what is sealed: what all students share, and the
// secret.
type Key struct {
	Schema int    `json:"schema"`
	Public Public `json:"public"`
	Secret Secret `json:"secret"`
	// Origin is what the benches were made from; nil where that was not kept.
	Origin *Origin `json:"origin,omitempty"`
}

// keyRecord is a student in a key. The readings are kept beside the truth, so
// that a set can be marked, and made again, by a version that would draw others.
type keyRecord struct {
	Student
	Truth  Truth      `json:"truth"`
	Facts  run.Facts  `json:"facts"`
	Curves []keyCurve `json:"curves"`
	Trial  int        `json:"trial"`
}

// keyCurve is a curve with a list for each quantity, which is short when
// compressed.
type keyCurve struct {
	Setting     string      `json:"setting"`
	Wavelength  float64     `json:"wavelength_nm"`
	Dark        bool        `json:"dark,omitempty"`
	Retarding   []float64   `json:"retarding_V"`
	Current     []float64   `json:"current_A"`
	Uncertainty []float64   `json:"u_current_A"`
	Time        []float64   `json:"time_s"`
	Flags       []run.Flags `json:"flags"`
}

// A KeyWriter writes a key: compressed lines of JSON, the first for what all share
// and one for each student, locked by a passphrase.
type KeyWriter struct {
	locked io.WriteCloser
	packed *gzip.Writer
	lines  *json.Encoder
	curves []keyCurve
}

// NewKeyWriter begins a key under a lock.
func NewKeyWriter(w io.Writer, lock Lock, p Public, secret Secret) (*KeyWriter, error) {
	return NewKeyWriterFrom(w, lock, p, secret, nil)
}

// NewKeyWriterFrom is NewKeyWriter for a set whose benches can be built again from
// their origin.
func NewKeyWriterFrom(w io.Writer, lock Lock, p Public, secret Secret, origin *Origin) (*KeyWriter, error) {
	locked, err := lock.writer(w)
	if err != nil {
		return nil, err
	}
	packed := gzip.NewWriter(locked)
	k := &KeyWriter{locked: locked, packed: packed, lines: json.NewEncoder(packed)}
	return k, k.lines.Encode(Key{keySchema, p, secret, origin})
}

// Write adds a student.
func (k *KeyWriter) Write(r Record) error {
	k.curves = k.curves[:0]
	for _, c := range r.Run.Curves {
		kept := keyCurve{Setting: c.Setting, Wavelength: c.Wavelength, Dark: c.Dark}
		for _, x := range c.Readings {
			kept.Retarding = append(kept.Retarding, x.Retarding)
			kept.Current = append(kept.Current, x.Current)
			kept.Uncertainty = append(kept.Uncertainty, x.Uncertainty)
			kept.Time = append(kept.Time, x.Time)
			kept.Flags = append(kept.Flags, x.Flags)
		}
		k.curves = append(k.curves, kept)
	}
	return k.lines.Encode(keyRecord{r.Student, r.Truth, r.Run.Facts, k.curves, r.Trial})
}

// Close completes the key. It does not close the writer beneath.
func (k *KeyWriter) Close() error {
	if err := k.packed.Close(); err != nil {
		return err
	}
	return k.locked.Close()
}

// A KeyReader reads a key student by student.
type KeyReader struct {
	Key
	lines *json.Decoder
}

// OpenKey opens a key. Whether the passphrase is right shows here, and the errors
// ErrPassphrase, ErrChanged and ErrCutOff say what is wrong with a file.
func OpenKey(r io.Reader, lock Lock) (*KeyReader, error) {
	opened, err := lock.reader(r)
	if err != nil {
		return nil, err
	}
	return readKey(opened)
}

// readKey reads what is behind the lock.
func readKey(opened io.Reader) (*KeyReader, error) {
	packed, err := gzip.NewReader(opened)
	if err != nil {
		return nil, damaged(err)
	}
	k := &KeyReader{lines: json.NewDecoder(packed)}
	if err := k.lines.Decode(&k.Key); err != nil {
		return nil, damaged(err)
	}
	if k.Public.Scheme.Points == (StepPoints{}) {
		// A key without a scheme is marked by the default one.
		k.Public.Scheme = DefaultScheme()
	}
	if k.Schema < oldestKeySchema || k.Schema > keySchema {
		return nil, fmt.Errorf("is a key of version %d; this stopvolt knows versions %d to %d", k.Schema, oldestKeySchema, keySchema)
	}
	return k, nil
}

// damaged passes on what is wrong with a locked file; anything else is a key that
// was whole when it was locked and yet makes no sense.
func damaged(err error) error {
	if errors.Is(err, ErrChanged) || errors.Is(err, ErrCutOff) {
		return err
	}
	return fmt.Errorf("does not hold a practice set: %w", err)
}

// Next returns the next student, or io.EOF after the last.
func (k *KeyReader) Next() (Record, error) {
	var kept keyRecord
	switch err := k.lines.Decode(&kept); {
	case errors.Is(err, io.EOF):
		return Record{}, io.EOF
	case err != nil:
		return Record{}, damaged(err)
	}
	if err := kept.check(k.Public); err != nil {
		return Record{}, damaged(err)
	}
	r := Record{Student: kept.Student, Truth: kept.Truth, Run: run.Run{Facts: kept.Facts}, Trial: kept.Trial}
	for _, c := range kept.Curves {
		curve := run.Curve{Setting: c.Setting, Wavelength: c.Wavelength, Dark: c.Dark}
		for i := range c.Retarding {
			curve.Readings = append(curve.Readings, run.Reading{
				Retarding: c.Retarding[i], Current: c.Current[i], Uncertainty: c.Uncertainty[i], Time: c.Time[i], Flags: c.Flags[i],
			})
		}
		r.Run.Curves = append(r.Run.Curves, curve)
	}
	return r, nil
}

// check says what is wrong with a record of a set.
func (r keyRecord) check(p Public) error {
	var names, lit []string
	for _, s := range r.Truth.Settings {
		names = append(names, s.Name)
	}
	for _, c := range r.Curves {
		if !c.Dark {
			lit = append(lit, c.Setting)
		}
		n := len(c.Retarding)
		if len(c.Current) != n || len(c.Uncertainty) != n || len(c.Time) != n || len(c.Flags) != n {
			return fmt.Errorf("the lists of setting %q of student %q differ in length", c.Setting, r.ID)
		}
	}
	if !slices.Equal(names, p.Settings) || !slices.Equal(lit, p.Settings) {
		return fmt.Errorf("student %q has other settings than the set", r.ID)
	}
	return nil
}
