package scenarios

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"stopvolt/instrument"
	"stopvolt/instrument/population"
	"stopvolt/physics"
)

// A maker makes benches from a document and the numbers of those keys that have
// laws. Every bench passes the same checks as one that a file states. After it
// is made it does not change.
type maker struct {
	document document
	places   places
	laws     []*lawful
	// varied has the keys of the laws, for the checks.
	varied map[string]*lawful
	joints []population.Joint
	lights []string
	// ring is the geometry of the median bench, if it is one that takes long.
	ring *physics.RingOverDisk
}

// newMaker fills a document from a tree.
func newMaker(found places, t tree) (*maker, error) {
	_, names := lightsOf(t)
	m := &maker{places: found, varied: make(map[string]*lawful), lights: names}
	b := &binder{c: &checker{places: found, lightNames: names}}
	b.bind("", reflect.ValueOf(&m.document).Elem(), t, nil)
	if b.c.err != nil {
		return nil, b.c.err
	}
	b.c.names(m.document)
	for _, l := range b.laws {
		m.add(l)
	}
	m.readJoints(b.c)
	m.addReferences(b.c)
	return m, b.c.err
}

// add registers a law.
func (m *maker) add(l *lawful) {
	m.laws = append(m.laws, l)
	m.varied[l.Key] = l
}

// addReferences adds the plain numbers that others are relative to.
func (m *maker) addReferences(c *checker) {
	// The list grows while it is read; what is added refers to nothing.
	for i := range m.laws {
		l := m.laws[i]
		for _, other := range []string{l.Plus, l.Times} {
			if other == "" || m.varied[other] != nil {
				continue
			}
			v, err := m.fieldOf(other)
			switch {
			case err != nil:
				c.fail(l.Key, "%s is relative to %s, which is no key with a number", c.public(l.Key), c.public(other))
			case !c.given(other):
				c.fail(l.Key, "%s is relative to %s, which the scenario does not give", c.public(l.Key), c.public(other))
			default:
				v.Law = population.Constant(numberIn(m.document, v))
				m.add(v)
			}
		}
	}
}

// fieldOf returns the field of a key, with a law of zero.
func (m *maker) fieldOf(key string) (*lawful, error) {
	l := &lawful{Variable: population.Variable{Key: key, Law: population.Constant(0)}, limit: everything}
	if name, ok := strings.CutPrefix(key, shared+"."); ok {
		if _, ok := m.document.Shared[name]; !ok {
			return nil, errors.New("no such number")
		}
		l.kind = reflect.Float64
		return l, nil
	}
	v := reflect.ValueOf(m.document)
	for _, part := range strings.Split(key, ".") {
		switch v.Kind() {
		case reflect.Struct:
			f, ok := fieldsOf(v.Type())[part]
			if !ok {
				return nil, errors.New("no such key")
			}
			l.path = append(l.path, f.index...)
			v = v.FieldByIndex(f.index)
		case reflect.Slice:
			i, err := strconv.Atoi(part)
			if err != nil || i < 0 || i >= v.Len() {
				return nil, errors.New("no such entry")
			}
			l.path = append(l.path, i)
			v = v.Index(i)
		default:
			return nil, errors.New("no such key")
		}
	}
	if _, ok := needs[v.Kind()]; !ok {
		return nil, errors.New("not a number")
	}
	l.kind = v.Kind()
	return l, nil
}

// numberIn returns the number at a law's place in a document.
func numberIn(d document, l *lawful) float64 {
	if l.path == nil {
		return d.Shared[strings.TrimPrefix(l.Key, shared+".")]
	}
	switch v := at(reflect.ValueOf(&d).Elem(), l.path); v.Kind() {
	case reflect.Float64:
		return v.Float()
	case reflect.Int:
		return float64(v.Int())
	}
	return 0
}

// at returns the field at the end of a path.
func at(v reflect.Value, path []int) reflect.Value {
	for _, step := range path {
		if v.Kind() == reflect.Slice {
			v = v.Index(step)
			continue
		}
		v = v.Field(step)
	}
	return v
}

// put sets the field of a law in a document whose lights are its own.
func (l *lawful) put(d *document, x float64) {
	if l.path == nil {
		return
	}
	v := reflect.ValueOf(d).Elem()
	for _, step := range l.path {
		switch v.Kind() {
		case reflect.Slice:
			if v.Type().Elem().Kind() == reflect.Float64 {
				// The list is another document's too.
				v.Set(reflect.AppendSlice(reflect.MakeSlice(v.Type(), 0, v.Len()), v))
			}
			v = v.Index(step)
		default:
			v = v.Field(step)
		}
	}
	switch v.Kind() {
	case reflect.Float64:
		v.SetFloat(x)
	case reflect.Int:
		v.SetInt(int64(math.Round(x)))
	case reflect.String:
		v.SetString(l.Word(x))
	case reflect.Bool:
		v.SetBool(l.Word(x) == "true")
	}
}

// filled returns the document with the numbers of a bench.
func (m *maker) filled(values []float64) document {
	d := m.document
	d.Light = slices.Clone(d.Light)
	for i, l := range m.laws {
		l.put(&d, values[i])
	}
	return d
}

// build makes the bench of some numbers.
func (m *maker) build(values []float64) (instrument.Apparatus, error) {
	c := &checker{places: m.places, varied: m.varied, ring: m.ring}
	a := c.build(m.filled(values))
	return a, c.err
}

// population returns what the scenario builds. The base identifies it.
func (m *maker) population(base string) (population.Population, error) {
	if err := m.learn(); err != nil {
		return population.Population{}, err
	}
	if len(m.laws) == 0 {
		a, err := m.build(nil)
		return population.Of(base, a), err
	}
	p, err := population.New(base, m.variables(), m.joints, m.build)
	if r, ok := p.Median().Geometry.(*physics.RingOverDisk); ok {
		// Other benches have the same field.
		m.ring = r
	}
	return p, m.placed(err)
}

// variables returns those of the laws, under the keys that users write.
func (m *maker) variables() []population.Variable {
	c := &checker{lightNames: m.lights}
	variables := make([]population.Variable, len(m.laws))
	for i, l := range m.laws {
		v := l.Variable
		v.Key, v.Plus, v.Times = c.public(v.Key), c.public(v.Plus), c.public(v.Times)
		v.Low, v.High, v.Unit = l.limit.low, l.limit.high, l.limit.unit
		variables[i] = v
	}
	return variables
}

// learn makes a first bench of the laws' medians to learn the limits of their
// keys, and cuts the laws to them. An error is the first law beyond its limits,
// or what is wrong with the bench besides.
func (m *maker) learn() error {
	if len(m.laws) == 0 {
		return nil
	}
	c := &checker{places: m.places, varied: m.varied, learning: true, lightNames: m.lights}
	_, err := population.New("", m.variables(), m.joints, func(values []float64) (instrument.Apparatus, error) {
		c.build(m.filled(values))
		return instrument.Apparatus{}, nil
	})
	if err = m.placed(err); err == nil {
		err = c.err
	}
	return err
}

// placed gives an error of the population its place.
func (m *maker) placed(err error) error {
	var problem *population.Problem
	if !errors.As(err, &problem) {
		return err
	}
	c := &checker{places: m.places, lightNames: m.lights}
	c.fail(c.resolved(problem.Key), "%s", problem.Text)
	return c.err
}

// public returns a key as users write it, with a light's name instead of its
// index.
func (c *checker) public(key string) string {
	rest, ok := strings.CutPrefix(key, "light.")
	if !ok {
		return key
	}
	index, inner, _ := strings.Cut(rest, ".")
	if i, err := strconv.Atoi(index); err == nil && i < len(c.lightNames) {
		return join("light", c.lightNames[i], inner)
	}
	return key
}

// resolved returns a key as places have it, with a light's index instead of its
// name.
func (c *checker) resolved(key string) string {
	rest, ok := strings.CutPrefix(key, "light.")
	if !ok {
		return key
	}
	if i, inner := lightOf(c.lightNames, rest); i >= 0 {
		return join("light", strconv.Itoa(i), inner)
	}
	return key
}

// readJoints takes over the joint rows. Each key of theirs gets a variable, if
// it has none.
func (m *maker) readJoints(c *checker) {
	for j, t := range m.document.Joint {
		table := fmt.Sprintf("joint.%d", j)
		joint := population.Joint{Weights: t.Weights}
		var columns []*lawful
		for _, key := range t.Keys {
			inner := c.resolved(key)
			l := m.varied[inner]
			if l == nil {
				var err error
				if l, err = m.fieldOf(inner); err != nil {
					c.fail(join(table, "keys"), "joint rows name %s, which is no key with a number or a word; stopvolt scenarios --keys lists them", key)
					return
				}
				m.add(l)
			}
			if !c.given(inner) {
				m.places.add(inner, m.places.find(table))
				m.places.add(inner[:max(strings.LastIndexByte(inner, '.'), 0)], m.places.find(table))
			}
			l.joint = true
			columns = append(columns, l)
			joint.Keys = append(joint.Keys, key)
		}
		for i, row := range t.Rows {
			numbers, err := rowOf(row, columns)
			if err != nil {
				c.fail(fmt.Sprintf("%s.rows.%d", table, i), "row %d: %v", i+1, err)
				return
			}
			for k, x := range numbers {
				columns[k].column = append(columns[k].column, x)
			}
			joint.Rows = append(joint.Rows, numbers)
		}
		m.joints = append(m.joints, joint)
	}
}

// rowOf returns the numbers of a joint row. Words are counted in their columns.
func rowOf(row any, columns []*lawful) ([]float64, error) {
	entries, ok := row.([]any)
	if !ok || len(entries) != len(columns) {
		return nil, fmt.Errorf("there must be %d entries, one for each key", len(columns))
	}
	numbers := make([]float64, len(entries))
	for k, entry := range entries {
		l := columns[k]
		word, isWord := entry.(string)
		if truth, ok := entry.(bool); ok {
			word, isWord = fmt.Sprint(truth), true
		}
		x, isNumber := numberOf(entry)
		switch wantsNumber := l.kind == reflect.Float64 || l.kind == reflect.Int; {
		case wantsNumber && isNumber:
			numbers[k] = x
		case !wantsNumber && isWord:
			i := slices.Index(l.Words, word)
			if i < 0 {
				i = len(l.Words)
				l.Words = append(slices.Clip(l.Words), word)
			}
			numbers[k] = float64(i)
		default:
			return nil, fmt.Errorf("there is %s for %s, which needs %s", kindOf(entry), l.Key, needs[l.kind])
		}
	}
	return numbers, nil
}
