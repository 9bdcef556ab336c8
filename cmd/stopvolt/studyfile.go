package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"time"

	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/scenarios"
)

// A studyFile is what a study, or a part of one, has done so far: enough to go
// on, and to be merged with other parts.
type studyFile struct {
	Schema int    `json:"schema"`
	Kind   string `json:"kind"`
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

// studyKind tells such a file from other JSON.
const studyKind = "stopvolt tally"

// newStudyFile returns the file of a study that has done nothing.
func newStudyFile(scenario scenarios.Scenario, s study.Study) studyFile {
	f := studyFile{
		Schema: result.Schema, Kind: studyKind,
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

// readStudyFile reads a file. Errors are those of wrong input and name the file.
func readStudyFile(name string) (studyFile, error) {
	var f studyFile
	text, err := os.ReadFile(name)
	if err != nil {
		var problem *fs.PathError
		if errors.As(err, &problem) {
			err = problem.Err
		}
		return f, console.WrongUsef("%s: %w; the file of a part is needed", name, err)
	}
	if err := json.Unmarshal(text, &f); err != nil {
		return f, console.WrongUsef("%s: this is not the file of a part of a study (%v); study --part writes those", name, err)
	}
	if f.Kind != studyKind || f.Schema != result.Schema || f.Tally == nil {
		return f, console.WrongUsef("%s: this is not the file of a part of a study; study --part writes those", name)
	}
	return f, nil
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
	return files.Write(name, func(w io.Writer) error { return json.NewEncoder(w).Encode(f.file) })
}

// finishPart writes the file of a finished part and takes its progress away.
func (f studyFiles) finishPart(t *study.Tally) error {
	if err := f.write(f.part, t); err != nil {
		return err
	}
	return files.RemoveIfThere(f.progress)
}
