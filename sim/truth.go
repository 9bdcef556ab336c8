package sim

import (
	"stopvolt/instrument"
	"stopvolt/physics"
)

// Truth is what an ideal experiment with the apparatus would find.
type Truth struct {
	// HOverE is that of the apparatus' world in V s.
	HOverE float64
	// CollectorWorkFunction is the mean over the bare collector in eV.
	CollectorWorkFunction float64
	// Stopping has the true stopping voltage in V of each light,
	//
	//	(hc/lambda - phi_c)/e,
	//
	// with lambda the nominal wavelength in vacuum; below zero for light that
	// ejects electrons only with the help of an accelerating voltage.
	Stopping []float64
}

// TruthOf returns the truth about an apparatus.
func TruthOf(a instrument.Apparatus) Truth {
	t := Truth{HOverE: a.World.HOverE, CollectorWorkFunction: a.Collector.WorkFunction}
	for _, l := range a.Lights {
		t.Stopping = append(t.Stopping, physics.PhotonEnergy(a.World.HOverE, l.Nominal)-a.Collector.WorkFunction)
	}
	return t
}
