package reader

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopvolt/instrument/run"
)

// pairs are the readings of two curves, each twice, in V and A.
func pairs(name, other string) []run.Curve {
	twice := func(v, first, second float64) []run.Reading {
		return []run.Reading{{Retarding: v, Current: first * 1e-12}, {Retarding: v, Current: second * 1e-12}}
	}
	of := func(parts ...[]run.Reading) (all []run.Reading) {
		for _, p := range parts {
			all = append(all, p...)
		}
		return all
	}
	return []run.Curve{
		{Setting: name, Wavelength: 450, Readings: of(twice(0, 300, 304), twice(0.5, 120, 118), twice(1, 20, 21), twice(1.5, -2, -1))},
		{Setting: other, Wavelength: 520, Readings: of(twice(0, 210, 208), twice(0.5, 40, 41), twice(1, 1, -1), twice(1.5, -2, -2))},
	}
}

func TestRepeatsStandSideBySideWhereAColumnTellsTheWavelengths(t *testing.T) {
	rows := []string{"450;0;300;304", "450;0.5;120;118", "450;1;20;21", "450;1.5;-2;-1", "520;0;210;208", "520;0.5;40;41", "520;1;1;-1", "520;1.5;-2;-2"}
	for _, heads := range [][2]string{{"I / pA", "I2 / pA"}, {"I_1 [pA]", "I_2 [pA]"}, {"Current 1 (pA)", "Current 2 (pA)"}} {
		text := "wavelength (nm);retarding V;" + heads[0] + ";" + heads[1] + "\n" + strings.Join(rows, "\n") + "\n"
		r, guesses := readOne(t, "bench.csv", text, Options{})
		if diff := cmp.Diff(pairs("450 nm", "520 nm"), r.Curves, nearly); diff != "" {
			t.Errorf("%v: curves (-want +got):\n%s", heads, diff)
		}
		wantTold(t, guesses, "2 columns of current are repeats of one another")
	}

	// A slip of the pen and a missing repeat do not make another quantity of them.
	text := "wavelength (nm);retarding V;I / pA;I2 / pA\n" + strings.Join(rows, "\n") + "\n"
	text = strings.Replace(strings.Replace(text, "120;118", "1200;118", 1), "1;-1\n", "1;\n", 1)
	r, _ := readOne(t, "bench.csv", text, Options{})
	if got := len(r.Curves[0].Readings) + len(r.Curves[1].Readings); got != 15 {
		t.Errorf("%d readings of 15 are read", got)
	}
}

func TestOtherColumnsOfCurrentAreNoRepeats(t *testing.T) {
	for claim, text := range map[string]string{
		"other words":   "wavelength (nm);retarding V;Photocurrent [pA];Reference current [pA]\n450;0;300;304\n450;1;20;21\n",
		"other letters": "wavelength (nm);retarding V;I_p [pA];I_r [pA]\n450;0;300;304\n450;1;20;21\n",
		"other units":   "wavelength (nm);retarding V;I1 [pA];I2 [nA]\n450;0;300;304\n450;1;20;21\n",
		"half the light": "wavelength (nm);retarding V;I1 [pA];I2 [pA]\n450;0;300;150\n450;0.5;120;60\n450;1;20;10\n450;1.5;-2;-1\n" +
			"450;2;-2;-1\n",
	} {
		_, _, err := Read([]Source{{Name: "bench.csv", Reader: strings.NewReader(text)}}, Options{})
		if err == nil || !strings.Contains(err.Error(), "--current-column") {
			t.Errorf("%s: read with the error %v, want one that asks for the column", claim, err)
		}
	}
}

func TestANameLabelsAllReadingsOfItsWavelength(t *testing.T) {
	const text = "Filter;wavelength (nm);retarding V;I / pA;I2 / pA\n" +
		"blue;450;0;300;304\n;450;0.5;120;118\n;450;1;20;21\n;450;1.5;-2;-1\n" +
		"green;520;0;210;208\n;520;0.5;40;41\n;520;1;1;-1\n;520;1.5;-2;-2\n"
	for _, o := range []Options{{}, {SettingColumn: "Filter"}} {
		r, guesses := readOne(t, "bench.csv", text, o)
		if diff := cmp.Diff(pairs("blue", "green"), r.Curves, nearly); diff != "" {
			t.Errorf("%+v: curves (-want +got):\n%s", o, diff)
		}
		wantTold(t, guesses, `empty cells of "Filter" at a wavelength repeat the name above`)
	}
	for claim, test := range map[string]struct {
		text string
		want []string
	}{
		"two labels at one wavelength":    {"wide;450;0;300\n;450;1;20\nnarrow;450;0;100\n;450;1;7\n", []string{"wide 2", "narrow 2"}},
		"a sweep before the label":        {";450;0;300\n;450;1;20\ngrey;450;0;100\n;450;1;7\n", []string{"450 nm 2", "grey 2"}},
		"a filter in each row, then none": {"grey;450;0;100\ngrey;450;1;7\n;450;0;300\n;450;1;20\n", []string{"grey 2", "450 nm 2"}},
		"wavelengths by turns":            {"blue;450;0;300\ngreen;520;0;200\n;450;1;20\n;520;1;1\n", []string{"blue 2", "green 2"}},
	} {
		r, _ := readOne(t, "bench.csv", "filter;wavelength (nm);retarding V;I / pA\n"+test.text, Options{})
		var got []string
		for _, c := range r.Curves {
			got = append(got, fmt.Sprint(c.Setting, " ", len(c.Readings)))
		}
		if diff := cmp.Diff(test.want, got); diff != "" {
			t.Errorf("%s: names and numbers of readings (-want +got):\n%s", claim, diff)
		}
	}
}
