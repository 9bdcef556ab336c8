package scenarios_test

import (
	"slices"
	"strings"
	"testing"

	"stopvolt/instrument"
	"stopvolt/scenarios"
)

// withoutEffect lists the keys of a scenario that make none of the effects: what
// stands there on every bench, and how it is used.
var withoutEffect = []string{
	"title", "notes",
	"world.h_over_e_Vs",
	// The emitter's metal sets the current; the cutoff knows the collector's.
	"emitter.element", "emitter.work_function_eV", "emitter.yield", "emitter.yield_wavelength_nm",
	"light.NAME.name", "light.NAME.flux_W", "light.NAME.neutral",
	"meter.class",
	// How bright a bench is, and what other numbers are relative to.
	"lamp.brightest_A", "leakage.most_over_brightest", "shared.NAME", "joint.NAME.keys", "joint.NAME.rows", "joint.NAME.weights",
	"plan.start_V", "plan.stop_V", "plan.stop_beyond_V", "plan.step_V", "plan.fine_step_V", "plan.fine_width_V",
	"plan.change_s", "plan.repeats", "plan.order", "plan.dark_curves",
}

// A key that is new has to say which effect it makes, or that it makes none.
func TestEveryKeyBelongsToAnEffectOrIsListedAsHavingNone(t *testing.T) {
	owners := make(map[string][]instrument.EffectID)
	for _, e := range instrument.Effects() {
		if len(e.Keys) == 0 {
			t.Errorf("%q has no key of a scenario", e.ID)
		}
		for _, key := range e.Keys {
			owners[key] = append(owners[key], e.ID)
		}
	}
	known := scenarios.Keys()
	for _, key := range known {
		listed := slices.Contains(withoutEffect, key) || strings.HasPrefix(key, "practice.")
		if table, _, ok := strings.Cut(key, ".source."); ok {
			// What describes a lamp makes what the lamp makes.
			owners[key] = owners[table+".source"]
		}
		switch {
		case owners[key] == nil && !listed:
			t.Errorf("%s belongs to no effect, and is not listed as having none", key)
		case owners[key] != nil && listed:
			t.Errorf("%s is listed as having no effect, and belongs to %q", key, owners[key])
		}
	}
	for key, ids := range owners {
		if !slices.Contains(known, key) {
			t.Errorf("%q has the key %s, which scenarios do not know", ids, key)
		}
	}
	for _, key := range withoutEffect {
		if !slices.Contains(known, key) {
			t.Errorf("%s is listed as having no effect, and is no key", key)
		}
	}
}
