package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"

	"stopvolt/analysis/practice"
	"stopvolt/analysis/rehearsal"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/cmd/stopvolt/internal/rehearse"
	"stopvolt/instrument"
	"stopvolt/instrument/population"
	"stopvolt/scenarios"
)

// A rehearsalSet is a practice set at whose benches students rehearse.
type rehearsalSet struct {
	public   practice.Public
	identity string
	median   instrument.Apparatus
	setups   map[string]rehearsal.Setup
	names    []string
	secret   []byte
}

// openSet opens the key that the flags name, nil for none, and builds the benches
// of all students again.
func (f *rehearseFlags) openSet(ctx context.Context, c console.Console, named bool) (*rehearsalSet, error) {
	if f.key == "" {
		return nil, nil
	}
	if named {
		return nil, console.WrongUsef("--key takes the scenario from the set; name none")
	}
	passphrase, err := f.pass.read(ctx, c, false)
	if err != nil {
		return nil, err
	}
	key, file, err := openKey(f.key, passphrase)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	set, err := newRehearsalSet(key)
	if err != nil {
		return nil, console.WrongUsef("%s: %w", f.key, err)
	}
	return set, nil
}

// newRehearsalSet reads a key.
func newRehearsalSet(key *practice.KeyReader) (*rehearsalSet, error) {
	if key.Origin == nil {
		return nil, errors.New("is a key of an older version, which does not say what its benches were made from; make the set anew to rehearse at them")
	}
	o := *key.Origin
	s, err := scenarios.Parse(o.Scenario, []byte(o.Text), o.Assignments)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(s.Practice, func(v population.Variation) bool { return v.Name == key.Public.Level })
	if i < 0 {
		return nil, fmt.Errorf("has the level %q, which its scenario lacks", key.Public.Level)
	}
	recipe := practice.Recipe{Apparatus: s.Apparatus, Variation: s.Practice[i], Blind: key.Public.Blind, Faults: key.Public.Faults}
	again, err := practice.NewRebuilder(recipe, key.Secret)
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(key.Secret[:])
	set := &rehearsalSet{public: key.Public, identity: hex.EncodeToString(sum[:8]), median: s.Apparatus, setups: make(map[string]rehearsal.Setup), secret: slices.Clone(key.Secret[:])}
	for {
		r, err := key.Next()
		if errors.Is(err, io.EOF) {
			return set, nil
		}
		if err != nil {
			return nil, err
		}
		a, seed, err := again.Bench(r)
		if err != nil {
			return nil, err
		}
		// The world's h/e is the set's own already.
		setup := rehearsal.Drawn(a, seed, false, false, rehearsal.RandomFault)
		setup.Blind = key.Public.Blind
		set.setups[r.Student.ID] = setup
		set.names = append(set.names, r.Student.ID)
	}
}

// into makes the options those of the set. Answers and logbooks are kept in a
// folder, if one is named.
func (s *rehearsalSet) into(o *rehearse.Options, out string) {
	o.Title, o.Identity = s.public.Title, s.identity
	o.Demonstration = rehearsal.Fitted(s.median)
	o.Draw = nil
	o.Students = &rehearse.Students{
		IDs: s.names, Secret: s.secret,
		Setup: func(id string) (rehearsal.Setup, bool) {
			setup, ok := s.setups[id]
			return setup, ok
		},
	}
	if out == "" {
		return
	}
	o.HandIn = func(all []rehearse.Handed) error {
		for _, h := range all {
			// The names of the set's students are names of files.
			name := filepath.Join(out, "logbooks", h.Student+".csv")
			if err := files.Write(name, h.Logbook); err != nil {
				return err
			}
		}
		return files.Write(filepath.Join(out, answersFile), func(w io.Writer) error { return rehearse.WriteAnswers(w, all) })
	}
}
