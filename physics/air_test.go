package physics_test

import (
	"testing"

	"gonum.org/v1/gonum/floats/scalar"

	"stopvolt/physics"
)

// The pair for the mercury green line is the published one that goes with
// Ciddor's formula (Appl. Opt. 35, 1566 (1996)).
func TestMercuryGreenInVacuum(t *testing.T) {
	if got := physics.VacuumWavelength(546.075); !scalar.EqualWithinAbs(got, 546.227, 5e-4) {
		t.Errorf("546.075 nm in air is %.4f nm in vacuum, want 546.227", got)
	}
}

func TestVacuumWavelengthInvertsTheIndex(t *testing.T) {
	for _, line := range physics.Mercury() {
		vacuum := physics.VacuumWavelength(line.Wavelength)
		if got := vacuum / physics.RefractiveIndex(vacuum); !scalar.EqualWithinRel(got, line.Wavelength, 1e-15) {
			t.Errorf("%g nm in air comes back as %.10f nm", line.Wavelength, got)
		}
	}
}

// hc/e = 1239.841984... eV nm is exact since 2019 (CODATA 2018).
func TestPhotonEnergyOfAVacuumWavelength(t *testing.T) {
	got := physics.PhotonEnergy(physics.HOverE, 435.8328) * physics.VacuumWavelength(435.8328)
	if !scalar.EqualWithinRel(got, 1239.8419843320026, 1e-14) {
		t.Errorf("photon energy times wavelength is %.12f eV nm", got)
	}
}
