package scenarios_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"stopvolt/physics"
	"stopvolt/scenarios"
)

func TestEveryEmbeddedScenarioLoads(t *testing.T) {
	for _, name := range scenarios.Names() {
		s, err := scenarios.Load(name, nil)
		if err != nil {
			t.Error(err)
			continue
		}
		if s.Title == "" || s.Notes == "" {
			t.Errorf("%s has no title or no notes", name)
		}
		if !strings.Contains(s.Notes, "local rules") {
			t.Errorf("%s: the notes do not defer to local safety rules", name)
		}
	}
}

// small is a scenario that is right; the tests of errors change one line of it.
const small = `title = "a cell"
[emitter]
work_function_eV = 1.95
temperature_K = 295.0
yield = 0.02
yield_wavelength_nm = 365.0
[collector]
work_function_eV = 2.1
temperature_K = 295.0
[geometry]
kind = "spheres"
radius_ratio = 0.5
[[light]]
name = "blue"
nominal_nm = 435.8
source = { lines_nm = [435.833], weights = [1] }
flux_W = 1e-6
[[light]]
name = "green"
nominal_nm = 546.1
source = "mercury"
flux_W = 1e-6
[light.filter]
centre_nm = 546.0
width_nm = 10.0
peak = 0.5
[plan]
start_V = -1.0
stop_V = 2.0
step_V = 0.05
dwell_s = 0.5
`

// write puts a scenario into a file of its own.
func write(t *testing.T, text string) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "cell.toml")
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

func TestAbsentTablesAreIdeal(t *testing.T) {
	s, err := scenarios.Load(write(t, small), nil)
	if err != nil {
		t.Fatal(err)
	}
	a := s.Apparatus
	if a.World.HOverE != physics.HOverE {
		t.Errorf("h/e is %g V s", a.World.HOverE)
	}
	if a.Meter.Resolution != 0 || a.Meter.Feedback != 0 || a.Leakage.Current(1) != 0 || a.Collector.StrayLight != 0 {
		t.Errorf("something is not ideal: %+v", a)
	}
	if got := a.Lights[1].Filter.Transmission(546); got != 0.5 {
		t.Errorf("the filter of the second light passes %g", got)
	}
}

func TestMistakesAreNamedWithTheirPlace(t *testing.T) {
	for _, test := range []struct{ old, new, want string }{
		{"temperature_K = 295.0\nyield", "temperature_K = -5.0\nyield", "cell.toml:4:1: emitter.temperature_K is -5; it must be from 0 to 1500 K"},
		{"temperature_K = 295.0\nyield", "temperature_K = nan\nyield", "cell.toml:4:1: emitter.temperature_K is NaN; it must be from 0 to 1500 K"},
		{"temperature_K = 295.0\nyield", "temperature_K = \"warm\"\nyield", "cell.toml:4:17: emitter.temperature_K: there is a text where a number is needed"},
		{"yield = 0.02\n", "yeild = 0.02\n", "cell.toml:5:1: emitter.yeild is not a key"},
		{"yield = 0.02\n", "", "cell.toml:2:2: emitter.yield is missing"},
		{"kind = \"spheres\"", "kind = \"cube\"", "cell.toml:11:1: geometry.kind is \"cube\"; it must be one of plane, spheres, cylinders, ring-over-disk"},
		{"kind = \"spheres\"", "kind = \"plane\"", "cell.toml:12:1: geometry of kind \"plane\" has no radius_ratio"},
		{"name = \"green\"", "name = \"blue\"", "cell.toml:19:1: two lights are named \"blue\""},
		{"name = \"green\"", "name = \"BLUE\"", "cell.toml:19:1: the lights \"blue\" and \"BLUE\" are one name"},
		{"source = \"mercury\"", "source = \"moon\"", "cell.toml:21:1: light.1.source is \"moon\"; it must be one of mercury, mercury-arc, cadmium, sodium, helium"},
		{"source = \"mercury\"\n", "", "cell.toml:18:3: a light needs a source"},
		{"weights = [1] }", "weights = [1, 2] }", "cell.toml:16:34: there are 2 weights for 1 lines"},
		{"peak = 0.5", "peak = 1.5", "cell.toml:26:1: light.1.filter.peak is 1.5; it must be from 1e-09 to 1"},
		{"stop_V = 2.0", "stop_V = -2.0", "cell.toml:29:1: plan.stop_V is -2; it must be at least one step above"},
		{"dwell_s = 0.5", "dwell_s = 0.0", "cell.toml:31:1: plan.dwell_s is 0; it must be from 1e-06 to 10000 s"},
		{"dwell_s = 0.5", "dwell_s = ", "cell.toml:31:"},
	} {
		text := strings.Replace(small, test.old, test.new, 1)
		if text == small {
			t.Fatalf("%q is not in the scenario", test.old)
		}
		_, err := scenarios.Load(write(t, text), nil)
		var e *scenarios.Error
		if !errors.As(err, &e) {
			t.Errorf("%q instead of %q: error %v", test.new, test.old, err)
			continue
		}
		e.File = filepath.Base(e.File)
		if got := e.Error(); !strings.HasPrefix(got, test.want) || strings.ContainsRune(got, '\n') {
			t.Errorf("%q instead of %q:\n got %s\nwant %s", test.new, test.old, got, test.want)
		}
	}
}

func TestAssignmentsReachEveryKey(t *testing.T) {
	name := write(t, small)
	s, err := scenarios.Load(name, []string{
		"collector.work_function_eV=2.2", "light.green.neutral=0.1", "light.blue.filter.centre_nm=436",
		"light.blue.filter.width_nm=10", "light.blue.filter.peak=0.4", "plan.order=down",
		"leakage.dark_current_A=1e-13", "geometry.radius_ratio=1",
	})
	if err != nil {
		t.Fatal(err)
	}
	a := s.Apparatus
	if a.Collector.WorkFunction != 2.2 || a.Lights[1].Neutral != 0.1 || a.Lights[0].Filter.Peak != 0.4 ||
		a.Plan.Order != 1 || a.Leakage.Dark != 1e-13 || a.Geometry != (physics.Spheres{RadiusRatio: 1}) {
		t.Errorf("an assignment was lost: %+v", a)
	}
	for assignment, want := range map[string]string{
		"collector.work_function_eV":       "--set collector.work_function_eV: an assignment is KEY=VALUE",
		"collector.work_function_eV=-1":    "--set collector.work_function_eV=-1: collector.work_function_eV is -1; it must be above 0",
		"collector.stray=0.1":              "--set collector.stray=0.1: collector.stray is not a key",
		"light.red.neutral=1":              "--set light.red.neutral=1: there is no light of that name; write light.NAME.KEY with NAME one of blue, green",
		"plan.step_V=wide":                 "--set plan.step_V=wide: ",
		"light.green.filter.peak=nan":      "--set light.green.filter.peak=nan: light.1.filter.peak is NaN",
		"emitter.temperature_K=1\nx = 2":   "--set ",
		"emitter.temperature_K=295 # cool": "",
	} {
		_, err := scenarios.Load(name, []string{assignment})
		switch {
		case want == "" && err != nil:
			t.Errorf("%s: %v", assignment, err)
		case want != "" && (err == nil || !strings.HasPrefix(err.Error(), want)):
			t.Errorf("%s:\n got %v\nwant %s", assignment, err, want)
		}
	}
}

// A kind of geometry takes the keys of the file's kind away that it has not.
func TestAnotherKindOfGeometryCanBeAssigned(t *testing.T) {
	name := write(t, small)
	for kind, want := range map[string]physics.Geometry{
		"plane": physics.Spheres{RadiusRatio: 1}, "cylinders": physics.Cylinders{RadiusRatio: 0.5},
	} {
		s, err := scenarios.Load(name, []string{"geometry.kind=" + kind})
		if err != nil {
			t.Error(err)
		} else if s.Apparatus.Geometry != want {
			t.Errorf("kind %s is %v, want %v", kind, s.Apparatus.Geometry, want)
		}
	}
	if _, err := scenarios.Load(name, []string{"geometry.kind=plane", "geometry.radius_ratio=2"}); err == nil {
		t.Error("a plane pair took a ratio of radii")
	}
}

func TestKeysAreThoseOfAFile(t *testing.T) {
	keys := scenarios.Keys()
	for _, key := range []string{"title", "emitter.work_function_eV", "light.NAME.filter.peak", "plan.step_V", "meter.resolution_A"} {
		if !slices.Contains(keys, key) {
			t.Errorf("%s is not among %d keys", key, len(keys))
		}
	}
}

func TestUnknownScenarioNamesThoseThereAre(t *testing.T) {
	for _, name := range []string{"nowhere", "../scenarios/lanternfell", "nowhere.toml"} {
		if _, err := scenarios.Load(name, nil); err == nil {
			t.Errorf("%s was loaded", name)
		} else {
			t.Log(err)
		}
	}
}

// Every number has a limit that the checks apply, and the table of keys tells it.
func TestEveryNumberHasALimit(t *testing.T) {
	for _, k := range scenarios.KeyTable() {
		free := strings.HasPrefix(k.Name, "shared.") || strings.HasPrefix(k.Name, "joint.") || strings.HasPrefix(k.Name, "practice.")
		if strings.Contains(k.Kind, "number") && k.Limit == "" && !free {
			t.Errorf("%s, a %s, has no limit", k.Name, k.Kind)
		}
		switch k.Name {
		case "emitter.work_function_eV":
			if k.Limit != "above 0 and at most 12 eV" || !k.Lawful {
				t.Errorf("%s has the limit %q, lawful %v", k.Name, k.Limit, k.Lawful)
			}
		case "plan.order":
			if k.Limit != "one of up, down, there-and-back, random" {
				t.Errorf("%s has the limit %q", k.Name, k.Limit)
			}
		}
	}
}

func TestKeysKeepTheirLetterCase(t *testing.T) {
	for change, want := range map[[2]string]string{
		{"[geometry]", "[Geometry]"}:                       "cell.toml:10:2: Geometry is not a key of a scenario; geometry is; ",
		{"radius_ratio", "Radius_Ratio"}:                   "cell.toml:12:1: geometry.Radius_Ratio is not a key of a scenario; radius_ratio is; ",
		{"[[light]]\nname = \"b", "[[Light]]\nname = \"b"}: "cell.toml:13:3: Light is not a key of a scenario; light is; ",
	} {
		_, err := scenarios.Load(write(t, strings.Replace(small, change[0], change[1], 1)), nil)
		var e *scenarios.Error
		if !errors.As(err, &e) {
			t.Errorf("%q: error %v", change[1], err)
			continue
		}
		e.File = filepath.Base(e.File)
		if got := e.Error(); !strings.HasPrefix(got, want) {
			t.Errorf("%q:\n got %s\nwant %s", change[1], got, want)
		}
	}
	_, err := scenarios.Load(write(t, small), []string{"Geometry.Radius_Ratio=0.3"})
	if err == nil || !strings.Contains(err.Error(), "--set Geometry.Radius_Ratio=0.3: Geometry is not a key of a scenario; geometry is") {
		t.Errorf("another letter case in an assignment: %v", err)
	}
}

// A mark at the head of the file, and lights in one line, are TOML.
func TestByteOrderMarkAndInlineLights(t *testing.T) {
	plain, err := scenarios.Load(write(t, small), nil)
	if err != nil {
		t.Fatal(err)
	}
	marked, err := scenarios.Load(write(t, "\xef\xbb\xbf"+small), nil)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(marked.Apparatus, plain.Apparatus) {
		t.Error("a byte-order mark changes the bench")
	}
	start, end := strings.Index(small, "[[light]]"), strings.Index(small, "[plan]")
	inline := `light = [{ name = "blue", nominal_nm = 435.8, source = { lines_nm = [435.8328], weights = [1] }, flux_W = 1e-6 },
  { name = "green", nominal_nm = 546.1, source = "mercury", flux_W = 1e-6, filter = { centre_nm = 546.0, width_nm = 10.0, peak = 0.5 } }]
` + small[:start] + small[end:]
	s, err := scenarios.Load(write(t, inline), []string{"light.green.neutral=0.5"})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Apparatus.Lights) != 2 || s.Apparatus.Lights[1].Filter.Peak != 0.5 || s.Apparatus.Lights[1].Neutral != 0.5 {
		t.Errorf("the lights are %+v", s.Apparatus.Lights)
	}
	wrong := strings.Replace(inline, "nominal_nm = 546.1", "nominal_nm = 54.61", 1)
	if _, err = scenarios.Load(write(t, wrong), nil); err == nil || !strings.Contains(err.Error(), "cell.toml:2:21: light.1.nominal_nm is 54.61") {
		t.Errorf("a mistake in a line of lights: %v", err)
	}
}

// Silently wrong is worse than refused, and slow is worse than refused.
func TestWhatNoBenchHasIsRefusedBeforeAnyWork(t *testing.T) {
	many := func(n int, text func(i int) string) string {
		var b strings.Builder
		for i := range n {
			b.WriteString(text(i))
		}
		return b.String()
	}
	light := func(name string) string {
		return "[[light]]\nname = " + name + "\nnominal_nm = 435.8\nsource = \"mercury\"\nflux_W = 1e-6\n"
	}
	for what, test := range map[string]struct{ from, to, want string }{
		"lights":              {"[plan]", many(100, func(i int) string { return light(fmt.Sprintf("\"l%d\"", i)) }) + "[plan]", "there are 102 lights; at most 100 are allowed"},
		"names alike":         {"name = \"green\"", "name = \"Blue\"", "the lights \"blue\" and \"Blue\" are one name to a disk that folds letters"},
		"a long name":         {"name = \"green\"", "name = \"" + strings.Repeat("g", 65) + "\"", "light.1.name has 65 characters; at most 64 are allowed"},
		"a control character": {"name = \"green\"", `name = "gr\u001b[31meen"`, "light.1.name holds the character U+001B, which cannot be shown"},
		"a turned text":       {"title = \"a cell\"", `title = "a \u202ecell"`, "title holds the character U+202E"},
		"spectral lines":      {"lines_nm = [435.833], weights = [1]", "lines_nm = [" + many(1001, func(int) string { return "435.8, " }) + "], weights = [" + many(1001, func(int) string { return "1.0, " }) + "]", "the source has 1001 lines; at most 1000 are allowed"},
		"lines of all lights": {"[plan]", many(6, func(k int) string {
			lines := many(900, func(i int) string { return fmt.Sprintf("%.2f, ", 300+0.05*float64(6*i+k)) })
			return strings.Replace(light(fmt.Sprintf("\"l%d\"", k)), `"mercury"`, "{ lines_nm = ["+lines+"], weights = ["+strings.Repeat("1, ", 900)+"] }", 1)
		}) + "[plan]", "spectral lines in all; at most 5000 are allowed"},
		"a radius of nothing":    {"radius_ratio = 0.5", "radius_ratio = 1e-300", "geometry.radius_ratio is 1e-300; it must be 0, or from 0.001 to 1000"},
		"dark emitter":           {"work_function_eV = 1.95", "work_function_eV = 6.0", "no light of this bench frees electrons"},
		"a dark yield":           {"yield_wavelength_nm = 365.0", "yield_wavelength_nm = 1200.0", "light of 1200 nm (1.03 eV) frees no electrons"},
		"another world":          {"[geometry]", "[world]\nh_over_e_Vs = 1e-300\n[geometry]", "world.h_over_e_Vs is 1e-300; it must be from 1e-16 to 1e-13 V s"},
		"a digit of nothing":     {"[geometry]", "[meter]\nfeedback_ohm = 1e9\ntemperature_K = 295.0\noffset_A = 0.0\nresolution_A = 1e-320\n[geometry]", "meter.resolution_A is 1e-320; it must be 0, or from 1e-24 to 0.001 A"},
		"readings":               {"step_V = 0.05", "step_V = 0.00002\nrepeats = 2", "the plan has 300000 readings for each light"},
		"readings of all lights": {"step_V = 0.05", "step_V = 0.00004\nrepeats = 1\norder = \"there-and-back\"", "readings in all; at most 200000 are allowed"},
		"a filter of no width":   {"width_nm = 10.0", "width_nm = 1e-300", "light.1.filter.width_nm is 1e-300; it must be from 0.01 to 500 nm"},
	} {
		text := strings.Replace(small, test.from, test.to, 1)
		if text == small {
			t.Fatalf("%s: %q is not in the scenario", what, test.from)
		}
		start := time.Now()
		_, err := scenarios.Load(write(t, text), nil)
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s:\n got %v\nwant %s", what, err, test.want)
		}
		if took := time.Since(start); took > 5*time.Second {
			t.Errorf("%s took %v", what, took)
		}
	}
}
