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
	case OutsideKnee:
		return "outside-knee"
	case DoesNotFit:
		return "does-not-fit"
	case NoZeroVolts:
		return "no-zero-volts"
	}
	return fmt.Sprintf("status %d", int(s))
}
