package scenarios_test

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/sync/errgroup"

	"stopvolt/instrument"
	"stopvolt/physics"
	"stopvolt/scenarios"
	"stopvolt/sim"
)

// A law of no width is a number: the bench is the same to the last bit, and so
// is every bench that is drawn.
func TestLawsOfNoWidthBuildTheSameBench(t *testing.T) {
	number := regexp.MustCompile(`(?m)^(\w+) = (-?[0-9.e-]+)$`)
	for _, name := range []string{"lanternfell", "quillfirth", "wexcombe", "brackenford"} {
		text, err := scenarios.Text(name)
		if err != nil {
			t.Fatal(err)
		}
		count := 0
		lawful := number.ReplaceAllStringFunc(string(text), func(line string) string {
			count++
			key, x, _ := strings.Cut(line, " = ")
			if count%2 == 0 {
				return fmt.Sprintf("%s = { one_of = [%s] }", key, x)
			}
			return fmt.Sprintf("%s = { uniform = [%s, %s] }", key, x, x)
		})
		if count < 15 {
			t.Fatalf("%s has %d numbers", name, count)
		}
		plain, err := scenarios.Load(name, nil)
		if err != nil {
			t.Fatal(err)
		}
		s, err := scenarios.Parse(name, []byte(lawful), nil)
		if err != nil {
			t.Fatal(err)
		}
		if !s.Population.Fixed() || len(s.Population.Variables()) != count {
			t.Errorf("%s: %d numbers became %d laws, fixed %v", name, count, len(s.Population.Variables()), s.Population.Fixed())
		}
		drawn, attempts, err := sim.DrawBench(s.Population, 5, 17)
		if err != nil || attempts != 1 {
			t.Fatalf("%s: %d attempts, %v", name, attempts, err)
		}
		for _, a := range []instrument.Apparatus{s.Apparatus, drawn} {
			if !reflect.DeepEqual(a, plain.Apparatus) {
				t.Errorf("%s differs:\n got %+v\nwant %+v", name, a, plain.Apparatus)
			}
		}
	}
}

// with returns small with a line replaced.
func with(t *testing.T, from, to string) string {
	t.Helper()
	text := strings.Replace(small, from, to, 1)
	if text == small {
		t.Fatalf("%q is not in the scenario", from)
	}
	return text
}

func TestMistakesInLawsAreNamedWithTheirPlace(t *testing.T) {
	const stray = "temperature_K = 295.0\n[geometry]"
	law := func(value string) [2]string { return [2]string{stray, "temperature_K = " + value + "\n[geometry]"} }
	for _, test := range []struct {
		change [2]string
		want   string
	}{
		{law("{ uniform = [300.0, 290.0] }"), "cell.toml:9:19: collector.temperature_K: it is from 300 to 290; the lower end comes first"},
		{law("{ uniform = [0.0, inf] }"), "cell.toml:9:19: collector.temperature_K: the ends are 0 and +Inf; both must be finite"},
		{law("{ uniform = [290.0, 3000.0] }"), "cell.toml:9:1: collector.temperature_K may be 3000 by its law; it must be from 0 to 1500 K"},
		{law("{ one_of = [290.0, -1.0] }"), "cell.toml:9:1: collector.temperature_K may be -1 by its law"},
		{law("{ normal = [-500.0, 1.0] }"), "cell.toml:9:1: collector.temperature_K: only 0 of its numbers lie from 0 to 1500; it must be from 0 to 1500 K"},
		{law("{ normal = [290.0, 0.0] }"), "cell.toml:9:19: collector.temperature_K: the standard deviation is 0; it must be finite and above zero"},
		{law("{ uniform = [290.0] }"), "cell.toml:9:19: collector.temperature_K: it needs two numbers, such as [0.1, 0.2]"},
		{law("{ triangle = [290.0, 300.0] }"), "cell.toml:9:19: collector.temperature_K: \"triangle\" is no part of a law"},
		{law("{ uniform = [290.0, 300.0], normal = [1.0, 2.0] }"), "cell.toml:9:45: collector.temperature_K has two laws, uniform and normal"},
		{law("{ uniform = [290.0, 300.0], at_most = 295.0 }"), "cell.toml:9:45: collector.temperature_K: \"at_most\" is no part of a law uniform"},
		{law("{ log_uniform = [0.0, 300.0] }"), "cell.toml:9:19: collector.temperature_K: the lower end is 0; a logarithmic law needs one above zero"},
		{law("{ mixture = [{ weight = 1.0, uniform = [290.0, 300.0] }, { weight = 1.0, uniform = [300.0, 290.0] }] }"), "cell.toml:9:90: collector.temperature_K: it is from 300 to 290"},
		{law("{ mixture = [{ uniform = [290.0, 300.0] }] }"), "cell.toml:9:19: collector.temperature_K: part 1 of the mixture has no weight"},
		{law("{ plus = \"emitter.temperature_K\" }"), "cell.toml:9:1: collector.temperature_K: the table has no law"},
		{law("{ same_as = \"emitter.warmth\" }"), "cell.toml:9:1: collector.temperature_K is relative to emitter.warmth, which is no key with a number"},
		{law("{ same_as = \"collector.patch_spread_eV\" }"), "cell.toml:9:1: collector.temperature_K is relative to collector.patch_spread_eV, which the scenario does not give"},
		{law("{ same_as = \"collector.temperature_K\" }"), "cell.toml:9:1: collector.temperature_K is relative to itself"},
		{law("{ uniform = [290.0, 300.0], plus = \"light.blue.flux_W\" }\nwork_function_eV = { same_as = \"collector.temperature_K\" }"), "cell.toml:10:1: "},
		{[2]string{"kind = \"spheres\"", "kind = { one_of = [\"spheres\", \"cube\"] }"}, "cell.toml:11:1: geometry.kind may be \"cube\" by its law; it must be one of plane, spheres"},
		{[2]string{"kind = \"spheres\"", "kind = { uniform = [0.0, 1.0] }"}, "cell.toml:11:10: geometry.kind: a key that takes a text in quotes may have one_of only"},
		{[2]string{"work_function_eV = 1.95", "work_function_eV = { uniform = [5.0, 6.0] }"}, "cell.toml:3:1: no light of this bench frees electrons: its photons have at most 2.84 eV, and the emitter's work function is 5.5 eV"},
		{[2]string{"[geometry]", "[[joint]]\nkeys = [\"collector.temperature_K\"]\nrows = [[290.0], [2900.0]]\n[geometry]"}, "cell.toml:9:1: row 2 of the joint rows has 2900 for collector.temperature_K; it must be from 0 to 1500 K"},
		{[2]string{"[geometry]", "[[joint]]\nkeys = [\"collector.warmth\"]\nrows = [[290.0]]\n[geometry]"}, "cell.toml:11:1: joint rows name collector.warmth, which is no key"},
		{[2]string{"[geometry]", "[[joint]]\nkeys = [\"collector.temperature_K\"]\nrows = [[290.0, 1.0]]\n[geometry]"}, "cell.toml:12:1: row 1: there must be 1 entries, one for each key"},
		{[2]string{"[geometry]", "[[joint]]\nkeys = [\"geometry.kind\"]\nrows = [[1.0]]\n[geometry]"}, "cell.toml:12:1: row 1: there is a number with a point for geometry.kind, which needs a text in quotes"},
	} {
		_, err := scenarios.Load(write(t, with(t, test.change[0], test.change[1])), nil)
		var e *scenarios.Error
		if !errors.As(err, &e) {
			t.Errorf("%q: error %v", test.change[1], err)
			continue
		}
		e.File = filepath.Base(e.File)
		if got := e.Error(); !strings.HasPrefix(got, test.want) || strings.ContainsRune(got, '\n') {
			t.Errorf("%q:\n got %s\nwant %s", test.change[1], got, test.want)
		}
	}
}

func TestAnAssignmentReplacesTheWholeValue(t *testing.T) {
	name := write(t, with(t, "radius_ratio = 0.5", "radius_ratio = { log_uniform = [0.2, 0.9] }"))
	s, err := scenarios.Load(name, nil)
	if err != nil {
		t.Fatal(err)
	}
	if s.Population.Fixed() || math.Abs(s.Apparatus.Geometry.(physics.Spheres).RadiusRatio-math.Sqrt(0.2*0.9)) > 1e-12 {
		t.Errorf("the median bench is %+v", s.Apparatus.Geometry)
	}
	s, err = scenarios.Load(name, []string{"geometry.radius_ratio=0.3"})
	if err != nil {
		t.Fatal(err)
	}
	if !s.Population.Fixed() || s.Apparatus.Geometry != (physics.Spheres{RadiusRatio: 0.3}) {
		t.Errorf("a number in place of a law gives %+v", s.Apparatus.Geometry)
	}
	s, err = scenarios.Load(name, []string{"light.blue.flux_W={ log_uniform = [1e-8, 1e-6] }", "geometry.radius_ratio=1"})
	if err != nil {
		t.Fatal(err)
	}
	if s.Population.Fixed() || s.Population.Index("light.blue.flux_W") < 0 {
		t.Errorf("the laws are %v", s.Population.Variables())
	}
	if _, err = scenarios.Load(name, []string{"geometry.radius_ratio={ log_uniform = [2.0, 1.0] }"}); err == nil ||
		!strings.HasPrefix(err.Error(), "--set geometry.radius_ratio={ log_uniform = [2.0, 1.0] }: geometry.radius_ratio: it is from 2 to 1") {
		t.Errorf("a law that cannot be: %v", err)
	}
}

// What is stated by a curve can be read off the curve of the bench that is made.
func TestStatedCurrentsAreThoseOfTheBench(t *testing.T) {
	text := with(t, "work_function_eV = 2.1\n", "least_stopping_V = 0.4\nreverse_ratio = 0.02\nyield = 0.005\nyield_wavelength_nm = 365.0\npatch_spread_eV = 0.05\n") +
		"[lamp]\nbrightest_A = 3e-10\n[meter]\nfull_scale_V = 1.0\nfull_scale_over_largest = 2.0\ndigit_over_brightest = 0.001\ntemperature_K = 295.0\noffset_A = 0.0\n"
	s, err := scenarios.Load(write(t, text), nil)
	if err != nil {
		t.Fatal(err)
	}
	a := s.Apparatus
	if got := sim.TruthOf(a).Stopping[1]; math.Abs(got-0.4) > 1e-12 {
		t.Errorf("the light of the longest wavelength stops at %g V, want 0.4 V", got)
	}
	var brightest, largest, plateau float64
	for _, l := range a.Lights {
		mean, err := instrument.NewMeanCurrent(a, l, physics.Quadrature{})
		if err != nil {
			t.Fatal(err)
		}
		if at := mean.At(0).Net(); at > brightest {
			brightest, plateau = at, mean.At(a.Plan.Stop).Reverse
		}
		largest = max(largest, mean.At(a.Plan.Start).Net())
	}
	for _, test := range []struct {
		what      string
		got, want float64
	}{
		{"current of the brightest line", brightest, 3e-10},
		{"reverse ratio", plateau / brightest, 0.02},
		{"digit", a.Meter.Resolution, 0.001 * brightest},
		{"full scale", a.Meter.FullScales[0], 2 * largest},
	} {
		if math.Abs(test.got/test.want-1) > 0.01 {
			t.Errorf("the %s is %g, want %g", test.what, test.got, test.want)
		}
	}
	for from, double := range map[string]string{
		"least_stopping_V = 0.4\n": "work_function_eV = 2.0\n", "reverse_ratio = 0.02\n": "stray_light = 0.1\n",
		"digit_over_brightest = 0.001\n": "resolution_A = 1e-13\n", "full_scale_over_largest = 2.0\n": "full_scales_A = [1e-9]\n",
		"stop_V = 2.0\n": "stop_beyond_V = 0.5\n",
	} {
		both := strings.Replace(text, from, from+double, 1)
		if _, err := scenarios.Load(write(t, both), nil); err == nil || !strings.Contains(err.Error(), "say the same") {
			t.Errorf("%s beside what says the same: %v", double, err)
		}
		// An assignment takes the file's key away.
		assignment := strings.Replace(strings.TrimSpace(double), " = ", "=", 1)
		for _, table := range []string{"collector.", "meter.", "plan."} {
			if slices.Contains(scenarios.Keys(), table+strings.Split(assignment, "=")[0]) {
				if _, err := scenarios.Load(write(t, text), []string{table + assignment}); err != nil {
					t.Errorf("--set %s%s: %v", table, assignment, err)
				}
			}
		}
	}
	if _, err := scenarios.Load(write(t, text), []string{"collector.stray_light=0.1", "collector.reverse_ratio=0.1"}); err == nil {
		t.Error("two assignments say the same")
	}
}

// The joint rows take the place of the keys' own values, words included.
func TestJointRowsOfAScenario(t *testing.T) {
	text := small + "[[joint]]\nkeys = [\"geometry.kind\", \"light.green.neutral\", \"collector.temperature_K\"]\n" +
		"rows = [[\"spheres\", 0.1, 290.0], [\"cylinders\", 0.2, 300.0]]\nweights = [0.0, 1.0]\n"
	s, err := scenarios.Load(write(t, text), nil)
	if err != nil {
		t.Fatal(err)
	}
	for bench := range 5 {
		a, _, err := sim.DrawBench(s.Population, 1, bench)
		if err != nil {
			t.Fatal(err)
		}
		if a.Geometry != (physics.Cylinders{RadiusRatio: 0.5}) || a.Lights[1].Neutral != 0.2 || a.Collector.Temperature != 300 {
			t.Errorf("bench %d is %+v", bench, a)
		}
	}
}

func TestPopulationOfTeachingBenches(t *testing.T) {
	s, err := scenarios.Load(scenarios.DefaultPopulation, nil)
	if err != nil {
		t.Fatal(err)
	}
	again := 0
	const n, seed = 300, 2
	for bench := range n {
		a, attempts, err := sim.DrawBench(s.Population, seed, bench)
		if err != nil {
			t.Fatal(err)
		}
		again += attempts - 1
		stopping := sim.TruthOf(a).Stopping
		if last := stopping[len(stopping)-1]; last < 0.05-1e-9 || last > 0.8+1e-9 {
			t.Errorf("bench %d: yellow stops at %g V", bench, last)
		}
		if a.Emitter.WorkFunction >= physics.PhotonEnergy(a.World.HOverE, 578) {
			t.Errorf("bench %d: yellow frees no electrons from %g eV", bench, a.Emitter.WorkFunction)
		}
		brightest := s.Population.Index("lamp.brightest_A")
		values, _, _, err := sim.DrawValues(s.Population, seed, bench)
		if err != nil {
			t.Fatal(err)
		}
		if leak := a.Leakage.Conductance; leak > 0.1*values[brightest]*(1+1e-9) {
			t.Errorf("bench %d: %g A leak at 1 V, and the brightest light drives %g A", bench, leak, values[brightest])
		}
		if a.Plan.Stop < stopping[0]+0.3 {
			t.Errorf("bench %d: the sweep ends at %g V and ultraviolet stops at %g V", bench, a.Plan.Stop, stopping[0])
		}
	}
	// The leaks and the currents are drawn by themselves, and about one pair in six is
	// no bench: 70 or more of 300 would be in fewer than one set of seeds in a hundred.
	if again >= 70 || again < 20 {
		t.Errorf("seed %d: %d of %d benches were drawn again", seed, again, n)
	}
}

func TestALeakThatDrownsTheLightIsNoBench(t *testing.T) {
	for limit, wrong := range map[string]bool{"0.01": false, "0.001": true} {
		_, err := scenarios.Load("lanternfell", []string{"lamp.brightest_A=1e-10", "leakage.resistance_ohm=2e12", "leakage.most_over_brightest=" + limit})
		if got := err != nil && strings.Contains(err.Error(), "5e-13 A at 1 V, which is 0.005 of the brightest"); got != wrong {
			t.Errorf("at most %s: %v", limit, err)
		}
	}
}

// Benches may be drawn by several goroutines: each is what it is alone. (The race
// detector sees more.)
func TestBenchesAreDrawnSideBySide(t *testing.T) {
	s, err := scenarios.Load(scenarios.DefaultPopulation, nil)
	if err != nil {
		t.Fatal(err)
	}
	const n = 400
	alone := make([]instrument.Apparatus, n)
	for bench := range alone {
		if alone[bench], _, err = sim.DrawBench(s.Population, 1, bench); err != nil {
			t.Fatal(err)
		}
	}
	var group errgroup.Group
	for worker := range 4 {
		group.Go(func() error {
			for i := range n {
				bench := (i*7 + worker*97) % n
				a, _, err := sim.DrawBench(s.Population, 1, bench)
				if err != nil {
					return err
				}
				if !reflect.DeepEqual(a, alone[bench]) {
					return fmt.Errorf("bench %d differs in company", bench)
				}
			}
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		t.Error(err)
	}
}

func BenchmarkDrawBench(b *testing.B) {
	s, err := scenarios.Load(scenarios.DefaultPopulation, nil)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for bench := range b.N {
		if _, _, err := sim.DrawBench(s.Population, 1, bench); err != nil {
			b.Fatal(err)
		}
	}
}

// FuzzParse gives the loader what nobody would write: it has to answer with a
// scenario or an error of one line, and a scenario's benches have to be drawn or
// refused.
func FuzzParse(f *testing.F) {
	for _, name := range []string{"lanternfell", "quillfirth", scenarios.DefaultPopulation} {
		text, err := scenarios.Text(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text))
	}
	f.Add(small)
	f.Add(small + "[[joint]]\nkeys = [\"geometry.kind\"]\nrows = [[\"plane\"]]\n")
	f.Add("light = [{ name = \"a\", source = \"mercury\" }]\n[shared]\na = { same_as = \"shared.b\" }\nb = { same_as = \"shared.a\" }")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := scenarios.Parse("cell.toml", []byte(text), nil)
		if err != nil {
			if strings.ContainsAny(err.Error(), "\n\x1b") {
				t.Errorf("the error %q has more than one line", err)
			}
			return
		}
		for bench := range 3 {
			// An impossible bench is an error and no panic.
			_, _ = s.Population.Draw(func(string) float64 { return (float64(bench) + 0.5) / 3 })
		}
	})
}

// A level of practice takes laws as well as pairs, and its students' benches
// follow them.
func TestLevelsOfPracticeTakeLaws(t *testing.T) {
	text := small + "[practice.ordinary]\nlights = [\"blue\", \"green\", \"yellow\"]\nstray_light = { normal = [0.02, 0.005] }\ncontact_potential_V = [0.1, 0.1]\n"
	third := "[[light]]\nname = \"yellow\"\nnominal_nm = 578.0\nsource = \"mercury\"\nflux_W = 1e-6\n"
	text = strings.Replace(text, "[plan]", third+"[plan]", 1)
	s, err := scenarios.Load(write(t, text), nil)
	if err != nil {
		t.Fatal(err)
	}
	level := s.Practice[1]
	for _, share := range []float64{0.1, 0.5, 0.9} {
		a, err := level.Benches.Draw(func(string) float64 { return share })
		if err != nil {
			t.Fatal(err)
		}
		want := 0.02 + 0.005*math.Sqrt2*math.Erfinv(2*share-1)
		if math.Abs(a.Collector.StrayLight-want) > 1e-6 {
			t.Errorf("at %g the stray light is %g, want %g", share, a.Collector.StrayLight, want)
		}
	}
	ours, err := level.InOurWorld()
	if err != nil {
		t.Fatal(err)
	}
	a, err := ours.Draw(func(string) float64 { return 0.9 })
	if err != nil || a.World.HOverE != physics.HOverE || math.Abs(a.Collector.WorkFunction-a.Emitter.WorkFunction-0.1) > 1e-12 {
		t.Errorf("in our world the bench is %+v (%v)", a, err)
	}
	for line, want := range map[string]string{
		"stray_light = { normal = [-3.0, 0.1] }": "practice.ordinary.stray_light: only 0 of its numbers lie from 0 to 1",
		"stray_light = { uniform = [0.5, 2.0] }": "practice.ordinary.stray_light may be 2 by its law",
		"stray_light = [0.5, 0.2]":               "practice.ordinary.stray_light is from 0.5 to 0.2; the lower end comes first",
		"stray_light = 0.5":                      "practice.ordinary.stray_light: it needs a range such as [0.1, 0.2], or a law",
	} {
		_, err := scenarios.Load(write(t, strings.Replace(text, "stray_light = { normal = [0.02, 0.005] }", line, 1)), nil)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s:\n got %v\nwant %s", line, err, want)
		}
	}
}
