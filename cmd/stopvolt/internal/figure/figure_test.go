package figure

import "testing"

func TestCurves(t *testing.T)       { matches(t, ExampleCurves, "curves") }
func TestConstruction(t *testing.T) { matches(t, ExampleConstruction, "construction") }
func TestRoots(t *testing.T)        { matches(t, ExampleConstruction_roots, "roots") }
func TestLogarithms(t *testing.T)   { matches(t, ExampleConstruction_logarithms, "logarithms") }
func TestFalls(t *testing.T)        { matches(t, ExampleConstruction_falls, "falls") }
func TestBends(t *testing.T)        { matches(t, ExampleConstruction_bends, "bends") }
func TestDeviations(t *testing.T)   { matches(t, ExampleConstruction_deviations, "deviations") }
func TestMethodSheet(t *testing.T)  { matches(t, ExampleMethodSheet, "methodsheet") }
func TestStoppingLine(t *testing.T) { matches(t, ExampleStoppingLine, "stoppingline") }
func TestBias(t *testing.T)         { matches(t, ExampleBias, "bias") }
func TestCoverage(t *testing.T)     { matches(t, ExampleCoverage, "coverage") }
func TestBudget(t *testing.T)       { matches(t, ExampleBudget, "budget") }
func TestGrid(t *testing.T)         { matches(t, ExampleGrid, "grid") }
func TestGridOfMany(t *testing.T)   { matches(t, ExampleGrid_many, "gridofmany") }
func TestIntensities(t *testing.T)  { matches(t, ExampleIntensities, "intensities") }
func TestTwoEmitters(t *testing.T)  { matches(t, ExampleTwoEmitters, "twoemitters") }
func TestThreshold(t *testing.T)    { matches(t, ExampleThreshold, "threshold") }
func TestDeflection(t *testing.T)   { matches(t, ExampleDeflection, "deflection") }
func TestSteps(t *testing.T)        { matches(t, ExampleSteps, "steps") }
func TestStepsSlide(t *testing.T)   { matches(t, ExampleSteps_Slide, "slide") }
