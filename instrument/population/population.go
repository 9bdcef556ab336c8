package population

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"slices"
	"strings"

	"stopvolt/instrument"
)

// A Build makes the apparatus of a bench from its numbers, one for each
// variable of the population in the order of Variables. The error says why such
// a bench cannot be. It may be called from several goroutines.
type Build func(values []float64) (instrument.Apparatus, error)

// A Population is a distribution of benches. The zero Population has none; make
// one by New or Of. It does not change, and may be read by several goroutines.
type Population struct {
	variables []Variable
	joints    []Joint
	build     Build
	// base identifies what the numbers are put into.
	base string

	// order has the indices of variables so that each comes after those that
	// it is relative to.
	order []int
	// plus and times are the indices of those, or -1.
	plus, times []int
	// rows has, for each variable, the joint table that gives it and its column
	// there; the table is -1 where none does.
	rows   []column
	median instrument.Apparatus
	middle []float64
}

// column is a place in the joint tables.
type column struct{ joint, key int }

// Of returns the population whose benches are all one. The base identifies it.
func Of(base string, a instrument.Apparatus) Population {
	p, err := New(base, nil, nil, func([]float64) (instrument.Apparatus, error) { return a, nil })
	if err != nil {
		// Nothing can be wrong with no variables.
		panic(err)
	}
	return p
}

// New returns a population. Joint rows take the place of the laws of their
// keys, which must be among the variables. The base identifies, beside the
// variables, what is built from them. The error is a *Problem where it belongs
// to one key.
func New(base string, variables []Variable, joints []Joint, build Build) (Population, error) {
	p := Population{variables: variables, joints: joints, build: build, base: base}
	if err := p.link(); err != nil {
		return Population{}, err
	}
	if err := p.settle(); err != nil {
		return Population{}, err
	}
	return p, nil
}

// settle finds the bench in the middle: that of the medians, or where those make
// none, the first one found about them that can be. The error is that of the
// medians.
func (p *Population) settle() error {
	p.middle = p.medians()
	median, err := p.build(p.middle)
	for try := 1; err != nil && try <= mostTries; try++ {
		// Shares that fill the space evenly, each key's by another irrational
		// number, and further and further from the middle.
		width := float64(try) / mostTries
		index := 0.0
		values := p.Values(func(string) float64 {
			index++
			_, part := math.Modf(float64(try) * math.Sqrt(index*index+1))
			return 0.5 + width*(0.999*part-0.4995)
		})
		if a, again := p.build(values); again == nil {
			p.median, p.middle = a, values
			return nil
		}
	}
	p.median = median
	return err
}

// mostTries is the number of benches about the medians that are tried before a
// population is called impossible.
const mostTries = 200

// A Problem is an error that belongs to a key.
type Problem struct {
	Key, Text string
}

// Error returns the text.
func (p *Problem) Error() string { return p.Text }

// link finds what each variable refers to.
func (p *Population) link() error {
	index := make(map[string]int, len(p.variables))
	for i, v := range p.variables {
		if _, ok := index[v.Key]; ok {
			return &Problem{v.Key, v.Key + " has two laws"}
		}
		index[v.Key] = i
	}
	n := len(p.variables)
	p.plus, p.times, p.rows = make([]int, n), make([]int, n), make([]column, n)
	for i := range p.rows {
		p.rows[i].joint = -1
	}
	for j, joint := range p.joints {
		if err := joint.check(); err != nil {
			return &Problem{jointKey(j), err.Error()}
		}
		for k, key := range joint.Keys {
			i, ok := index[key]
			switch {
			case !ok:
				return &Problem{jointKey(j), fmt.Sprintf("joint rows name %s, which is no number of the scenario", key)}
			case p.rows[i].joint >= 0:
				return &Problem{jointKey(j), fmt.Sprintf("two columns of joint rows are %s", key)}
			}
			p.rows[i] = column{j, k}
		}
	}
	for i, v := range p.variables {
		for _, link := range []struct {
			key string
			to  *int
		}{{v.Plus, &p.plus[i]}, {v.Times, &p.times[i]}} {
			*link.to = -1
			if link.key == "" || p.rows[i].joint >= 0 {
				continue
			}
			other, ok := index[link.key]
			if !ok {
				return &Problem{v.Key, fmt.Sprintf("%s is relative to %s, which is no number of the scenario", v.Key, link.key)}
			}
			*link.to = other
		}
	}
	return p.sort()
}

// jointKey names a joint table, for its uniform number and in errors.
func jointKey(j int) string { return fmt.Sprintf("joint.%d", j) }

// sort orders the variables by what they are relative to.
func (p *Population) sort() error {
	const (
		unseen = iota
		open
		done
	)
	state := make([]int, len(p.variables))
	var path []string
	var visit func(i int) error
	visit = func(i int) error {
		if state[i] == done {
			return nil
		}
		path = append(path, p.variables[i].Key)
		if state[i] == open {
			start := slices.Index(path, p.variables[i].Key)
			return &Problem{p.variables[i].Key, fmt.Sprintf("%s is relative to itself: %s", p.variables[i].Key, strings.Join(path[start:], ", then "))}
		}
		state[i] = open
		for _, other := range []int{p.plus[i], p.times[i]} {
			if other < 0 {
				continue
			}
			if err := visit(other); err != nil {
				return err
			}
		}
		state[i] = done
		path = path[:len(path)-1]
		p.order = append(p.order, i)
		return nil
	}
	for i := range p.variables {
		if err := visit(i); err != nil {
			return err
		}
	}
	return nil
}

// Variables returns the numbers that differ from bench to bench, and those that
// others are relative to. The slice must not be changed.
func (p Population) Variables() []Variable { return p.variables }

// Joints returns the joint rows. They must not be changed.
func (p Population) Joints() []Joint { return p.joints }

// Index returns the place of a key among the variables, or -1.
func (p Population) Index(key string) int {
	return slices.IndexFunc(p.variables, func(v Variable) bool { return v.Key == key })
}

// Fixed reports whether all benches are one.
func (p Population) Fixed() bool {
	for i, v := range p.variables {
		if p.rows[i].joint < 0 && !v.Constant() {
			return false
		}
	}
	for _, j := range p.joints {
		for _, row := range j.Rows[1:] {
			if !slices.Equal(row, j.Rows[0]) {
				return false
			}
		}
	}
	return true
}

// Values returns the numbers of one bench, one for each of Variables. It asks
// for one uniform number, above 0 and below 1, for each key that has a law of
// its own, and for each joint table under the name joint.0, joint.1 and so on.
func (p Population) Values(uniform func(key string) float64) []float64 {
	return p.AppendValues(make([]float64, 0, len(p.variables)), uniform)
}

// AppendValues is Values into the memory of a slice, whose elements it replaces.
func (p Population) AppendValues(values []float64, uniform func(key string) float64) []float64 {
	values = slices.Grow(values[:0], len(p.variables))[:len(p.variables)]
	for j, joint := range p.joints {
		row := joint.Rows[joint.pick(uniform(jointKey(j)))]
		for i, at := range p.rows {
			if at.joint == j {
				values[i] = row[at.key]
			}
		}
	}
	for _, i := range p.order {
		if p.rows[i].joint >= 0 {
			continue
		}
		v := &p.variables[i]
		share := 0.5
		if !v.Constant() {
			share = uniform(v.Key)
		}
		values[i] = p.related(i, v.Law.Quantile(share), values)
	}
	return values
}

// related returns the number of a variable from that of its law and the numbers
// before it.
func (p *Population) related(i int, x float64, values []float64) float64 {
	if other := p.plus[i]; other >= 0 {
		x += values[other]
	}
	if other := p.times[i]; other >= 0 {
		x *= values[other]
	}
	return x
}

// pick returns the index of the row in whose share of the weights a share falls.
func (j Joint) pick(share float64) int {
	if j.Weights == nil {
		return min(int(share*float64(len(j.Rows))), len(j.Rows)-1)
	}
	i, _ := pick(j.Weights, share)
	return i
}

// Draw returns a bench. The error says that these numbers make none, and the
// caller draws again. The uniform numbers are those of Values.
func (p Population) Draw(uniform func(key string) float64) (instrument.Apparatus, error) {
	return p.Apparatus(p.Values(uniform))
}

// Apparatus returns the bench of some numbers, one for each of Variables.
func (p Population) Apparatus(values []float64) (instrument.Apparatus, error) {
	return p.build(values)
}

// Median returns the bench whose laws are all at their medians, for what makes
// one bench only. Of joint rows it has the one in the middle, which is a bench
// that occurs; and where the medians make no bench, it is one near them.
func (p Population) Median() instrument.Apparatus { return p.median }

// Medians returns the numbers of the median bench.
func (p Population) Medians() []float64 { return slices.Clone(p.middle) }

func (p *Population) medians() []float64 {
	middle := make([]int, len(p.joints))
	for j, joint := range p.joints {
		middle[j] = joint.middle()
	}
	values := make([]float64, len(p.variables))
	for i, at := range p.rows {
		if at.joint >= 0 {
			values[i] = p.joints[at.joint].Rows[middle[at.joint]][at.key]
		}
	}
	for _, i := range p.order {
		if p.rows[i].joint < 0 {
			values[i] = p.related(i, p.variables[i].Law.Quantile(0.5), values)
		}
	}
	return values
}

// middle returns the index of the row that is nearest to the medians of all
// columns, each in units of the range of its middle half.
func (j Joint) middle() int {
	distance := make([]float64, len(j.Rows))
	numbers := make([]float64, len(j.Rows))
	for k := range j.Keys {
		for i, row := range j.Rows {
			numbers[i] = row[k]
		}
		law, err := NewOneOf(numbers, j.Weights)
		if err != nil {
			// The table has been checked.
			panic(err)
		}
		middle, spread := law.Quantile(0.5), law.Quantile(0.75)-law.Quantile(0.25)
		if spread == 0 {
			spread = max(math.Abs(middle), math.SmallestNonzeroFloat64)
		}
		for i, x := range numbers {
			distance[i] += math.Pow((x-middle)/spread, 2)
		}
	}
	best := 0
	for i, d := range distance {
		possible := j.Weights == nil || j.Weights[i] > 0
		if possible && (d < distance[best] || j.Weights != nil && j.Weights[best] == 0) {
			best = i
		}
	}
	return best
}

// With returns the population in which a key has another law, such as a
// Constant. The key must be among the variables, and in no joint rows.
func (p Population) With(key string, l Law) (Population, error) {
	i := p.Index(key)
	if i < 0 || p.rows[i].joint >= 0 {
		return Population{}, &Problem{key, key + " has no law of its own"}
	}
	variables := slices.Clone(p.variables)
	variables[i].Law, variables[i].Plus, variables[i].Times = l, "", ""
	return New(p.base, variables, p.joints, p.build)
}

// Scaled returns the population in which the numbers of some keys are larger by
// a factor, as far as their limits allow: the same bench with twice the
// patches. A key without a law is an error.
func (p Population) Scaled(factor float64, keys ...string) (Population, error) {
	variables, joints := slices.Clone(p.variables), slices.Clone(p.joints)
	for _, key := range keys {
		i := p.Index(key)
		if i < 0 {
			return Population{}, &Problem{key, key + " has no law"}
		}
		v := &variables[i]
		if at := p.rows[i]; at.joint >= 0 {
			joints[at.joint] = joints[at.joint].scaled(factor, at.key, v.Low, v.High)
			continue
		}
		v.Law = Scaled{Law: v.Law, Factor: factor, Low: v.Low, High: v.High}
	}
	return New(p.base, variables, joints, p.build)
}

// scaled returns the table with one column multiplied, within limits.
func (j Joint) scaled(factor float64, key int, low, high float64) Joint {
	rows := make([][]float64, len(j.Rows))
	for i, row := range j.Rows {
		rows[i] = slices.Clone(row)
		rows[i][key] = min(max(factor*row[key], low), high)
	}
	j.Rows = rows
	return j
}

// Identity returns a SHA-256 in hexadecimal digits of all that the benches
// depend on: two populations with one identity are the same.
func (p Population) Identity() string {
	hash := sha256.New()
	fmt.Fprintf(hash, "%d %s\n", len(p.base), p.base)
	for _, v := range p.variables {
		fmt.Fprintf(hash, "%s = %s\n", v.Key, v)
	}
	for _, j := range p.joints {
		fmt.Fprintf(hash, "%q %v\n", j.Keys, j.Weights)
		for _, row := range j.Rows {
			fmt.Fprintf(hash, "%v\n", row)
		}
	}
	return hex.EncodeToString(hash.Sum(nil))
}
