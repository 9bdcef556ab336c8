package physics_test

import (
	"testing"

	"stopvolt/physics"
)

// Common practice, no source: window glass passes no light that a magnesium
// emitter needs, whose threshold lies near 340 nm, since it stops the strong
// mercury lines at 313 nm and below; films of alkali metal respond to visible
// light.
func TestGlassKeepsOutWhatMagnesiumNeeds(t *testing.T) {
	magnesium, _ := physics.WorkFunction("Mg")
	caesium, _ := physics.WorkFunction("Cs")
	visible := 0
	for _, line := range physics.Mercury() {
		photon := physics.PhotonEnergy(physics.HOverE, line.Wavelength)
		if photon > magnesium {
			t.Errorf("%g nm passes the glass and ejects electrons from magnesium", line.Wavelength)
		}
		if line.Wavelength > 400 && photon > caesium {
			visible++
		}
	}
	if visible == 0 {
		t.Error("no visible mercury line ejects electrons from caesium")
	}
}

func TestWorkFunctionsAreOfElements(t *testing.T) {
	for _, symbol := range physics.Elements() {
		if phi, ok := physics.WorkFunction(symbol); !ok || phi < 2 || phi > 6 {
			t.Errorf("%s: %g eV", symbol, phi)
		}
	}
	if _, ok := physics.WorkFunction("Xx"); ok {
		t.Error("Xx has a work function")
	}
	// The alkali metals fall from lithium to caesium.
	before := 3.0
	for _, symbol := range []string{"Li", "Na", "K", "Rb", "Cs"} {
		phi, _ := physics.WorkFunction(symbol)
		if phi >= before {
			t.Errorf("%s has %g eV, and the one above it %g eV", symbol, phi, before)
		}
		before = phi
	}
}
