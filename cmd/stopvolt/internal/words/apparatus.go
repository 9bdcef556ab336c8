package words

import (
	"fmt"
	"math"
	"strings"

	"stopvolt/instrument"
	"stopvolt/physics"
)

// A Term is a word with what it stands for.
type Term struct {
	Name, Text string
}

// Apparatus tells the parts of an apparatus that are not ideal.
func Apparatus(a instrument.Apparatus) []Term {
	var terms []Term
	for _, part := range []struct {
		name string
		text string
	}{
		{"Emitter (photocathode)", emitterWords(a.Emitter)},
		{"Collector (anode)", collectorWords(a)},
		{"Gap", English().Geometry(a.Geometry)},
		{"Light of the room", ambientWords(a.Ambient)},
		{"Leakage", leakageWords(a.Leakage)},
		{"Lamp", lampWords(a.Lamp)},
		{"Supply", supplyWords(a.Supply)},
		{"Leads", leadsWords(a.Leads, a.Mains)},
		{"Ammeter", meterWords(a.Meter, a.Plan.Dwell)},
		{"Voltmeter", voltmeterWords(a.Voltmeter)},
		{"Sweep", planWords(a.Plan)},
	} {
		if part.text != "" {
			terms = append(terms, Term{Name: part.name, Text: part.text})
		}
	}
	return terms
}

// sentence joins clauses with semicolons; without any it is empty.
func sentence(clauses ...string) string {
	var said []string
	for _, c := range clauses {
		if c != "" {
			said = append(said, c)
		}
	}
	if said == nil {
		return ""
	}
	return strings.ToUpper(said[0][:1]) + said[0][1:] + strings.Join(append([]string{""}, said[1:]...), "; ") + "."
}

// when is a clause that is said only where it applies.
func when(applies bool, format string, args ...any) string {
	if !applies {
		return ""
	}
	return fmt.Sprintf(format, args...)
}

func emitterWords(e instrument.Emitter) string {
	return sentence(
		fmt.Sprintf("work function %g eV", e.WorkFunction),
		fmt.Sprintf("%g K, so that kT is %s", e.Temperature, Quantity(physics.ThermalEnergy(e.Temperature), "eV")),
		when(e.Yield > 0, "%g electrons for each photon of %g nm", e.Yield, e.YieldWavelength),
		when(e.PatchSpread > 0, "patches whose work functions spread by %s", Quantity(e.PatchSpread, "eV")),
		when(e.FermiEnergy > 0, "a band %g eV deep", e.FermiEnergy),
		when(e.Film.Exponent > 0, "a film whose energies end as the power %g of the distance to the edge of its band, %g eV below the Fermi level", e.Film.Exponent, e.FilmEdge),
		when(e.Loss.Share > 0, "%s of the electrons lose %g eV on the average before they leave", Share(e.Loss.Share), e.Loss.Energy),
		when(e.Second.Share > 0, "%s of it is another surface of %g eV, with %g electrons for each such photon", Share(e.Second.Share), e.Second.WorkFunction, e.Second.Yield),
		when(e.Second.Film.Exponent > 0, "that part is a film, of power %g, edge %g eV deep", e.Second.Film.Exponent, e.Second.FilmEdge),
		when(e.Area > 0, "%g cm² warm enough to count for thermionic emission", e.Area),
	)
}

func collectorWords(a instrument.Apparatus) string {
	c := a.Collector
	return sentence(
		fmt.Sprintf("work function %g eV, which sets the true cutoff; the contact potential is %s",
			c.WorkFunction, Quantity(c.WorkFunction-a.Emitter.WorkFunction, "V")),
		when(c.StrayLight > 0, "%s of the light falls on it and ejects electrons there, %g for each photon of %g nm",
			Share(c.StrayLight), c.Yield, c.YieldWavelength),
		when(c.StrayExponent != 0, "that part goes as the wavelength to the power of %g", -c.StrayExponent),
		when(c.EmitterCoating > 0, "%s of it is covered with the emitter's metal", Share(c.EmitterCoating)),
		when(c.PatchSpread > 0, "patches whose work functions spread by %s", Quantity(c.PatchSpread, "eV")),
		when(c.Reflection.Share > 0, "it throws back %s of the slowest electrons", Share(c.Reflection.Share)),
		when(a.Reverse.Threshold > 0, "the spot that stray light hits has a work function of %g eV", a.Reverse.Threshold),
	)
}

func ambientWords(l instrument.Light) string {
	var power float64
	for _, line := range l.Spectrum() {
		power += line.Weight
	}
	return sentence(when(power > 0, "%s reach the cell at every setting", Quantity(power, "W")))
}

func leakageWords(l instrument.Leakage) string {
	return sentence(
		when(l.Conductance > 0, "%s between the electrodes", Quantity(1/l.Conductance, "Ω")),
		when(l.Dark != 0, "a constant %s", Quantity(l.Dark, "A")),
	)
}

func lampWords(l instrument.Lamp) string {
	return sentence(
		when(l.WarmUp > 0, "it lacks %s of its power when lit, and warms up in %g s", Share(l.WarmUp), l.WarmUpTime),
		when(l.Lead > 0, "it burns for %g s before the first reading", l.Lead),
		when(l.Drift > 0, "it drifts by up to %s an hour", Share(3600*l.Drift)),
		when(l.Flicker > 0, "it flickers by %s", Share(l.Flicker)),
		when(l.Ripple > 0, "it ripples by %s at twice the mains frequency", Share(l.Ripple)),
	)
}

func supplyWords(s instrument.Supply) string {
	return sentence(
		when(s.Offset > 0 || s.Gain > 0, "its dial is off by up to %s and %s", Quantity(s.Offset, "V"), Share(s.Gain)),
		when(s.Ripple > 0, "it ripples by %s", Quantity(s.Ripple, "V")),
	)
}

func leadsWords(l instrument.Leads, m instrument.Mains) string {
	return sentence(
		when(l.Capacitance > 0, "%s of cell and leads", Quantity(l.Capacitance, "F")),
		when(l.Absorption > 0, "insulation that remembers the voltage"),
		when(m.Hum > 0, "a hum of %s at %g Hz", Quantity(m.Hum, "A"), m.Frequency),
	)
}

func meterWords(m instrument.Meter, dwell float64) string {
	ranges := m.Ranges()
	if len(ranges) == 0 {
		return ""
	}
	fine := ranges[0]
	kind := ""
	switch last := ranges[len(ranges)-1]; {
	case m.Needle.Present():
		kind = fmt.Sprintf("a needle over %g divisions, full scale %s", m.Needle.Divisions, Quantity(fine.Highest, "A"))
	case len(ranges) > 1:
		kind = fmt.Sprintf("digital, %d ranges from %s to %s", len(ranges), Quantity(fine.Highest, "A"), Quantity(last.Highest, "A"))
	case math.IsInf(fine.Highest, 0):
		kind = "digital, of one range"
	default:
		kind = fmt.Sprintf("digital, full scale %s", Quantity(fine.Highest, "A"))
	}
	step := "one step of the display is"
	if m.Needle.Present() {
		step = "the eye reads to"
	}
	johnson := fine.JohnsonNoise(dwell)
	return sentence(kind,
		when(fine.Resolution > 0, "%s %s", step, Quantity(fine.Resolution, "A")),
		when(johnson > 0, "its resistor makes a noise of %s in a reading", Quantity(johnson, "A")),
		when(fine.Offset > 0, "its zero is off by up to %s", Quantity(fine.Offset, "A")),
		when(m.Gain > 0, "its scale by up to %s", Share(m.Gain)),
		when(fine.Burden > 0, "%s of burden", Quantity(fine.Burden, "Ω")),
		when(m.Response > 0, "it follows within %g s", m.Response),
		when(m.Drift > 0, "its zero drifts by up to %s an hour", Quantity(3600*m.Drift, "A")),
	)
}

func voltmeterWords(v instrument.Voltmeter) string {
	return sentence(
		when(v.Offset > 0 || v.Gain > 0, "off by up to %s and %s", Quantity(v.Offset, "V"), Share(v.Gain)),
		when(v.Resolution > 0, "one step of the display is %s", Quantity(v.Resolution, "V")),
	)
}

func planWords(p instrument.Plan) string {
	return sentence(
		fmt.Sprintf("retarding voltages from %g to %g V in steps of %g V, %s", p.Start, p.Stop, p.Step, instrument.OrderNames()[p.Order]),
		when(p.FineWidth > 0, "%g V about the knee in steps of %g V", p.FineWidth, p.FineStep),
		fmt.Sprintf("each reading waits %g s and takes %g s", p.Turn+p.Settle, p.Dwell),
		when(p.Repeats > 1, "%d readings at each voltage", p.Repeats),
		when(p.DarkCurves, "a curve in the dark before and after"),
	)
}
