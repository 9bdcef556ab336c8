package analysis

import (
	_ "embed"
	"strings"
)

// record is how each method did on real runs, as TestRecordOnRealRuns works it
// out from the data. It changes only with the code.
//
//go:embed record.csv
var record string

// A Tried is how a method did on a real run, whose h/e is known as everywhere and
// whose collector's work function nobody knows.
type Tried struct {
	// Run is the folder of the data in testdata.
	Run string
	// Settings says at how many settings of how many the method has a cutoff, as
	// in "4 of 5".
	Settings string
	// Deviation is that of h/e by the weighted line from the exact value, and U its
	// standard uncertainty by the scatter, both in per cent as in "+1.1"; empty
	// without a line.
	Deviation, U string
	// Reason says why the method is of no use on the run; it is empty for one
	// that is.
	Reason string
}

// OnRealRuns returns how a method did on each real run, none for a method that
// the record does not know.
func OnRealRuns(method string) []Tried {
	var all []Tried
	for _, line := range strings.Split(record, "\n")[1:] {
		// No field but the last has commas.
		f := strings.SplitN(line, ",", 6)
		if len(f) == 6 && f[1] == method {
			all = append(all, Tried{f[0], f[2], f[3], f[4], strings.Trim(f[5], `"`)})
		}
	}
	return all
}
