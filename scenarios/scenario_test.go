package scenarios_test

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

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
		{"dwell_s = 0.5", "dwell_s = 0.0", "cell.toml:31:1: plan.dwell_s is 0; it must be above 0"},
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
