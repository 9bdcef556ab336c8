package population

// A Variation is the population from which the benches of a class of students are
// drawn.
type Variation struct {
	// Name says how hard the benches are to work with, such as "ordinary".
	Name string
	// Lights are the names of the settings of the light in use, in the order of
	// the scenario.
	Lights []string
	// Benches are those of worlds in which the book value of h/e need not hold:
	// Factor is the number by which it differs, and the work functions go with
	// it, so that the same light frees electrons in each of them.
	Benches Population
}

// Factor is the key of the factor of h/e in a Variation.
const Factor = "h/e"

// InOurWorld returns the population of benches at which h/e is the scenario's.
func (v Variation) InOurWorld() (Population, error) { return v.Benches.With(Factor, Constant(1)) }
