package page

import (
	"fmt"

	"stopvolt/cmd/stopvolt/internal/words"
	"stopvolt/instrument"
	"stopvolt/physics"
	"stopvolt/sim"
)

// apparatusBlocks tell an apparatus in words, with a table of its lights.
func apparatusBlocks(a instrument.Apparatus) []Block {
	return []Block{
		{Terms: words.Apparatus(a)},
		{Table: lightTable(a)},
	}
}

// lightTable lists the settings of the light with their true cutoffs.
func lightTable(a instrument.Apparatus) *Table {
	t := &Table{
		Caption: "The settings of the light, as they reach the cell",
		Columns: append([]Column{{Name: "setting"}}, append(Numbered("wavelength / nm", "photon energy / eV"),
			Column{Name: "lines that arrive / nm"}, Column{Name: "power", Numbers: true}, Column{Name: "true cutoff / V", Numbers: true})...),
	}
	truth := sim.TruthOf(a)
	for i, l := range a.Lights {
		var power float64
		for _, line := range l.Spectrum() {
			power += line.Weight
		}
		t.Rows = append(t.Rows, []string{l.Name, fmt.Sprintf("%.1f", l.Nominal),
			fmt.Sprintf("%.3f", physics.PhotonEnergy(a.World.HOverE, l.Nominal)),
			words.English().Lines(l), words.Quantity(power, "W"), fmt.Sprintf("%.4f", truth.Stopping[i])})
	}
	return t
}
