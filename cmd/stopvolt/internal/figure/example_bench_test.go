package figure

import (
	"encoding/csv"
	"log"
	"os"
	"strconv"
)

// benchTable returns the columns of a table of the bench, which the tests of sim
// make and hold to the physics behind them.
func benchTable(name string) [][]float64 {
	f, err := os.Open("../../../../testdata/bench/" + name)
	if err != nil {
		log.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		log.Fatal(err)
	}
	columns := make([][]float64, len(rows[0]))
	for _, row := range rows[1:] {
		for i, cell := range row {
			x, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				log.Fatal(err)
			}
			columns[i] = append(columns[i], x)
		}
	}
	return columns
}

func ExampleTraces_hysteresis() {
	c := benchTable("hysteresis.csv")
	show(Traces{
		Title: "A hurried sweep remembers where it came from", Quantity: "retarding voltage / V", Current: "current",
		Traces: []Trace{
			{Name: "up, 0.1 s after each step", X: c[0], I: c[1]},
			{Name: "down, 0.1 s after each step", X: c[0], I: c[2]},
			{Name: "up, after 20 s", X: c[0], I: c[3], Marks: true},
			{Name: "down, after 20 s", X: c[0], I: c[4], Marks: true},
		},
	}.Picture())
}

func ExampleTraces_burden() {
	c := benchTable("burden.csv")
	show(Traces{
		Title: "A meter's resistance shifts the steep part and leaves the zero", Quantity: "retarding voltage / V", Current: "current",
		Traces: []Trace{
			{Name: "without burden", X: c[0], I: c[1]},
			{Name: "behind 200 kΩ", X: c[0], I: c[2]},
		},
	}.Picture())
}

func ExampleTraces_hum() {
	c := benchTable("hum.csv")
	show(Traces{
		Title: "Hum at 50 Hz is rejected at whole cycles", Quantity: "dwell / s", Current: "root mean square of the hum",
		Traces: []Trace{
			{Name: "found in readings", X: c[0], I: c[1], Marks: true},
			{Name: "expected", X: c[0], I: c[2]},
		},
	}.Picture())
}
