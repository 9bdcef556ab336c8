package words

import (
	"fmt"
	"strings"

	"stopvolt/analysis/study"
)

// A Property is a number of a bench in words.
type Property struct {
	// Key is that of the scenario; of a light's keys, what follows its name.
	Key string
	// Name is what the number is of, and Unit its unit; Share says that it is
	// a fraction.
	Name, Unit string
	Share      bool
	// FindOut says how to find out about one's own bench.
	FindOut string
}

// properties are those that have words of their own; to add one, add its line.
var properties = []Property{
	{"collector.emitter_coating", "emitter metal on the collector", "", true, "To find out: plot the logarithm of the current against the voltage; beyond the knee a coated collector shows a second, weaker one, later by the difference of the work functions, and at the same distance on every line."},
	{"collector.patch_spread_eV", "patches on the collector", "eV", false, "To find out: compare the knees of two lines. Patches round every knee by the same voltage, the geometry in proportion to the electrons' energy; a knee of yellow light that is as wide as that of ultraviolet is patches."},
	{"emitter.patch_spread_eV", "patches on the emitter", "eV", false, "To find out: compare the current far below the threshold with kT: a red filter beyond the yellow line that still gives a current speaks of patches on the emitter."},
	{"emitter.film_exponent", "a power with which the energies of the cathode end", "", false, "To find out: ask the maker what the cathode is made of; an antimony or oxide film with caesium is no metal. On your own curve, corrected for the reverse current, a film's root is not straight near the cutoff."},
	{"emitter.film_edge_eV", "a depth of the film's edge below its Fermi level", "eV", false, "You cannot tell from the slope: it moves all cutoffs alike."},
	{"emitter.loss", "electrons that lose energy before they leave", "", true, "To find out: draw the curves of two lines, corrected for the reverse current, over the voltage before the cutoff in parts of the largest energy; without losses they lie on one another, with losses the longer line's is the flatter near its end."},
	{"emitter.loss_energy_eV", "a mean loss of energy", "eV", false, "To find out: draw the curves of two lines, corrected for the reverse current, over the voltage before the cutoff in parts of the largest energy; without losses they lie on one another, with losses the longer line's is the flatter near its end."},
	{"emitter.second.share", "a part of the cathode that is another surface", "", true, "To find out: move the beam over the cathode; the current of a long line changes by another factor than that of a short one."},
	{"collector.stray_light", "light on the collector", "", true, "To find out: read the reverse plateau over the current at zero volts."},
	{"collector.reverse_ratio", "a reverse plateau over the current at zero volts", "", true, "To find out: read both off the curve of your brightest line."},
	{"collector.least_stopping_V", "a stopping voltage of the longest line", "V", false, "To find out: read it off your curve of that line."},
	{"lamp.brightest_A", "a brightest line that drives at zero volts", "A", false, "To find out: read that current."},
	{"lamp.flicker", "readings that wander", "", true, "To find out: read the same voltage ten times at a large current; the relative scatter is that."},
	{"meter.digit_over_brightest", "a last digit over the current of the brightest line at zero volts", "", true, "To find out: divide the one by the other."},
	{"meter.full_scale_over_largest", "a full scale over the largest current", "", false, "You know your own meter."},
	{"meter.divisions", "a needle in place of digits", "", false, "You know your own meter."},
	{"shared.line_shift_V", "cutoffs that the lamp's spot shifts from line to line", "V", false, "To find out: move the lamp a little and read one line's cutoff again."},
	{"plan.stop_beyond_V", "a sweep beyond the last cutoff", "V", false, "You know your own sweep."},
	{"geometry.radius_ratio", "a ratio of emitter's to collector's radius", "", false, "To find out: look into the cell; does the current still rise at several volts of acceleration, the collector is the small one."},
	{"geometry.kind", "a geometry", "", false, "To find out: look into the cell."},
	{"leakage.resistance_ohm", "a leakage resistance", "Ω", false, "To find out: take a curve with the shutter closed; its slope is the leakage."},
	{"filter.blocking", "filters that pass neighbour lines by", "", true, "To find out: put the filter of a longer line in front of the next shorter one; what current is left, they let through."},
	{"plan.step_V", "steps of voltage", "V", false, "You know your own steps."},
	{"plan.start_V", "a start of the sweep", "V", false, "You know your own sweep."},
	{"meter.resolution_A", "a last digit", "A", false, "You know your own meter."},
	{"emitter.work_function_eV", "an emitter's work function", "eV", false, "To find out: the longest wavelength that still gives a current has about this photon energy."},
	{"collector.work_function_eV", "a collector's work function", "eV", false, "To find out: it is minus the intercept of your line, as far as that is right; a yellow cutoff near zero volts speaks of a large one."},
}

// PropertyOf returns the words of a key of the scenario.
func PropertyOf(key string) Property {
	for _, p := range properties {
		if key == p.Key || strings.HasSuffix(key, "."+p.Key) {
			return p
		}
	}
	return Property{Key: key, Name: "a number " + key, FindOut: "The key is explained by stopvolt scenarios --keys."}
}

// beyond says on which side of a limit benches have the tail.
func (p Property) beyond(t study.Tail) string {
	if t.Variable.Words != nil {
		word := t.Variable.Word(t.Limit)
		if t.Above {
			return fmt.Sprintf("%s other than %s", p.Name, word)
		}
		return fmt.Sprintf("%s of %s", p.Name, word)
	}
	limit := fmt.Sprintf("%.2g", t.Limit)
	switch {
	case p.Share:
		limit = Share(t.Limit)
	case p.Unit != "":
		limit = Quantity(t.Limit, p.Unit)
	}
	side := "above"
	if t.Above {
		side = "up to"
	}
	if t.Limit == 0 && !t.Above {
		return p.Name
	}
	return fmt.Sprintf("%s %s %s", p.Name, side, limit)
}
