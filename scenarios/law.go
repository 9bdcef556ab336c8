package scenarios

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"stopvolt/instrument/population"
)

// shared is the table of numbers with names of their own, to which others are
// relative.
const shared = "shared"

// A lawful is a key with a law instead of a value.
type lawful struct {
	population.Variable
	kind reflect.Kind
	// path leads to the field in the document; it is nil for a shared number.
	path []int
	// limit is that of the key, once known.
	limit limit
	// joint says that joint rows give the number, and column has those of all
	// rows.
	joint  bool
	column []float64
}

// learn takes over the limit of a law's key, cuts the law to it and returns its
// median. A law that reaches beyond by a stated end is a mistake, one that has
// no end is not. What a relative number comes to is seen when a bench is made.
func (c *checker) learn(l *lawful, value float64, within limit) float64 {
	l.limit = within
	switch {
	case l.joint:
		for i, x := range l.column {
			if !within.holds(x) {
				c.fail(l.Key, "row %d of the joint rows has %g for %s; it must be %v", i+1, x, c.public(l.Key), within)
			}
		}
		return value
	case l.Plus != "" || l.Times != "" || l.Words != nil:
		return value
	}
	if x, ok := beyond(l.Law, within); ok {
		c.fail(l.Key, "%s may be %g by its law; it must be %v", l.Key, x, within)
		return value
	}
	low := within.low
	if within.orZero {
		low = 0
	}
	cut, err := population.Within(l.Law, low, within.high)
	if err != nil {
		c.fail(l.Key, "%s: %v; it must be %v", l.Key, err, within)
		return value
	}
	l.Law = cut
	return cut.Quantile(0.5)
}

// beyond returns a number that a law states and that lies beyond a limit, if
// there is one.
func beyond(law population.Law, within limit) (x float64, ok bool) {
	switch l := law.(type) {
	case population.OneOf:
		for _, x := range l.Numbers {
			if !within.holds(x) {
				return x, true
			}
		}
		return 0, false
	case population.Mixture:
		for _, part := range l.Parts {
			if x, ok := beyond(part, within); ok {
				return x, true
			}
		}
		return 0, false
	case population.HalfNormal:
		// Zero is where it begins, and of no weight.
		return 0, false
	}
	low, high := law.Ends()
	switch {
	case low < within.low && !math.IsInf(low, -1):
		return low, true
	case high > within.high && !math.IsInf(high, 1):
		return high, true
	}
	return 0, false
}

// A lawKind is a kind of law as files have it.
type lawKind struct {
	// word begins its table, and more has those that may stand beside.
	word string
	more []string
	// numbers says that it is for numbers only.
	numbers bool
	// read reads the table of a key's law, at the place of errors within it.
	read func(b *binder, key, place string, kind reflect.Kind, t tree) (population.Law, error)
}

// The words of a law's table that more than its reader knows.
const (
	oneOfLaw   = "one_of"
	mixtureLaw = "mixture"
	sameAs     = "same_as"
)

// lawKinds returns the kinds of laws. A table has one.
func lawKinds() []lawKind {
	return []lawKind{
		{"uniform", nil, true, readUniform},
		{"log_uniform", nil, true, readLogUniform},
		{"normal", []string{"at_least", "at_most"}, true, readNormal},
		{"half_normal", []string{"at_least", "at_most"}, true, readHalfNormal},
		{oneOfLaw, []string{"weights"}, false, readOneOf},
		{mixtureLaw, nil, true, readMixture},
		{sameAs, nil, true, func(*binder, string, string, reflect.Kind, tree) (population.Law, error) {
			return population.Constant(0), nil
		}},
	}
}

// lawWords lists the words that begin a law.
func lawWords() string {
	var words []string
	for _, k := range lawKinds() {
		words = append(words, k.word)
	}
	return strings.Join(words, ", ")
}

// law reads the law of a key.
func (b *binder) law(key string, kind reflect.Kind, t tree, path []int) {
	if strings.HasPrefix(key, "practice.") || strings.HasPrefix(key, "joint.") {
		b.mismatch(key, t, needs[kind])
		return
	}
	v := &lawful{Variable: population.Variable{Key: key}, kind: kind, path: path, limit: everything}
	text := func(name string) string {
		word, _ := t[name].(string)
		if _, given := t[name]; given && word == "" {
			b.c.fail(join(key, name), "%s: %s needs the name of a key in quotes", key, name)
		}
		return b.c.resolved(word)
	}
	more := []string{"plus", "times"}
	if word := text(sameAs); word != "" {
		v.Plus = word
		more = nil
	}
	v.Plus, v.Times = v.Plus+text("plus"), text("times")
	if kind == reflect.String || kind == reflect.Bool {
		more = nil
	}
	law := b.readLaw(key, key, kind, t, more)
	if law == nil {
		return
	}
	v.Law = law
	if o, ok := law.(population.OneOf); ok {
		v.Words = o.Words
	}
	b.laws = append(b.laws, v)
}

// readLaw reads the table of a law at a place. More words are allowed than the
// law's own. It returns nil after an error.
func (b *binder) readLaw(key, place string, kind reflect.Kind, t tree, more []string) population.Law {
	var named *lawKind
	for _, k := range lawKinds() {
		if _, ok := t[k.word]; !ok {
			continue
		}
		if named != nil {
			b.c.fail(join(place, k.word), "%s has two laws, %s and %s; leave one out", key, named.word, k.word)
			return nil
		}
		named = &k
	}
	allowed := more
	if named != nil {
		allowed = slices.Concat([]string{named.word}, named.more, more)
	}
	for _, name := range b.sorted(place, t) {
		if slices.Contains(allowed, name) {
			continue
		}
		parts := ""
		if named != nil {
			parts = fmt.Sprintf(" %s, which has %s", named.word, strings.Join(allowed, ", "))
		}
		b.c.fail(join(place, name), "%s: %q is no part of a law%s; a law is a number's table with one of %s", key, name, parts, lawWords())
		return nil
	}
	if named == nil {
		b.c.fail(place, "%s: the table has no law; it needs one of %s", key, lawWords())
		return nil
	}
	at := join(place, named.word)
	if named.numbers && kind != reflect.Float64 && kind != reflect.Int {
		b.c.fail(at, "%s: a key that takes %s may have one_of only", key, needs[kind])
		return nil
	}
	law, err := named.read(b, key, place, kind, t)
	if err != nil {
		b.c.fail(at, "%s: %v", key, err)
		return nil
	}
	return law
}

func readUniform(_ *binder, _, _ string, _ reflect.Kind, t tree) (population.Law, error) {
	ends, err := numbersOf(t["uniform"], 2, "two numbers, such as [0.1, 0.2]")
	if err != nil {
		return nil, err
	}
	return population.NewUniform(ends[0], ends[1])
}

func readLogUniform(_ *binder, _, _ string, _ reflect.Kind, t tree) (population.Law, error) {
	ends, err := numbersOf(t["log_uniform"], 2, "two numbers, such as [0.1, 0.2]")
	if err != nil {
		return nil, err
	}
	return population.NewLogUniform(ends[0], ends[1])
}

func readNormal(_ *binder, _, _ string, _ reflect.Kind, t tree) (population.Law, error) {
	n, err := numbersOf(t["normal"], 2, "a mean and a standard deviation, such as [0.1, 0.02]")
	if err != nil {
		return nil, err
	}
	l, err := population.NewNormal(n[0], n[1])
	if err != nil {
		return nil, err
	}
	return cut(l, t)
}

func readHalfNormal(_ *binder, _, _ string, _ reflect.Kind, t tree) (population.Law, error) {
	sd, ok := numberOf(t["half_normal"])
	if !ok {
		return nil, fmt.Errorf("half_normal needs a standard deviation, such as 0.05")
	}
	l, err := population.NewHalfNormal(sd)
	if err != nil {
		return nil, err
	}
	return cut(l, t)
}

// cut takes off what at_least and at_most leave out.
func cut(l population.Law, t tree) (population.Law, error) {
	low, high := math.Inf(-1), math.Inf(1)
	for name, end := range map[string]*float64{"at_least": &low, "at_most": &high} {
		value, given := t[name]
		if !given {
			continue
		}
		x, ok := numberOf(value)
		if !ok || math.IsNaN(x) || math.IsInf(x, 0) {
			return nil, fmt.Errorf("%s is %v; it must be a number", name, value)
		}
		*end = x
	}
	if low >= high {
		return nil, fmt.Errorf("at_least is %g and at_most is %g; the lower limit must be below the upper", low, high)
	}
	return population.Within(l, low, high)
}

// readOneOf reads a law of single numbers or words.
func readOneOf(_ *binder, _, _ string, kind reflect.Kind, t tree) (population.Law, error) {
	entries, _ := t[oneOfLaw].([]any)
	if len(entries) == 0 {
		return nil, fmt.Errorf("one_of needs a list to choose from, such as [0.1, 0.2]")
	}
	var weights []float64
	if given, ok := t["weights"]; ok {
		var err error
		if weights, err = numbersOf(given, len(entries), fmt.Sprintf("a number for each of the %d entries", len(entries))); err != nil {
			return nil, fmt.Errorf("weights: %w", err)
		}
	}
	if kind == reflect.Float64 || kind == reflect.Int {
		numbers, err := numbersOf(t[oneOfLaw], len(entries), "a list of numbers")
		if err != nil {
			return nil, err
		}
		return population.NewOneOf(numbers, weights)
	}
	var words []string
	for _, entry := range entries {
		switch x := entry.(type) {
		case string:
			if kind == reflect.String && x != "" && len(x) <= mostName {
				words = append(words, x)
				continue
			}
		case bool:
			if kind == reflect.Bool {
				words = append(words, fmt.Sprint(x))
				continue
			}
		}
		return nil, fmt.Errorf("%v is among what to choose from, where %s is needed", entry, needs[kind])
	}
	return population.OneWordOf(words, weights)
}

// readMixture reads a law of several parts.
func readMixture(b *binder, key, place string, kind reflect.Kind, t tree) (population.Law, error) {
	entries, _ := t[mixtureLaw].([]any)
	if len(entries) == 0 {
		return nil, fmt.Errorf("a mixture needs a list of laws, such as [{ weight = 0.4, uniform = [0.1, 0.2] }, { weight = 0.6, uniform = [1.0, 2.0] }]")
	}
	var parts []population.Law
	var weights []float64
	for i, entry := range entries {
		part, ok := entry.(tree)
		if !ok {
			return nil, fmt.Errorf("part %d of the mixture is no law", i+1)
		}
		weight, ok := numberOf(part["weight"])
		if !ok {
			return nil, fmt.Errorf("part %d of the mixture has no weight", i+1)
		}
		if _, deeper := part[mixtureLaw]; deeper {
			return nil, fmt.Errorf("part %d of the mixture is a mixture; write its parts here", i+1)
		}
		if _, same := part[sameAs]; same {
			return nil, fmt.Errorf("part %d of the mixture has same_as; give the whole mixture plus or times instead", i+1)
		}
		law := b.readLaw(key, fmt.Sprintf("%s.%s.%d", place, mixtureLaw, i), kind, part, []string{"weight"})
		if law == nil {
			// The mistake is recorded.
			return nil, b.c.err
		}
		parts = append(parts, law)
		weights = append(weights, weight)
	}
	return population.NewMixture(parts, weights)
}

// numbersOf returns the numbers of a list of a length.
func numbersOf(value any, length int, needed string) ([]float64, error) {
	entries, ok := value.([]any)
	if !ok || len(entries) != length {
		return nil, fmt.Errorf("it needs %s", needed)
	}
	var numbers []float64
	for _, entry := range entries {
		x, ok := numberOf(entry)
		if !ok {
			return nil, fmt.Errorf("%v is no number; it needs %s", entry, needed)
		}
		numbers = append(numbers, x)
	}
	return numbers, nil
}

// numberOf returns a number of the tree.
func numberOf(value any) (float64, bool) {
	switch x := value.(type) {
	case float64:
		return x, true
	case int64:
		return float64(x), true
	}
	return 0, false
}
