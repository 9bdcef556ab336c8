// Package analysis reads stopping voltages from curves of current against
// retarding voltage and puts a straight line through them. It sees what an
// analyst sees and never the truth behind a synthetic curve.
package analysis

// A Method is one way of reading the stopping voltage from a curve.
type Method interface {
	// Name is the method's name on the command line and in files.
	Name() string
	// Page describes the method to its user.
	Page() Page
	// Cutoff reads the stopping voltage. It does not keep or change p, and
	// may be called from several goroutines with a Prepared each.
	Cutoff(p *Prepared) Cutoff
	// Construct returns the lines that a person would draw on the curve to
	// arrive at c, which Cutoff returned for the same p.
	Construct(p *Prepared, c Cutoff) []Stroke
}

// A Joint is a method that reads all settings of a run together, and whose line
// is part of the reading. Its Cutoff is that of one curve alone.
type Joint interface {
	Method
	// Together fills the cutoff of each setting and returns the line on which
	// they lie. A setting may be nil; an error says why there is no line, and
	// then no cutoff has an answer.
	Together(settings []*Prepared, cutoffs []Cutoff) (Line, error)
}

// A Page is the description of a method that its user can ask for.
type Page struct {
	// Summary is one sentence.
	Summary string
	// ByHand says how a person does it with a meter or on graph paper; it is
	// empty where only a computer can.
	ByHand string
	// Assumes says what has to hold for the method to be right.
	Assumes string
	// Errs says which way the method errs when that does not hold.
	Errs string
	// Source names a publication, or says "common practice, no source".
	Source string
}

// A Cutoff is what a method made of a curve.
type Cutoff struct {
	// Stopping is the stopping voltage in V; NaN unless Status is OK.
	Stopping float64
	// U is the standard uncertainty of Stopping in V; NaN unless Status is OK.
	U float64
	// Status says whether there is an answer, and if not, why not.
	Status Status
	// Reason says in one sentence why there is no answer, and what would
	// help; it is empty when Status is OK.
	Reason string
	// Remark is empty, or says in one sentence why U may not hold although there
	// is an answer.
	Remark string
	// Level is the current in A that the method waited for, such as the fixed one
	// of fixed-current; 0 for a method without.
	Level float64
}

// A HandMethod is one that a person does at graph paper or at the meter, and in
// which that person decides how long a stretch to call straight, or what current
// to take.
type HandMethod interface {
	Method
	// Spanned returns the method as a person does it who takes a stretch, or a
	// level, that is span times the usual one; 1 is the usual one, and so is 0.
	Spanned(span float64) Method
}

// usual returns the factor that a Span stands for.
func usual(span float64) float64 {
	if span == 0 {
		return 1
	}
	return span
}

// A Status says how a reading of the stopping voltage ended.
type Status int

const (
	// OK says that the method has an answer with an uncertainty.
	OK Status = iota
	// TooFewReadings says that the curve has not enough usable readings.
	TooFewReadings
	// NoCutoff says that the current never reaches the feature that the
	// method looks for within the range of the sweep.
	NoCutoff
	// NoNegativeCurrent says that the method needs a current below zero, and
	// no reading is.
	NoNegativeCurrent
	// NotConverged says that a fit found no minimum inside its range.
	NotConverged
	// OutsideKnee says that the voltage found lies where the photocurrent still
	// flows, or where it has long ended: see Knee.
	OutsideKnee
	// DoesNotFit says that the readings lie off the best curve of a fit by too
	// much for its model to hold.
	DoesNotFit
	// NoZeroVolts says that the sweep has no reading at or below zero volts, so
	// that the photocurrent there, of which windows are shares, is not known.
	NoZeroVolts
)

// A Stroke is one line or mark of a construction on a curve.
type Stroke struct {
	// Role says what the stroke is, for a legend, such as "steep part".
	Role string
	// V are retarding voltages in V, and I the currents in A, of equal length;
	// one point is a mark, two a straight line, more a curve.
	V, I []float64
}
