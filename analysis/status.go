package analysis

import "fmt"

// String returns the status as it stands in files.
func (s Status) String() string {
	switch s {
	case OK:
		return "ok"
	case TooFewReadings:
		return "too-few-readings"
	case NoCutoff:
		return "no-cutoff"
	case NoNegativeCurrent:
		return "no-negative-current"
	case NotConverged:
		return "not-converged"
	}
	return fmt.Sprintf("status %d", int(s))
}
