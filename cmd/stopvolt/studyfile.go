package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"time"

	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/scenarios"
)

// A studyFile is what a study, or a part of one, has done so far: enough to go
// on, and to be merged with other parts. A file of it is two lines of JSON, a
// partHead and then this.
type studyFile struct {
	// The keys down to Fits say which study it is.
	Scenario    string        `json:"scenario"`
	Text        string        `json:"scenario_toml"`
	Assignments []string      `json:"set"`
	Replicates  int           `json:"replicates"`
	Until       result.Number `json:"until"`
	Seed        uint64        `json:"seed"`
	Methods     []string      `json:"methods"`
	Fits        []string      `json:"fits"`

	Part  [2]int       `json:"part"`
	Tally *study.Tally `json:"tally"`
}

// A partHead says what the second line is, and whether it is as it was written.
type partHead struct {
	Kind    string `json:"kind"`
	Schema  int    `json:"schema"`
	Version string `json:"version"`
	// Sum is the SHA-256 of the bytes of the second line in hexadecimal digits.
	Sum string `json:"sha256"`
}

// partKind tells such a file from other JSON.
const partKind = "stopvolt part of a study"

// newStudyFile returns the file of a study that has done nothing.
func newStudyFile(scenario scenarios.Scenario, s study.Study) studyFile {
	f := studyFile{
		Scenario: scenario.Name, Text: string(scenario.Text), Assignments: append([]string{}, scenario.Assignments...),
		Replicates: s.Replicates, Until: result.Number(s.Until), Seed: s.Seed,
		Part: [2]int{s.Part.Index, s.Part.Count},
	}
	for _, m := range s.Methods {
		f.Methods = append(f.Methods, m.Name())
	}
	for _, fit := range s.Fits {
		f.Fits = append(f.Fits, fit.Name())
	}
	return f
}

// sameStudy reports whether two files belong to one study, of whatever part.
func (f studyFile) sameStudy(other studyFile) bool {
	f.Part, other.Part = [2]int{}, [2]int{}
	f.Tally, other.Tally = nil, nil
	return reflect.DeepEqual(f, other)
}

// study returns the scenario and the study that the file belongs to.
func (f studyFile) study() (scenarios.Scenario, study.Study, error) {
	scenario, err := scenarios.Parse(f.Scenario, []byte(f.Text), f.Assignments)
	if err != nil {
		return scenario, study.Study{}, err
	}
	methods, err := methodsNamed(f.Methods)
	if err != nil {
		return scenario, study.Study{}, err
	}
	fits, err := fitsNamed(f.Fits)
	if err != nil {
		return scenario, study.Study{}, err
	}
	return scenario, study.Study{
		Population: scenario.Population, Methods: methods, Fits: fits,
		Replicates: f.Replicates, Seed: f.Seed, Until: float64(f.Until),
	}, nil
}

// mostPartBytes is more than any part has: those of all methods have a few
// megabytes.
const mostPartBytes = 128 << 20

// readStudyFile reads a file. Errors are those of wrong input and name the file.
func readStudyFile(name string) (studyFile, error) {
	fail := func(err error) (studyFile, error) { return studyFile{}, console.WrongUsef("%s: %w", name, err) }
	info, err := os.Stat(name)
	var text []byte
	switch {
	case err == nil && info.Size() > mostPartBytes:
		return fail(fmt.Errorf("it has %d bytes, and no part of a study has more than %d", info.Size(), mostPartBytes))
	case err == nil:
		text, err = os.ReadFile(name)
	}
	if err != nil {
		var problem *fs.PathError
		if errors.As(err, &problem) {
			err = problem.Err
		}
		return fail(fmt.Errorf("%w; the file of a part is needed", err))
	}
	f, err := parseStudyFile(text, version())
	if err != nil {
		return fail(err)
	}
	return f, nil
}

// parseStudyFile reads the text of a file that a build wrote, and says what is
// wrong with it: not a part, of another build, not as it was written, or not a
// part of the study that it names.
func parseStudyFile(text []byte, build string) (studyFile, error) {
	var f studyFile
	notOne := errors.New("this is not the file of a part of a study; study --part writes those")
	line, body, ok := bytes.Cut(text, []byte{'\n'})
	var head partHead
	if err := json.Unmarshal(line, &head); err != nil {
		return f, notOne
	}
	switch {
	case head.Kind == "stopvolt tally":
		return f, errors.New("an earlier stopvolt wrote this, and its parts cannot be joined to those of today; do the part again")
	case head.Kind != partKind || !ok:
		return f, notOne
	case head.Schema != result.StudySchema || head.Version != build:
		return f, fmt.Errorf("it was written by stopvolt %q with schema %d, and this is stopvolt %q with schema %d; do all parts of a study with one build", head.Version, head.Schema, build, result.StudySchema)
	}
	// Any other way of writing the same head is a change, too.
	if again, err := json.Marshal(head); err != nil || !bytes.Equal(again, line) || head.Sum != sumOf(body) {
		return f, errors.New("it is damaged: its bytes are not those that were written (SHA-256); do the part again")
	}
	decoder := json.NewDecoder(bytes.NewReader(body))
	decoder.DisallowUnknownFields()
	notWritten := errors.New("its second line is not as a study writes it; do the part again")
	if err := decoder.Decode(&f); err != nil || decoder.More() {
		return f, notWritten
	}
	if err := f.check(); err != nil {
		return f, err
	}
	// What is missing, null or there twice reads as something else.
	if again, err := f.text(build); err != nil || !bytes.Equal(again, text) {
		return f, notWritten
	}
	return f, nil
}

// check says what is wrong with what a file holds.
func (f studyFile) check() error {
	_, s, err := f.study()
	switch {
	case err != nil:
		return err
	case f.Tally == nil:
		return errors.New("it has no tally")
	case s.Replicates < 2 || s.Replicates > mostReplicates:
		return fmt.Errorf("it is of a study of %d replicates; there must be from 2 to %d", s.Replicates, mostReplicates)
	}
	s.Part = study.Part{Index: f.Part[0], Count: f.Part[1]}
	if s.Part != (study.Part{}) && (s.Part.Index < 1 || s.Part.Index > s.Part.Count) {
		return fmt.Errorf("it is part %d of %d", s.Part.Index, s.Part.Count)
	}
	return s.Check(f.Tally)
}

// sumOf returns the SHA-256 of some bytes in hexadecimal digits.
func sumOf(body []byte) string { return fmt.Sprintf("%x", sha256.Sum256(body)) }

// text returns the text of the file.
func (f studyFile) text(build string) ([]byte, error) {
	body, err := json.Marshal(f)
	if err != nil {
		return nil, err
	}
	body = append(body, '\n')
	head, err := json.Marshal(partHead{partKind, result.StudySchema, build, sumOf(body)})
	return slices.Concat(head, []byte{'\n'}, body), err
}

// studyFiles is where a study keeps its progress, and where a part goes.
type studyFiles struct {
	file     studyFile
	progress string
	part     string
}

// Progress is written at most every saveEvery, and so seldom that writing takes
// no more than a saveShare-th of the time.
const (
	saveEvery = 100 * time.Millisecond
	saveShare = 30
)

// prepare decides on the files, reads the progress to resume, and makes the
// study save its own.
func (f *studyFlags) prepare(scenario scenarios.Scenario, s *study.Study) (studyFiles, error) {
	files := studyFiles{file: newStudyFile(scenario, *s)}
	if f.out == "" {
		return files, nil
	}
	files.progress = filepath.Join(f.out, "progress.json")
	if s.Part.Count > 0 {
		files.part = f.out
		if !strings.HasSuffix(f.out, ".json") {
			files.part = filepath.Join(f.out, fmt.Sprintf("part-%d-of-%d.json", s.Part.Index, s.Part.Count))
		}
		files.progress = files.part + ".progress"
	}
	if f.resume {
		if err := files.resume(s); err != nil {
			return files, err
		}
	} else if _, err := os.Stat(files.progress); err == nil {
		return files, console.WrongUsef("%s: a study that was stopped has left its progress; add --resume to go on with it, or take the file away to begin again", files.progress)
	}
	next := time.Now().Add(saveEvery)
	s.Save = func(t *study.Tally, last bool) error {
		start := time.Now()
		if start.Before(next) && !last {
			return nil
		}
		err := files.write(files.progress, t)
		next = time.Now().Add(max(saveEvery, saveShare*time.Since(start)))
		return err
	}
	return files, nil
}

// interruption says what a stopped study has kept.
func (f studyFiles) interruption() console.Interruption {
	if f.progress == "" {
		return console.Interruption{Kept: "nothing was written; with --out DIR a study keeps what it has done"}
	}
	if _, err := os.Stat(f.progress); err != nil {
		return console.Interruption{Kept: "no experiment was finished yet, and nothing was written"}
	}
	return console.Interruption{Kept: "the experiments done so far are kept in " + f.progress + "; the same command with --resume goes on"}
}

// resume reads the progress of a stopped study, if there is any.
func (f studyFiles) resume(s *study.Study) error {
	if _, err := os.Stat(f.progress); errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	done, err := readStudyFile(f.progress)
	if err != nil {
		return err
	}
	if !done.sameStudy(f.file) || done.Part != f.file.Part {
		return console.WrongUsef("%s: this is the progress of another study; give the flags it was started with, or another --out", f.progress)
	}
	s.Resume = done.Tally
	return nil
}

// write writes a tally to a file.
func (f studyFiles) write(name string, t *study.Tally) error {
	f.file.Tally = t
	text, err := f.file.text(version())
	if err != nil {
		return err
	}
	return files.Write(name, func(w io.Writer) error { _, err := w.Write(text); return err })
}

// finishPart writes the file of a finished part and takes its progress away.
func (f studyFiles) finishPart(t *study.Tally) error {
	if err := f.write(f.part, t); err != nil {
		return err
	}
	return files.RemoveIfThere(f.progress)
}
