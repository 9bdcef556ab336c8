package scenarios_test

import (
	"errors"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"stopvolt/instrument"
	"stopvolt/physics"
	"stopvolt/scenarios"
)

func TestEffectsHaveKeys(t *testing.T) {
	name := write(t, small)
	s, err := scenarios.Load(name, []string{
		"emitter.fermi_energy_eV=2.1", "emitter.area_cm2=3", "collector.patch_spread_eV=0.05",
		"collector.stray_light=0.02", "collector.stray_exponent=4", "collector.stray_wavelength_nm=435.8",
		"collector.yield=0.01", "collector.yield_wavelength_nm=365",
		"collector.reflection=0.3", "collector.reflection_energy_eV=0.191",
		"reverse.threshold_eV=2.3", "reverse.kind=cylinders", "reverse.radius_ratio=2",
		"ambient.source=sodium", "ambient.flux_W=1e-8",
		"light.blue.source={ diode_nm = 470, width_nm = 25, skew = 0.2 }",
		"light.green.source={ slit_nm = 546, width_nm = 4.0 }",
	})
	if err != nil {
		t.Fatal(err)
	}
	a := s.Apparatus
	if a.Emitter.FermiEnergy != 2.1 || a.Emitter.Area != 3 || a.Collector.PatchSpread != 0.05 ||
		a.Collector.Stray(435.8/2) != 0.32 || a.Collector.Reflection != (physics.Reflection{Share: 0.3, Energy: 0.191}) ||
		a.Reverse.Threshold != 2.3 || a.Reverse.Geometry != physics.Geometry(physics.Cylinders{RadiusRatio: 2}) ||
		len(a.Ambient.Spectrum()) != len(physics.Sodium()) ||
		len(a.Lights[0].Lines) != len(physics.Diode(470, 25, 0.2)) || len(a.Lights[1].Lines) != len(physics.Slit(546, 4)) {
		t.Errorf("a key was lost: %+v", a)
	}
}

func TestFilmsAndLossesHaveKeys(t *testing.T) {
	name := write(t, small)
	s, err := scenarios.Load(name, []string{
		"emitter.film_exponent=1.5", "emitter.film_edge_eV=0.2", "emitter.loss=0.4", "emitter.loss_energy_eV=0.15",
	})
	if err != nil {
		t.Fatal(err)
	}
	want := instrument.Law{Film: physics.Film{Exponent: 1.5}, FilmEdge: 0.2, Loss: physics.Loss{Share: 0.4, Energy: 0.15}}
	if s.Apparatus.Emitter.Law != want {
		t.Errorf("the emitter is %+v, want %+v", s.Apparatus.Emitter.Law, want)
	}
	s, err = scenarios.Load(name, []string{
		"emitter.film_exponent=0", "emitter.film_edge_eV=0.2", "emitter.loss=0", "emitter.loss_energy_eV=0.15",
	})
	if err != nil {
		t.Fatal(err)
	}
	if s.Apparatus.Emitter.Law != (instrument.Law{}) {
		t.Errorf("an emitter without film and losses is %+v", s.Apparatus.Emitter.Law)
	}
	for assignment, want := range map[string]string{
		"emitter.film_exponent=0.1":  "emitter.film_exponent is 0.1; it must be 0, or from 0.25 to 5",
		"emitter.film_exponent=-1":   "emitter.film_exponent is -1; it must be 0, or from 0.25 to 5",
		"emitter.film_edge_eV=0.2":   "emitter.film_exponent is missing; it must be 0, or from 0.25 to 5",
		"emitter.loss=0.2":           "emitter.loss_energy_eV is missing; it must be from 0.001 to 10 eV",
		"emitter.loss_energy_eV=0.2": "emitter.loss is missing; it must be from 0 to 1",
		"emitter.loss=1.2":           "emitter.loss is 1.2; it must be from 0 to 1",
	} {
		if _, err := scenarios.Load(name, []string{assignment}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s:\n got %v\nwant %s", assignment, err, want)
		}
	}
	for _, set := range [][]string{
		{"emitter.fermi_energy_eV=2", "emitter.film_exponent=1"},
		{"emitter.fermi_energy_eV=2", "emitter.loss=0.1", "emitter.loss_energy_eV=0.1"},
	} {
		if _, err := scenarios.Load(name, set); err == nil || !strings.Contains(err.Error(), "leave one out") {
			t.Errorf("%v: %v", set, err)
		}
	}
	_, err = scenarios.Load(name, []string{"emitter.film_exponent=1", "emitter.film_edge_eV=1.9"})
	if err == nil || !strings.Contains(err.Error(), "the emitter's work function and the depth of its film's edge are") {
		t.Errorf("a film that no light reaches: %v", err)
	}
}

func TestASecondEmitterHasKeys(t *testing.T) {
	name := write(t, small)
	all := []string{
		"emitter.second.share=0.3", "emitter.second.work_function_eV=1.6", "emitter.second.yield=0.05",
		"emitter.second.film_exponent=1", "emitter.second.film_edge_eV=0.1",
	}
	s, err := scenarios.Load(name, all)
	if err != nil {
		t.Fatal(err)
	}
	want := instrument.Part{Share: 0.3, WorkFunction: 1.6, Yield: 0.05, Film: physics.Film{Exponent: 1}, FilmEdge: 0.1}
	if got := s.Apparatus.Emitter.Second; got != want {
		t.Errorf("the second part is %+v, want %+v", got, want)
	}
	for _, test := range []struct {
		set  []string
		want string
	}{
		{all[:1], "emitter.second.work_function_eV is missing; it must be above 0 and at most 12 eV"},
		{all[:2], "emitter.second.yield is missing; it must be above 0 and at most 1 electrons for each photon"},
		{append(all[1:3:3], "emitter.second.share=1.5"), "emitter.second.share is 1.5; it must be from 0 to 1"},
		{append(all[1:3:3], "emitter.second.share=1", "emitter.second.work_function_eV=4"), "no light of this bench frees electrons"},
		{append(all[0:3:3], "emitter.second.work_function_eV=4.2"), "light of 365 nm (3.4 eV) frees no electrons from a work function of 4.2 eV"},
		{append(all, "emitter.fermi_energy_eV=2"), "leave one out"},
	} {
		_, err := scenarios.Load(name, test.set)
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%v:\n got %v\nwant %s", test.set, err, test.want)
		}
	}
	s, err = scenarios.Load(name, append(all[1:3:3], "emitter.second.share=0"))
	if err != nil {
		t.Fatal(err)
	}
	if got := s.Apparatus.Emitter.Second; got != (instrument.Part{}) {
		t.Errorf("no share is still %+v", got)
	}
}

// The least stopping voltage is what a reader reads off: the end of his longest line.
func TestLeastStoppingOfAFilmIsWhereItsCurrentEnds(t *testing.T) {
	text := strings.Replace(small, "work_function_eV = 2.1\n", "least_stopping_V = 0.3\n", 1)
	s, err := scenarios.Load(write(t, text), []string{"emitter.film_exponent=1", "emitter.film_edge_eV=0.2"})
	if err != nil {
		t.Fatal(err)
	}
	a := s.Apparatus
	longest := a.Lights[len(a.Lights)-1]
	for _, l := range a.Lights {
		if l.Nominal > longest.Nominal {
			longest = l
		}
	}
	end := physics.PhotonEnergy(a.World.HOverE, longest.Nominal) - 0.2 - a.Collector.WorkFunction
	if math.Abs(end-0.3) > 1e-12 {
		t.Errorf("the current of %s ends at %g V, want 0.3 V", longest.Name, end)
	}
}

func TestSurfacesAreNamedByTheirElement(t *testing.T) {
	name := write(t, strings.Replace(small, "work_function_eV = 2.1\n", "element = \"K\"\n", 1))
	s, err := scenarios.Load(name, nil)
	if err != nil {
		t.Fatal(err)
	}
	if want, _ := physics.WorkFunction("K"); s.Apparatus.Collector.WorkFunction != want {
		t.Errorf("the work function of potassium is %g eV, want %g", s.Apparatus.Collector.WorkFunction, want)
	}
}

func TestGeometriesHaveTheirKeys(t *testing.T) {
	plane := strings.Replace(small, "kind = \"spheres\"\nradius_ratio = 0.5\n", "kind = \"plane\"\n", 1)
	for _, test := range []struct {
		text string
		set  []string
		want physics.Geometry
	}{
		{small, []string{"geometry.kind=cylinders"}, physics.Cylinders{RadiusRatio: 0.5}},
		{plane, nil, physics.Spheres{RadiusRatio: 1}},
		{plane, []string{"geometry.magnetic_field_uT=48", "geometry.gap_mm=12"}, physics.MagneticPlanes{Gap: 12, Field: 48}},
		{plane, []string{"geometry.magnetic_field_uT=0", "geometry.gap_mm=12"}, physics.Spheres{RadiusRatio: 1}},
	} {
		s, err := scenarios.Load(write(t, test.text), test.set)
		if err != nil {
			t.Error(err)
		} else if s.Apparatus.Geometry != test.want {
			t.Errorf("%v builds %#v, want %#v", test.set, s.Apparatus.Geometry, test.want)
		}
	}
	s, err := scenarios.Load(write(t, plane), []string{"geometry.kind=ring-over-disk", "geometry.ring_height=0.8", "geometry.glass_radius=2"})
	if err != nil {
		t.Fatal(err)
	}
	if ring, ok := s.Apparatus.Geometry.(*physics.RingOverDisk); !ok || ring.Height != 0.8 || ring.Glass != 2 {
		t.Errorf("the ring is %v", s.Apparatus.Geometry)
	}
}

func TestMistakesInTheNewKeysAreNamed(t *testing.T) {
	for assignment, want := range map[string]string{
		"collector.element=Cs":                                 "collector.element gives a work function, and so does collector.work_function_eV; leave one out",
		"geometry.gap_mm=3":                                    "geometry of kind \"spheres\" has no gap_mm; leave it out, or set kind to \"plane\"",
		"geometry.ring_height=3":                               "geometry of kind \"spheres\" has no ring_height; leave it out, or set kind to \"ring-over-disk\"",
		"collector.reflection=0.5":                             "collector.reflection_energy_eV is missing; it must be from 0.001 to 100 eV",
		"collector.reflection=2":                               "collector.reflection is 2; it must be from 0 to 1",
		"collector.stray_exponent=4":                           "collector.stray_wavelength_nm is missing",
		"emitter.fermi_energy_eV=0":                            "emitter.fermi_energy_eV is 0; it must be above 0",
		"emitter.area_cm2=-1":                                  "emitter.area_cm2 is -1; it must be from 0 to 10000 cm^2",
		"ambient.flux_W=1":                                     "a light needs a source",
		"light.blue.source={ diode_nm = 470 }":                 "light.0.source.width_nm is missing; it must be from 0.01 to 50 nm",
		"light.blue.source={ diode_nm = \"blue\" }":            "light.0.source.diode_nm: there is a text where a number is needed",
		"light.blue.source={ slit_nm = 470, skew = 1 }":        "\"skew\" is not a key of a source with slit_nm; it has slit_nm, width_nm",
		"light.blue.source={ width_nm = 470 }":                 "a source is the name of a lamp, or a table with one of lines_nm, diode_nm and slit_nm",
		"light.blue.source={ lines_nm = [435], weights = [] }": "light.0.source.weights must be a list of numbers",
	} {
		_, err := scenarios.Load(write(t, small), []string{assignment})
		var e *scenarios.Error
		if !errors.As(err, &e) {
			t.Errorf("%s: error %v", assignment, err)
			continue
		}
		e.File = filepath.Base(e.File)
		if got := e.Error(); !strings.Contains(got, want) || strings.ContainsRune(got, '\n') {
			t.Errorf("%s:\n got %s\nwant %s", assignment, got, want)
		}
	}
	unknown := strings.Replace(small, "work_function_eV = 2.1\n", "element = \"Xx\"\n", 1)
	if _, err := scenarios.Load(write(t, unknown), nil); err == nil || !strings.Contains(err.Error(), "it must be the symbol of one of Ag, Al") {
		t.Errorf("an unknown element: %v", err)
	}
}
