package practice_test

import (
	"errors"
	"strings"
	"testing"

	"stopvolt/analysis/practice"
	"stopvolt/instrument/run/reader"
)

// Whatever is in a table, it is read or refused with its place.
func FuzzTables(f *testing.F) {
	for _, text := range []string{
		"student_id,name\na,Ada\nb,\"Bo, B.\"\n", "student_id;name;stopping_blue_V;left_out;slope_Vs\na;Ada;0,5;blue red;4,1e-15\n",
		"student_id,points,reason\na,1,x\n", "student_id,minutes\na,10\n", "student_id,name\na,Ada,x\n", "student_id,name,name\na,b,c\n", "\xff\xfes\x00t\x00", "student_id\n'=1\n", "",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		source := func() reader.Source { return reader.Source{Name: "t.csv", Reader: strings.NewReader(text)} }
		_, class := practice.ReadClass(source(), reader.Options{})
		_, answers := practice.ReadAnswers(source(), reader.Options{}, []string{"blue", "red"})
		_, overrides := practice.ReadOverrides(source(), reader.Options{})
		_, extra := practice.ReadExtraTime(source(), reader.Options{})
		for _, err := range []error{class, answers, overrides, extra} {
			var placed *reader.Error
			if err != nil && (!errors.As(err, &placed) || placed.File != "t.csv" || placed.Text == "") {
				t.Errorf("%q: error %v", text, err)
			}
		}
	})
}

// Whatever is in a mark scheme, it is one in which all points are possible, or is
// refused with its name.
func FuzzScheme(f *testing.F) {
	for _, text := range []string{
		"intercept = \"either\"\n[points]\nline = 2\n[tolerances]\nslope = 0.1\n[costs]\njoules = 1\n", "[Points]\nline = 1\n", "points = nan\n", "[costs]\nx = -1\n", "",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := practice.ReadScheme("s.toml", []byte(text))
		if err != nil {
			if !strings.HasPrefix(err.Error(), "s.toml:") {
				t.Errorf("%q: error %v", text, err)
			}
			return
		}
		if !(s.Points.Line >= 0 && s.Points.Line <= 1000) || s.Intercept != practice.Collectors && s.Intercept != practice.Either {
			t.Errorf("%q: %+v", text, s)
		}
	})
}
