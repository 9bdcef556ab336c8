package physics_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"
)

// table reads a CSV file of numbers with a header, a map a row.
func table(t *testing.T, name string) []map[string]float64 {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(records) < 2 {
		t.Fatalf("%s has no rows", name)
	}
	var rows []map[string]float64
	for _, record := range records[1:] {
		row := make(map[string]float64)
		for i, cell := range record {
			if row[records[0][i]], err = strconv.ParseFloat(cell, 64); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
		}
		rows = append(rows, row)
	}
	return rows
}
