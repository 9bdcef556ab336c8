package reader

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"stopvolt/instrument/run"
)

// A hand is one way of writing a curve down.
type hand struct {
	delimiter, decimal   string
	voltageUnit          string
	currentUnit          string
	millivolts           bool
	currentPower         int
	vSign, iSign         float64
	mark, remarks, utf16 bool
	lineEnd              string
	head                 func(name, unit string) string
}

// hands generates ways of writing.
var hands = rapid.Custom(func(t *rapid.T) hand {
	format := rapid.SampledFrom([][2]string{{",", "."}, {";", "."}, {";", ","}, {"\t", "."}, {"\t", ","}, {"  ", "."}, {"  ", ","}}).Draw(t, "format")
	h := hand{
		delimiter: format[0], decimal: format[1], millivolts: rapid.Bool().Draw(t, "mV"),
		vSign: rapid.SampledFrom([]float64{1, -1}).Draw(t, "sign of V"), iSign: rapid.SampledFrom([]float64{1, -1}).Draw(t, "sign of I"),
		mark: rapid.Bool().Draw(t, "byte-order mark"), remarks: rapid.Bool().Draw(t, "remarks"), utf16: rapid.Bool().Draw(t, "UTF-16"),
		lineEnd: rapid.SampledFrom([]string{"\n", "\r\n", "\r"}).Draw(t, "line end"),
	}
	h.voltageUnit = "V"
	if h.millivolts {
		h.voltageUnit = "mV"
	}
	unit := rapid.SampledFrom([]struct {
		symbol string
		power  int
	}{{"A", 0}, {"µA", -6}, {"μA", -6}, {"uA", -6}, {"nA", -9}, {"pA", -12}, {"e-7 A", -7}, {"10^-10 A", -10}, {"×10⁻¹¹ A", -11}}).Draw(t, "unit")
	h.currentUnit, h.currentPower = unit.symbol, unit.power
	h.head = rapid.SampledFrom([]func(name, unit string) string{
		func(n, u string) string { return n + " [" + u + "]" },
		func(n, u string) string { return n + " (" + u + ")" },
		func(n, u string) string { return n + " / " + u },
		func(n, u string) string { return n + " in " + u },
	}).Draw(t, "headings")
	return h
})

// write writes a curve by hand.
func (h hand) write(c run.Curve) []byte {
	number := func(x float64) string {
		return strings.Replace(strconv.FormatFloat(x, 'g', -1, 64), ".", h.decimal, 1)
	}
	var b strings.Builder
	line := func(cells ...string) { b.WriteString(strings.Join(cells, h.delimiter) + h.lineEnd) }
	if h.remarks {
		b.WriteString("# bench 4, lamp warm" + h.lineEnd)
	}
	line(h.head("Voltage", h.voltageUnit), h.head("Current", h.currentUnit))
	for i, r := range c.Readings {
		if h.remarks && i == 2 {
			b.WriteString("% lamp flickers, 1, 2" + h.lineEnd)
		}
		v := h.vSign * r.Retarding
		if h.millivolts {
			v *= 1000
		}
		line(number(v), number(h.iSign*shift(r.Current, -h.currentPower)))
	}
	text := b.String()
	if h.utf16 {
		var out bytes.Buffer
		for _, w := range utf16.Encode([]rune("\ufeff" + text)) {
			out.Write([]byte{byte(w), byte(w >> 8)})
		}
		return out.Bytes()
	}
	if h.mark {
		text = "\ufeff" + text
	}
	return []byte(text)
}

// knees generates curves as a bench gives them: more current at the
// accelerating end, a knee, and a little reverse current.
var knees = rapid.Custom(func(t *rapid.T) run.Curve {
	scale := shift(rapid.Float64Range(1, 10).Draw(t, "scale"), rapid.IntRange(-12, -8).Draw(t, "power"))
	cutoff := rapid.Float64Range(0.2, 2).Draw(t, "cutoff")
	reverse := rapid.Float64Range(0, 0.2).Draw(t, "reverse")
	c := run.Curve{Setting: "405", Wavelength: 405}
	n := rapid.IntRange(4, 40).Draw(t, "readings")
	for i := range n {
		v := -0.5 + 3*float64(i)/float64(n-1)
		current := -reverse * max(0, v)
		if v < cutoff {
			current += (cutoff - v) * (cutoff - v)
		}
		c.Readings = append(c.Readings, run.Reading{Retarding: v, Current: scale * current})
	}
	return c
})

func TestEveryHandWritesTheSameCurve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want, h := knees.Draw(t, "curve"), hands.Draw(t, "hand")
		text := h.write(want)
		r, guesses, err := Read([]Source{{Name: "405.txt", Reader: bytes.NewReader(text)}}, Options{})
		if err != nil {
			t.Fatalf("%v in\n%s", err, text)
		}
		if diff := cmp.Diff([]run.Curve{want}, r.Curves, cmpopts.EquateApprox(1e-14, 1e-300)); diff != "" {
			t.Fatalf("curve (-written +read):\n%s\nguessed %v in\n%s", diff, guesses, text)
		}
		for _, g := range guesses {
			if g.Option == "voltage-unit" || g.Option == "current-unit" {
				t.Fatalf("a unit that is told was guessed: %v", g)
			}
		}
	})
}

func ExampleRead() {
	file := strings.NewReader("U [mV]; I [nA]\n0; 0,31\n-500; 0,12\n-1000; 0,01\n-1500; -0,004\n")
	r, guesses, err := Read([]Source{{Name: "violet 404.7nm.csv", Reader: file}}, Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, g := range guesses {
		fmt.Println(g)
	}
	for _, c := range r.Curves {
		fmt.Println(c.Setting, c.Wavelength, "nm:", len(c.Readings), "readings, the last at", c.Readings[3].Retarding, "V")
	}
	// Output:
	// violet 404.7nm.csv: cells are set apart by semicolons (guessed; --delimiter says otherwise)
	// violet 404.7nm.csv: decimals are marked by a comma (guessed; --decimal says otherwise)
	// violet 404.7nm.csv: the wavelength is 404.7 nm by the name (guessed; --wavelength says otherwise)
	// violet 404.7nm.csv: the voltage is the collector's potential, negative where it retards, since the current falls that way (guessed; --voltage-sign says otherwise)
	// violet 404.7nm 404.7 nm: 4 readings, the last at 1.5 V
}
