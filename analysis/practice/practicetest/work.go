package practicetest

import (
	"math"
	"strconv"
	"strings"
	"time"

	"stopvolt/analysis"
	"stopvolt/analysis/practice"
	"stopvolt/physics"
)

// To returns a number as somebody writes it down with some significant digits.
func To(x float64, digits int) practice.Quantity {
	if x == 0 {
		return practice.Quantity{Value: 0, Half: 0.5}
	}
	unit := math.Pow10(int(math.Floor(math.Log10(math.Abs(x)))) - digits + 1)
	return practice.Quantity{Value: math.Round(x/unit) * unit, Half: unit / 2}
}

// Volt returns a voltage as it is read off a graph, to a hundredth.
func Volt(x float64) practice.Quantity {
	return practice.Quantity{Value: math.Round(x*100) / 100, Half: 0.005}
}

// Due is the end of the time for all answers that have one.
var Due = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// Nothing is an empty cell.
var Nothing = practice.Quantity{Value: math.NaN(), Half: math.NaN()}

// A Work is a student's answer on the way.
type Work struct {
	practice.Answer
	Desk *Desk
}

// Reads returns the answer of an honest student who reads by a method, with its line
// where the method finds three cutoffs. With exact, the student goes on with the
// digits of the calculator instead of the voltages as written down.
func (d *Desk) Reads(method string, exact bool) Work {
	a := Work{practice.Answer{Student: d.Student, Method: method}, d}
	r := d.Reading(method)
	for k, s := range d.Settings {
		a.LeftOut = append(a.LeftOut, !s.Frees)
		if math.IsNaN(r.Stopping[k]) || !s.Frees {
			a.Stopping = append(a.Stopping, Nothing)
			continue
		}
		a.Stopping = append(a.Stopping, practice.Quantity{Value: r.Stopping[k], Half: 0.005})
	}
	if exact {
		a.Conclude()
	}
	for k := range a.Stopping {
		if a.Stopping[k].Given() {
			a.Stopping[k] = Volt(a.Stopping[k].Value)
		}
	}
	if !exact {
		a.Conclude()
	}
	return a
}

// Points are those of the line.
func (a *Work) Points() []analysis.Point {
	var points []analysis.Point
	for i, s := range a.Desk.Settings {
		if a.Stopping[i].Given() && !a.LeftOut[i] {
			points = append(points, analysis.Point{Setting: s.Name, Frequency: physics.Frequency(s.Wavelength), Stopping: a.Stopping[i].Value})
		}
	}
	return points
}

// Conclude draws the line and what follows from it.
func (a *Work) Conclude() {
	l, err := analysis.Ordinary{}.Fit(a.Points())
	if err != nil {
		a.Slope, a.Intercept, a.HOverE, a.U, a.CoverageFactor, a.CollectorWorkFunction, a.EmitterWorkFunction = Nothing, Nothing, Nothing, Nothing, Nothing, Nothing, Nothing
		return
	}
	a.Slope, a.Intercept = To(l.Slope, 3), Volt(l.Intercept)
	a.Result()
}

// Result writes down what follows from slope and intercept, with the uncertainty of
// a slope through points that are read to a step of the dial.
func (a *Work) Result() {
	a.HOverE, a.CoverageFactor = a.Slope, Nothing
	a.U = To(ByStep(a.Points()), 2)
	a.CollectorWorkFunction = Volt(-a.Intercept.Value)
	a.EmitterWorkFunction = Volt(a.CollectorWorkFunction.Value - a.Desk.Contact)
}

// ByStep returns the standard uncertainty of a slope in V s that points known to a
// step of 0.05 V give, by the textbook's formula for equal weights.
func ByStep(points []analysis.Point) float64 {
	var mean, sum float64
	for _, p := range points {
		mean += p.Frequency / float64(len(points))
	}
	for _, p := range points {
		sum += (p.Frequency - mean) * (p.Frequency - mean)
	}
	return 0.05 / math.Sqrt(12) / math.Sqrt(sum)
}

// A Statement is an uncertainty in V s that an honest student may state.
type Statement struct {
	By string
	U  float64
}

// Statements returns the uncertainties that honest students state of the same line:
// by the dial's step, by the scatter, by what the method leaves of each point, and as
// the program's answer has it.
func (a *Work) Statements() []Statement {
	var said []Statement
	add := func(by string, u float64) {
		if u > 0 && !math.IsInf(u, 0) {
			said = append(said, Statement{by, u})
		}
	}
	r := a.Desk.Reading(a.Method)
	add("dial", ByStep(a.Points()))
	if l, err := (analysis.Ordinary{}).Fit(a.Points()); err == nil {
		add("scatter", l.USlope)
	}
	weighted := a.Points()
	for i := range weighted {
		for k, s := range a.Desk.Settings {
			if s.Name == weighted[i].Setting {
				weighted[i].UStopping = r.U[k]
			}
		}
	}
	if l, err := (analysis.Weighted{}).Fit(weighted); err == nil {
		add("points", l.StatedU())
	}
	add("answer", r.UAnswer)
	return said
}

// Cells returns what the student writes into the table of answers, by column.
func (a *Work) Cells() map[string]string {
	cells := map[string]string{"method": a.Method}
	put := func(column string, q practice.Quantity) {
		if q.Given() {
			cells[column] = written(q)
		}
	}
	var left []string
	for i, s := range a.Desk.Settings {
		put("stopping_"+s.Name+"_V", a.Stopping[i])
		if a.LeftOut[i] {
			left = append(left, s.Name)
		}
	}
	cells["left_out"] = strings.Join(left, " ")
	put("slope_Vs", a.Slope)
	put("intercept_V", a.Intercept)
	put("h_over_e_Vs", a.HOverE)
	put("u_h_over_e_Vs", a.U)
	put("coverage_factor", a.CoverageFactor)
	put("collector_work_function_eV", a.CollectorWorkFunction)
	put("emitter_work_function_eV", a.EmitterWorkFunction)
	for _, u := range a.Unreadable {
		cells[u.Column] = u.Text
	}
	if !a.Time.IsZero() {
		cells["handed_in"] = a.Time.Format("2006-01-02 15:04")
	}
	return cells
}

// written writes a number to its last digit.
func written(q practice.Quantity) string {
	unit := int(math.Round(math.Log10(2 * q.Half)))
	if q.Value == 0 || unit >= -6 && math.Abs(q.Value) < 1e6 {
		return strconv.FormatFloat(q.Value, 'f', max(-unit, 0), 64)
	}
	return strconv.FormatFloat(q.Value, 'e', max(int(math.Floor(math.Log10(math.Abs(q.Value))))-unit, 0), 64)
}
