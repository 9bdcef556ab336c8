package main

import (
	"fmt"
	"math"
	"strings"

	"stopvolt/instrument"
	"stopvolt/physics"
	"stopvolt/sim/knee"
)

// A cause is a step of the knee in plain words, with the number that matters.
type cause struct {
	name, words string
	// number is what the step is about, such as "kT = 25.4 meV".
	number string
}

// causesOf tells the steps of a knee.
func causesOf(s knee.Steps) []cause {
	causes := []cause{cornerCause(s)}
	last := len(s.Steps) - 1
	for i := 1; i < last; i++ {
		causes = append(causes, effectCause(s, i))
	}
	return append(causes, benchCause(s.Steps[last], s.Truth))
}

// cornerCause tells what the textbook draws.
func cornerCause(s knee.Steps) cause {
	if s.Limit <= 0 {
		return cause{"cold, and straight across",
			"The photons do not reach the emitter's work function: a cold metal gives no electrons, and the current is zero.",
			fmt.Sprintf("photon energy less work function = %s", quantity(s.Limit, "eV"))}
	}
	return cause{"cold, and straight across",
		fmt.Sprintf("The textbook's corner. Light frees electrons from all depths of the metal, so they have all energies up to %.3f eV, and the current falls from the start. It meets zero in a sharp corner. (It would be a vertical step only if all electrons had the largest energy.)", s.Limit),
		fmt.Sprintf("largest energy = %.3f eV", s.Limit)}
}

// effectCause tells step i, which adds an effect.
func effectCause(s knee.Steps, i int) cause {
	step, before := s.Steps[i], s.Steps[i-1]
	name := strings.Join(step.Effects, ", ")
	moved := fmt.Sprintf("At the true cutoff the current is %s instead of %s.", quantity(step.AtTruth, "A"), quantity(before.AtTruth, "A"))
	if now := quantity(step.AtTruth, "A"); now == quantity(before.AtTruth, "A") {
		moved = fmt.Sprintf("At the true cutoff the current is %s, as before.", now)
	}
	tell, known := causeWords[name]
	if !known {
		return cause{name, moved, ""}
	}
	c := tell(s, i)
	c.words += " " + moved
	return c
}

// causeWords tells the effects that change the mean current. An effect that is
// not here is told by its name.
var causeWords = map[string]func(s knee.Steps, i int) cause{
	"contact potential": func(s knee.Steps, i int) cause {
		a := s.Steps[i].Apparatus
		contact := a.Collector.WorkFunction - a.Emitter.WorkFunction
		return cause{"the collector is another metal",
			fmt.Sprintf("The collector's work function is %g eV and the emitter's %g eV. Wired together they differ by %s, which moves the whole curve, and the corner to the true cutoff: photon energy less the collector's work function. The emitter's has dropped out.",
				a.Collector.WorkFunction, a.Emitter.WorkFunction, quantity(contact, "V")),
			fmt.Sprintf("contact potential = %s", quantity(contact, "V"))}
	},
	"angular spread": func(s knee.Steps, i int) cause {
		const short = 0.1
		now, before := s.Steps[i].At(s.Truth-short), s.Steps[i-1].At(s.Truth-short)
		return cause{"electrons leave in all directions",
			fmt.Sprintf("Of the energy of an electron that leaves aslant, only a part drives it across. The corner is gone though nothing is warm yet: %s of the straight electrons' current is left at %g V before the cutoff.", share(now/before), short),
			gapNumber(s.Steps[i].Apparatus.Geometry)}
	},
	"thermal smearing": func(s knee.Steps, i int) cause {
		t := s.Steps[i].Apparatus.Emitter.Temperature
		kT := quantity(physics.ThermalEnergy(t), "eV")
		return cause{"heat of the electrons in the metal (Fermi smearing)",
			fmt.Sprintf("At %g K kT is %s: a few electrons have more energy than a cold metal allows. The current has no end any more; beyond the cutoff it falls to 1/e in every %s.", t, kT, strings.TrimSuffix(kT, "eV")+"V"),
			"kT = " + kT}
	},
	"band and multiplet": func(s knee.Steps, i int) cause {
		low, high := photonSpan(s.Steps[i].Apparatus, s.Light)
		return cause{"more than one spectral line",
			fmt.Sprintf("Lines at %s nm arrive together. Their photon energies span %s, and each has a cutoff of its own; their mean is still where the nominal wavelength puts it.", arrivingLines(s.Light), quantity(high-low, "eV")),
			fmt.Sprintf("span of the photon energies = %s", quantity(high-low, "eV"))}
	},
	"nominal wavelength": func(s knee.Steps, i int) cause {
		h := s.Steps[i].Apparatus.World.HOverE
		off := physics.PhotonEnergy(h, s.Light.Effective()) - physics.PhotonEnergy(h, s.Light.Nominal)
		return cause{"the light is not quite what the filter says",
			fmt.Sprintf("The filter says %.1f nm, and what arrives has a mean of %.2f nm. The true cutoff goes by the filter, and the curve moves by %s.", s.Light.Nominal, s.Light.Effective(), quantity(off, "V")),
			fmt.Sprintf("photon energy off by %s", quantity(off, "eV"))}
	},
	"patches": func(s knee.Steps, i int) cause {
		a := s.Steps[i].Apparatus
		spread := math.Hypot(a.Emitter.PatchSpread, a.Collector.PatchSpread)
		return cause{"patches on the electrodes",
			fmt.Sprintf("The work functions vary from place to place, by %s on the emitter and %s on the collector, so that each pair of patches has a cutoff of its own.",
				quantity(a.Emitter.PatchSpread, "eV"), quantity(a.Collector.PatchSpread, "eV")),
			fmt.Sprintf("spread = %s", quantity(spread, "eV"))}
	},
	"emitter metal on the collector": func(s knee.Steps, i int) cause {
		a := s.Steps[i].Apparatus
		return cause{"emitter metal on the collector",
			fmt.Sprintf("%s of the collector is covered with the emitter's metal, whose lower work function has its cutoff %s further out.", share(a.Collector.EmitterCoating), quantity(a.Collector.WorkFunction-a.Emitter.WorkFunction, "V")),
			fmt.Sprintf("covered part = %s", share(a.Collector.EmitterCoating))}
	},
	"reverse emission": func(s knee.Steps, i int) cause {
		step := s.Steps[i]
		words := fmt.Sprintf("%s of the light falls on the collector, and electrons flow backwards: at the far end the current is %s.", share(step.Apparatus.Collector.StrayLight), quantity(step.I[len(step.I)-1], "A"))
		if v, ok := step.Zero(); ok {
			words += fmt.Sprintf(" The curve now crosses zero, %s before the true cutoff.", quantity(s.Truth-v, "V"))
		}
		return cause{"light on the collector (reverse emission)", words,
			fmt.Sprintf("stray light = %s", share(step.Apparatus.Collector.StrayLight))}
	},
	"reflection at the collector": func(s knee.Steps, i int) cause {
		r := s.Steps[i].Apparatus.Collector.Reflection
		return cause{"slow electrons bounce off the collector",
			fmt.Sprintf("It throws back %s of those that arrive with no energy to spare, and fewer of the faster ones.", share(r.Share)),
			fmt.Sprintf("thrown back = %s", share(r.Share))}
	},
	"reverse threshold": func(s knee.Steps, i int) cause {
		phi := s.Steps[i].Apparatus.Reverse.Threshold
		return cause{"the spot that the stray light hits is another metal",
			fmt.Sprintf("Its work function is %g eV, not the collector's %g eV, and sets how many electrons flow backwards.", phi, s.Steps[i].Apparatus.Collector.WorkFunction),
			fmt.Sprintf("work function of the spot = %g eV", phi)}
	},
	"reverse geometry": func(s knee.Steps, i int) cause {
		return cause{"electrons start backwards from one spot",
			"The stray light falls on one spot of the collector, and the way back from there is not the way there in reverse.", ""}
	},
	"stray light by wavelength": func(s knee.Steps, i int) cause {
		a := s.Steps[i].Apparatus
		at := share(a.Collector.Stray(s.Light.Nominal))
		return cause{"short waves stray more",
			fmt.Sprintf("At this wavelength %s of the light falls on the collector, where %g nm has %s.", at, a.Collector.StrayWavelength, share(a.Collector.StrayLight)),
			"stray light = " + at}
	},
	"neighbour line": func(s knee.Steps, i int) cause {
		leaks := s.Light.Filter.Blocking
		return cause{"a neighbour line leaks through the filter",
			fmt.Sprintf("The filter lets %s of the light through where it should block. The electrons of a shorter line are faster, and go on flowing beyond the cutoff of this one.", share(leaks)),
			"blocking = " + share(leaks)}
	},
	"ambient light": func(s knee.Steps, i int) cause {
		var power float64
		for _, line := range s.Steps[i].Apparatus.Ambient.Spectrum() {
			power += line.Weight
		}
		return cause{"light of the room",
			"It frees electrons of its own at every setting, also with the shutter closed.",
			fmt.Sprintf("light of the room = %s", quantity(power, "W"))}
	},
	"thermionic emission": func(s knee.Steps, i int) cause {
		t := s.Steps[i].Apparatus.Emitter.Temperature
		return cause{"electrons that heat alone drives out",
			fmt.Sprintf("At %g K a few electrons leave without any light.", t),
			fmt.Sprintf("temperature = %g K", t)}
	},
	"magnetic field": func(s knee.Steps, i int) cause {
		c := cause{name: "a magnetic field", words: "It bends the way of the electrons, so that less of their energy drives them across."}
		if g, ok := s.Steps[i].Apparatus.Geometry.(physics.MagneticPlanes); ok {
			c.number = fmt.Sprintf("field along the plates = %g µT", g.Field)
		}
		return c
	},
	"emission beyond the threshold form": func(s knee.Steps, i int) cause {
		fermi := s.Steps[i].Apparatus.Emitter.FermiEnergy
		return cause{"the band of the metal has a bottom",
			fmt.Sprintf("The simple law of the energies holds close to the threshold. In a band %g eV deep there are fewer electrons further down, and slow ones escape in a narrower cone.", fermi),
			fmt.Sprintf("Fermi energy = %g eV", fermi)}
	},
	"leakage": func(s knee.Steps, i int) cause {
		l := s.Steps[i].Apparatus.Leakage
		at := l.Current(s.Truth)
		return cause{"leakage over the glass and through the socket",
			strings.TrimSuffix(leakageWords(l), ".") + fmt.Sprintf(": a straight line is added to the whole curve, %s at the true cutoff.", quantity(at, "A")),
			fmt.Sprintf("leakage = %s", quantity(at, "A"))}
	},
}

// gapNumber is the number that tells how far the angle counts.
func gapNumber(g physics.Geometry) string {
	switch g := g.(type) {
	case physics.Spheres:
		return fmt.Sprintf("q = (radius ratio)² = %.3g", g.RadiusRatio*g.RadiusRatio)
	case physics.Cylinders:
		return fmt.Sprintf("radius ratio = %.3g", g.RadiusRatio)
	case physics.MagneticPlanes:
		return fmt.Sprintf("gap = %g mm", g.Gap)
	case *physics.RingOverDisk:
		return fmt.Sprintf("height of the ring = %g radii of the emitter", g.Height)
	}
	return ""
}

// photonSpan returns the least and the greatest photon energy in eV of the lines
// that carry a thousandth of a light's power or more.
func photonSpan(a instrument.Apparatus, l instrument.Light) (low, high float64) {
	spectrum := l.Spectrum()
	var power float64
	for _, line := range spectrum {
		power += line.Weight
	}
	low, high = math.Inf(1), math.Inf(-1)
	for _, line := range spectrum {
		if line.Weight >= 1e-3*power {
			e := physics.PhotonEnergy(a.World.HOverE, line.Wavelength)
			low, high = min(low, e), max(high, e)
		}
	}
	return low, high
}

// benchCause tells the readings of the meter, and what else the bench has that
// does not show in the mean current.
func benchCause(s knee.Step, truth float64) cause {
	nearest, u := math.Inf(1), 0.0
	for _, r := range s.Readings {
		if d := math.Abs(r.Retarding - truth); d < nearest {
			nearest, u = d, r.Uncertainty
		}
	}
	words := fmt.Sprintf("What the meter shows in one sweep: near the cutoff each reading has a standard uncertainty of %s.", quantity(u, "A"))
	if len(s.Effects) > 0 {
		words += " What else the bench has and the curve does not show: " + strings.Join(s.Effects, ", ") + "."
	}
	return cause{"the meter, and the noise", words, fmt.Sprintf("noise of a reading = %s", quantity(u, "A"))}
}
