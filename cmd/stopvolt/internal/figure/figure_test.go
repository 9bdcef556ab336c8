package figure

import "testing"

func TestCurves(t *testing.T)       { matches(t, ExampleCurves, "curves") }
func TestConstruction(t *testing.T) { matches(t, ExampleConstruction, "construction") }
func TestStoppingLine(t *testing.T) { matches(t, ExampleStoppingLine, "stoppingline") }
func TestBias(t *testing.T)         { matches(t, ExampleBias, "bias") }
