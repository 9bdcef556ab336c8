package study

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"stopvolt/analysis"
	"stopvolt/physics"
	"stopvolt/sim"
)

// HandLine stands for the name of a line fit where a person reads the cutoffs
// and draws the line.
const HandLine = "by hand"

// A Hand is a person at graph paper, who reads a curve as a method's page says
// and not as the program does: another stretch looks straight, the ruler lies a
// little off, voltages are rounded, and the expected value pulls.
//
// The ranges are judgements, until somebody measures people.
type Hand struct {
	// Span is the stretch that the person calls straight over the one that the
	// program takes.
	Span float64
	// Ruler is the standard deviation of a mark on paper over the width of the
	// paper's axis of voltage.
	Ruler float64
	// Lean is the share of the way by which cutoffs are moved towards the line
	// with the book's h/e.
	Lean float64

	src sim.Stream
}

// What people differ by: from two thirds to one and a half of the program's
// stretch, half a millimetre on paper 180 mm wide, and up to a tenth of the way.
const (
	spanRange  = 1.5
	rulerShare = 0.5 / 180
	mostLean   = 0.1
)

// roundings are the steps in V to which a person rounds, the finest that half a
// millimetre of the paper shows.
var roundings = []float64{0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5}

// draw makes h the person of a replicate.
func (h *Hand) draw(seed uint64, replicate int) {
	h.src.Start(sim.StreamName{Seed: seed, Replicate: replicate, Purpose: "hand"})
	uniform := distuv.Uniform{Min: -1, Max: 1, Src: &h.src}
	h.Span = math.Pow(spanRange, uniform.Rand())
	h.Ruler = rulerShare
	h.Lean = mostLean * (1 + uniform.Rand()) / 2
}

// read fills the points of a method with the cutoffs that the person reads at
// the settings, and returns how many settings have none.
func (h *Hand) read(points []analysis.Point, m analysis.Method, settings []analysis.Setting) ([]analysis.Point, int) {
	points = points[:0]
	lost := 0
	if own, ok := m.(analysis.HandMethod); ok {
		m = own.Spanned(h.Span)
	}
	_, atMeter := m.(analysis.NullReading)
	var step float64
	for _, s := range settings {
		// The mark is drawn whether it is used or not, so that a lost setting
		// moves no other.
		slip := distuv.Normal{Sigma: 1, Src: &h.src}.Rand()
		if s.Prepared == nil || !(s.Wavelength > 0) {
			lost++
			continue
		}
		c := m.Cutoff(s.Prepared)
		if c.Status != analysis.OK {
			lost++
			continue
		}
		width := s.Prepared.V[len(s.Prepared.V)-1] - s.Prepared.V[0]
		step = max(step, rounding(width))
		if atMeter {
			// There is no paper: the voltmeter is read.
			slip = 0
		}
		points = append(points, analysis.Point{
			Setting: s.Name, Frequency: s.Frequency,
			Stopping:  c.Stopping + slip*h.Ruler*width,
			UStopping: math.Hypot(c.U, h.Ruler*width),
		})
	}
	h.lean(points)
	for i := range points {
		points[i].Stopping = math.Round(points[i].Stopping/step) * step
	}
	return points, lost
}

// lean moves cutoffs towards the line of the book's slope through their middle.
func (h *Hand) lean(points []analysis.Point) {
	var frequency, stopping float64
	for _, p := range points {
		frequency += p.Frequency / float64(len(points))
		stopping += p.Stopping / float64(len(points))
	}
	for i, p := range points {
		expected := stopping + physics.HOverE*(p.Frequency-frequency)
		points[i].Stopping += h.Lean * (expected - p.Stopping)
	}
}

// rounding returns the step in V of a person whose paper is as wide as a voltage
// in V.
func rounding(width float64) float64 {
	for _, step := range roundings {
		if step >= rulerShare*width*(1-1e-9) {
			return step
		}
	}
	return roundings[len(roundings)-1]
}
