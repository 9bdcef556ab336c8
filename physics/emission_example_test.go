package physics_test

import (
	"fmt"

	"stopvolt/physics"
)

// The electrons that violet light frees from a film of 1.9 eV at room temperature, and
// how many of them have enough energy for a barrier at the largest energy that a cold
// metal would give: a few in a thousand, which is why the current has no end.
func ExampleEmission() {
	photon := physics.PhotonEnergy(physics.HOverE, 404.656)
	e := physics.Emission{Excess: photon - 1.9, Thermal: physics.ThermalEnergy(295)}
	fmt.Printf("a photon of %.3f eV leaves %.3f eV\n", photon, e.Excess)
	share := physics.Spheres{RadiusRatio: 1}.Share(e, e.Excess)
	fmt.Printf("at the cutoff %.2f per mille cross between plane plates\n", 1000*share)
	// Output:
	// a photon of 3.063 eV leaves 1.163 eV
	// at the cutoff 0.78 per mille cross between plane plates
}
