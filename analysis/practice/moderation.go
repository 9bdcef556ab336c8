package practice

import (
	"cmp"
	"io"
	"math"
	"slices"
	"time"

	"stopvolt/instrument/run/reader"
)

// Sample returns the places of n marks for a second marker to look at: at equal
// distances in the order of the points, the lowest and the highest among them
// (common practice, no source). Those who have handed nothing in are left out.
func Sample(marks []Mark, n int) []int {
	var places []int
	for i, m := range marks {
		if m.HandedIn {
			places = append(places, i)
		}
	}
	slices.SortStableFunc(places, func(a, b int) int { return cmp.Compare(marks[a].Points(), marks[b].Points()) })
	if n >= len(places) {
		return places
	}
	chosen := make([]int, n)
	for k := range chosen {
		at := 0.5 * float64(len(places)-1)
		if n > 1 {
			at = float64(k) * float64(len(places)-1) / float64(n-1)
		}
		chosen[k] = places[int(math.Round(at))]
	}
	return chosen
}

// WriteSample writes a table of a sample for a second marker, with the points of
// each step and empty cells for the second marker's.
func WriteSample(w io.Writer, p Presentation, marks []Mark, sample []int) error {
	table := p.NewTable(w)
	header := []string{idColumn, pointsColumn, "of"}
	if len(marks) > 0 {
		for _, s := range marks[0].Steps {
			header = append(header, string(s.Group))
		}
	}
	if err := table.Write(append(header, "second_points", "second_reason")); err != nil {
		return err
	}
	for _, i := range sample {
		m := marks[i]
		_, of := m.Proposed()
		row := []string{m.Student.ID, p.Number(m.Points(), -1), p.Number(of, -1)}
		for _, s := range m.Steps {
			row = append(row, p.Number(s.Points, -1))
		}
		if err := table.Write(append(row, "", "")); err != nil {
			return err
		}
	}
	return table.Flush()
}

// ReadExtraTime reads a table with the columns student_id and minutes, the time that
// a student has beyond the others. Faults are of type *reader.Error.
func ReadExtraTime(s reader.Source, o reader.Options) (map[string]time.Duration, error) {
	table, columns, err := readColumns(s, o, idColumn, "minutes")
	if err != nil {
		return nil, err
	}
	const most = 1e6
	extra := make(map[string]time.Duration)
	for row := range table.Len() {
		id := identifier(table.Text(row, columns[0]))
		minutes, _, err := table.Number(row, columns[1])
		switch _, twice := extra[id]; {
		case err != nil:
			return nil, err
		case twice:
			return nil, table.Errorf(row, columns[0], "student_id %q stands here already; one row for each student is enough", id)
		case !(minutes >= 0 && minutes <= most):
			return nil, table.Errorf(row, columns[1], "extra time is in minutes, 0 or more")
		}
		extra[id] = time.Duration(minutes * float64(time.Minute))
	}
	return extra, nil
}
