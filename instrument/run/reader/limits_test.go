package reader

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"stopvolt/instrument/run"
)

// many returns lines of a table below its headings.
func many(headings string, n int, line func(i int) string) string {
	var b strings.Builder
	b.WriteString(headings + "\n")
	for i := range n {
		b.WriteString(line(i) + "\n")
	}
	return b.String()
}

func TestLimitsAreToldBeforeTheWork(t *testing.T) {
	const curve = "retarding_V,current_pA\n0,300\n1,1\n"
	long := strings.Repeat("n", run.LongestName+1)
	for _, test := range []struct {
		claim, name, text, want string
	}{
		{"a name without end", "a.csv", "setting,wavelength_nm,retarding_V,current_A\n" + long + ",405,0,1e-9\n" + long + ",405,1,0\n",
			fmt.Sprintf(`a.csv:2: the name of setting "%s..." has 201 characters; at most 200 are allowed`, long[:40])},
		{"too many curves", "a.csv", many("wavelength_nm,retarding_V,current_A", 600, func(i int) string { return fmt.Sprintf("%v,0,1e-9", 300+float64(i)/2) }),
			"a.csv:258:1: here begins the 257th setting; a column of readings may be named as one of settings or wavelengths"},
		{"too many rows", "405.csv", many("retarding_V,current_A", mostRows+1, func(i int) string { return "0,1" }),
			"405.csv: holds too many cells for a table of readings; split it into smaller files"},
		{"a voltage of another world", "405.csv", "retarding_V,current_A\n0,1e-9\n1e7,0\n",
			`405.csv:3:1: "1e7" is out of reach of any voltage in V; look to the unit`},
		{"a current of another world", "405.csv", "retarding_V,current_A\n0,1e7\n1,0\n",
			`405.csv:2:3: "1e7" is out of reach of any current in A; look to the unit`},
		{"an uncertainty of another world", "405.csv", "retarding_V,current_A,u_current %\n0,1e5,1e5\n1,0,1\n",
			`405.csv:2:7: "1e5" is out of reach of any uncertainty; look to the unit`},
	} {
		_, _, err := Read([]Source{source(test.name, test.text)}, Options{})
		var fault *Error
		if !errors.As(err, &fault) || err.Error() != test.want {
			t.Errorf("%s:\ngot  %v\nwant %s", test.claim, err, test.want)
		}
	}
	var sources []Source
	for i := range mostCurves + 1 {
		sources = append(sources, source(fmt.Sprintf("%d nm.csv", 300+i), curve))
	}
	_, _, err := Read(sources, Options{})
	if want := "556 nm.csv:2: here begins the 257th curve; a run has at most 256"; err == nil || err.Error() != want {
		t.Errorf("too many files:\ngot  %v\nwant %s", err, want)
	}
	text := many("wavelength_nm,stopping_V", mostStopping+1, func(i int) string { return "405,1" })
	_, _, err = ReadTable(source("t.csv", text), Options{})
	if want := "t.csv:5002:1: here begins row 5001; a table of stopping voltages has at most 5000"; err == nil || err.Error() != want {
		t.Errorf("too many stopping voltages:\ngot  %v\nwant %s", err, want)
	}
}

func TestReadingsOfAllFilesAreCounted(t *testing.T) {
	sources := make([]Source, 2)
	for i := range sources {
		sources[i] = source(fmt.Sprintf("%d nm.csv", 400+i), many("retarding_V,current_A", mostReadings/2+1, func(i int) string { return fmt.Sprintf("%d,1", i%7) }))
	}
	_, _, err := Read(sources, Options{})
	if want := "401 nm.csv:2: here the run comes to more than 1000000 readings; leave some files out, or means in their place"; err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

// An escape sequence in a name could rewrite the reader's screen.
func TestNamesHoldNoControlCharacters(t *testing.T) {
	r, guesses, err := Read([]Source{
		source("405\x1b[2J.csv", "retarding_V,current_pA\n0,300\n1,1\n"),
		source("b.csv", "setting,wavelength_nm,retarding_V,current_A\n\"green\x1b]0;x\x07\nline\",546,0,1e-9\n\"green\x1b]0;x\x07\nline\",546,1,0\n"),
	}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r.Curves[0].Setting != "405 [2J" || r.Curves[1].Setting != "green ]0;x  line" {
		t.Errorf("the settings are %q and %q", r.Curves[0].Setting, r.Curves[1].Setting)
	}
	for _, g := range guesses {
		if strings.ContainsRune(g.Text, 0x1b) {
			t.Errorf("%q", g.Text)
		}
	}
}
