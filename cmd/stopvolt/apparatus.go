package main

import (
	"fmt"
	"math"
	"strings"

	"stopvolt/cmd/stopvolt/internal/report"
	"stopvolt/cmd/stopvolt/internal/words"
	"stopvolt/instrument"
	"stopvolt/physics"
	"stopvolt/sim"
)

// apparatusBlocks tell an apparatus in words, with a table of its lights.
func apparatusBlocks(a instrument.Apparatus) []report.Block {
	return []report.Block{
		{Terms: apparatusTerms(a)},
		{Table: lightTable(a)},
	}
}

// apparatusTerms tell the parts of an apparatus that are not ideal.
func apparatusTerms(a instrument.Apparatus) []report.Term {
	var terms []report.Term
	for _, part := range []struct {
		name string
		text string
	}{
		{"Emitter", emitterWords(a.Emitter)},
		{"Collector", collectorWords(a)},
		{"Gap", words.English().Geometry(a.Geometry)},
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
			terms = append(terms, report.Term{Name: part.name, Text: part.text})
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
		fmt.Sprintf("%g K, so that kT is %s", e.Temperature, quantity(physics.ThermalEnergy(e.Temperature), "eV")),
		when(e.Yield > 0, "%g electrons for each photon of %g nm", e.Yield, e.YieldWavelength),
		when(e.PatchSpread > 0, "patches whose work functions spread by %s", quantity(e.PatchSpread, "eV")),
		when(e.FermiEnergy > 0, "a band %g eV deep", e.FermiEnergy),
		when(e.Area > 0, "%g cm² warm enough to count for thermionic emission", e.Area),
	)
}

func collectorWords(a instrument.Apparatus) string {
	c := a.Collector
	return sentence(
		fmt.Sprintf("work function %g eV, which sets the true cutoff; the contact potential is %s",
			c.WorkFunction, quantity(c.WorkFunction-a.Emitter.WorkFunction, "V")),
		when(c.StrayLight > 0, "%s of the light falls on it and ejects electrons there, %g for each photon of %g nm",
			share(c.StrayLight), c.Yield, c.YieldWavelength),
		when(c.StrayExponent != 0, "that part goes as the wavelength to the power of %g", -c.StrayExponent),
		when(c.EmitterCoating > 0, "%s of it is covered with the emitter's metal", share(c.EmitterCoating)),
		when(c.PatchSpread > 0, "patches whose work functions spread by %s", quantity(c.PatchSpread, "eV")),
		when(c.Reflection.Share > 0, "it throws back %s of the slowest electrons", share(c.Reflection.Share)),
		when(a.Reverse.Threshold > 0, "the spot that stray light hits has a work function of %g eV", a.Reverse.Threshold),
	)
}

func ambientWords(l instrument.Light) string {
	var power float64
	for _, line := range l.Spectrum() {
		power += line.Weight
	}
	return sentence(when(power > 0, "%s reach the cell at every setting", quantity(power, "W")))
}

func leakageWords(l instrument.Leakage) string {
	return sentence(
		when(l.Conductance > 0, "%s between the electrodes", quantity(1/l.Conductance, "Ω")),
		when(l.Dark != 0, "a constant %s", quantity(l.Dark, "A")),
	)
}

func lampWords(l instrument.Lamp) string {
	return sentence(
		when(l.WarmUp > 0, "it lacks %s of its power when lit, and warms up in %g s", share(l.WarmUp), l.WarmUpTime),
		when(l.Lead > 0, "it burns for %g s before the first reading", l.Lead),
		when(l.Drift > 0, "it drifts by up to %s an hour", share(3600*l.Drift)),
		when(l.Flicker > 0, "it flickers by %s", share(l.Flicker)),
		when(l.Ripple > 0, "it ripples by %s at twice the mains frequency", share(l.Ripple)),
	)
}

func supplyWords(s instrument.Supply) string {
	return sentence(
		when(s.Offset > 0 || s.Gain > 0, "its dial is off by up to %s and %s", quantity(s.Offset, "V"), share(s.Gain)),
		when(s.Ripple > 0, "it ripples by %s", quantity(s.Ripple, "V")),
	)
}

func leadsWords(l instrument.Leads, m instrument.Mains) string {
	return sentence(
		when(l.Capacitance > 0, "%s of cell and leads", quantity(l.Capacitance, "F")),
		when(l.Absorption > 0, "insulation that remembers the voltage"),
		when(m.Hum > 0, "a hum of %s at %g Hz", quantity(m.Hum, "A"), m.Frequency),
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
		kind = fmt.Sprintf("a needle over %g divisions, full scale %s", m.Needle.Divisions, quantity(fine.Highest, "A"))
	case len(ranges) > 1:
		kind = fmt.Sprintf("digital, %d ranges from %s to %s", len(ranges), quantity(fine.Highest, "A"), quantity(last.Highest, "A"))
	case math.IsInf(fine.Highest, 0):
		kind = "digital, of one range"
	default:
		kind = fmt.Sprintf("digital, full scale %s", quantity(fine.Highest, "A"))
	}
	step := "one step of the display is"
	if m.Needle.Present() {
		step = "the eye reads to"
	}
	johnson := fine.JohnsonNoise(dwell)
	return sentence(kind,
		when(fine.Resolution > 0, "%s %s", step, quantity(fine.Resolution, "A")),
		when(johnson > 0, "its resistor makes a noise of %s in a reading", quantity(johnson, "A")),
		when(fine.Offset > 0, "its zero is off by up to %s", quantity(fine.Offset, "A")),
		when(m.Gain > 0, "its scale by up to %s", share(m.Gain)),
		when(fine.Burden > 0, "%s of burden", quantity(fine.Burden, "Ω")),
		when(m.Response > 0, "it follows within %g s", m.Response),
		when(m.Drift > 0, "its zero drifts by up to %s an hour", quantity(3600*m.Drift, "A")),
	)
}

func voltmeterWords(v instrument.Voltmeter) string {
	return sentence(
		when(v.Offset > 0 || v.Gain > 0, "off by up to %s and %s", quantity(v.Offset, "V"), share(v.Gain)),
		when(v.Resolution > 0, "one step of the display is %s", quantity(v.Resolution, "V")),
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

// lightTable lists the settings of the light with their true cutoffs.
func lightTable(a instrument.Apparatus) *report.Table {
	t := &report.Table{
		Caption: "The settings of the light, as they reach the cell",
		Columns: append([]report.Column{{Name: "setting"}}, append(report.Numbered("wavelength / nm", "photon energy / eV"),
			report.Column{Name: "lines that arrive / nm"}, report.Column{Name: "power", Numbers: true}, report.Column{Name: "true cutoff / V", Numbers: true})...),
	}
	truth := sim.TruthOf(a)
	for i, l := range a.Lights {
		var power float64
		for _, line := range l.Spectrum() {
			power += line.Weight
		}
		t.Rows = append(t.Rows, []string{l.Name, fmt.Sprintf("%.1f", l.Nominal),
			fmt.Sprintf("%.3f", physics.PhotonEnergy(a.World.HOverE, l.Nominal)),
			words.Lines(l), quantity(power, "W"), fmt.Sprintf("%.4f", truth.Stopping[i])})
	}
	return t
}
