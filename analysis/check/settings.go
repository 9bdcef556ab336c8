package check

import "fmt"

// fewestSettings is the number of wavelengths that a line with an uncertainty needs.
const fewestSettings = 3

// findSettings looks for settings that no line can use: too few readings, no
// wavelength, or one that another setting has.
func findSettings(s *sheet) []Finding {
	var all []Finding
	seen := make(map[float64]string)
	// A setting that was left out for its sign or unit is spoken of already.
	good := s.dropped
	for _, w := range s.sweeps {
		switch {
		case !w.usable:
			all = append(all, Finding{Setting: w.name,
				Says: fmt.Sprintf("there are %d readings at fewer than %d voltages", len(w.taken), fewestVoltages),
				Do:   "take the sweep again, with twenty voltages or more"})
			continue
		case w.wavelength == 0:
			all = append(all, Finding{Setting: w.name,
				Says: "nothing says which wavelength it was taken with",
				Do:   "write the wavelength into the file, or into its name"})
			continue
		case seen[w.wavelength] != "":
			all = append(all, Finding{Setting: w.name,
				Says: fmt.Sprintf("its wavelength, %g nm, is also that of %s", w.wavelength, seen[w.wavelength]),
				Do:   "look at the filter; one of the two is mislabelled"})
			continue
		}
		seen[w.wavelength] = w.name
		good++
	}
	if good < fewestSettings {
		all = append(all, Finding{
			Says: fmt.Sprintf("there are %d usable wavelengths, and a line needs %d to say how well it fits", good, fewestSettings),
			Do:   "take one more line of the lamp"})
	}
	return all
}
