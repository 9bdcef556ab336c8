package rehearse

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
	"unicode"
)

// The rates of a person who sees the page for the first time. A click and a typed
// number are sums of the operators of S. K. Card, T. P. Moran and A. Newell,
// Communications of the ACM 23, 396 (1980), from memory: to decide 1.35 s, to
// point 1.1 s, to change the hand 0.4 s, and a key 0.28 s for somebody who does not
// type as a trade. They come to 2.7 s for a click and 4.5 s for a number of four
// keys with its field. Silent readers of English read some 240 words a minute
// (M. Brysbaert, Journal of Memory and Language 109, 104047 (2019), from memory);
// text with numbers in it is taken slower. How long a person thinks about a
// question, and where to read a cutoff, is a judgement without a source.
const (
	wordsEachMinute = 200.0
	clickTime       = 3.0
	numberTime      = 5.0
	letterTime      = 0.28
	questionTime    = 10.0
	cutoffTime      = 20.0
)

// An effort is what a step of the session costs a person.
type effort struct {
	step string
	// words are read, and numbers and letters typed.
	words, clicks, numbers, letters int
	// questions are answered, and cutoffs read.
	questions, cutoffs int
	// settling is the time in s for which the meter is waited for.
	settling float64
}

// seconds returns the time that it takes.
func (e effort) seconds() float64 {
	return 60*float64(e.words)/wordsEachMinute + clickTime*float64(e.clicks) + numberTime*float64(e.numbers) +
		letterTime*float64(e.letters) + questionTime*float64(e.questions) + cutoffTime*float64(e.cutoffs) + e.settling
}

func (e effort) String() string {
	return fmt.Sprintf("%-9s %5.1f min: %3d words, %3d clicks, %2d numbers, %3d letters, %d questions, %d cutoffs, %3.0f s of settling",
		e.step, e.seconds()/60, e.words, e.clicks, e.numbers, e.letters, e.questions, e.cutoffs, e.settling)
}

// A diary counts the effort of each step of a walk.
type diary struct {
	steps []effort
	// seen are the lines of text that were read.
	seen map[string]bool
	// settle is the time in s after which a turn of the dial has settled.
	settle float64
}

// begin begins a step.
func (d *diary) begin(step string) {
	if d != nil {
		d.steps = append(d.steps, effort{step: step})
	}
}

// count counts something of the present step.
func (d *diary) count(what func(*effort)) {
	if d != nil {
		what(&d.steps[len(d.steps)-1])
	}
}

// now returns the effort of the present step so far.
func (d *diary) now() effort {
	if d == nil {
		return effort{}
	}
	return d.steps[len(d.steps)-1]
}

var digits = regexp.MustCompile(`[0-9]+`)

// reads counts the words of a text that stand in lines not seen before. Numbers
// are looked at where they are needed, and are not read as words.
func (d *diary) reads(text string) {
	if d == nil {
		return
	}
	for _, line := range strings.Split(text, "\n") {
		line = digits.ReplaceAllString(strings.TrimSpace(line), "0")
		if line == "" || d.seen[line] {
			continue
		}
		d.seen[line] = true
		for _, word := range strings.Fields(line) {
			if strings.IndexFunc(word, unicode.IsLetter) >= 0 {
				d.count(func(e *effort) { e.words++ })
			}
		}
	}
}

// sum adds the steps up.
func (d *diary) sum(steps ...string) effort {
	all := effort{step: "all"}
	for _, e := range d.steps {
		wanted := len(steps) == 0
		for _, s := range steps {
			wanted = wanted || s == e.step
		}
		if !wanted {
			continue
		}
		all.words += e.words
		all.clicks += e.clicks
		all.numbers += e.numbers
		all.letters += e.letters
		all.questions += e.questions
		all.cutoffs += e.cutoffs
		all.settling += e.settling
	}
	return all
}

// An effort adds up by its rates, and a text is read once.
func TestEffortByPencil(t *testing.T) {
	d := &diary{seen: make(map[string]bool)}
	d.begin("one")
	d.reads("Turn the dial to 0.5 V\n\n12:30\nTurn the dial to 0.7 V\nZero the meter")
	// Turn, the, dial, to, V; then Zero, the, meter.
	if got := d.now().words; got != 8 {
		t.Errorf("%d words", got)
	}
	d.count(func(e *effort) {
		e.clicks, e.numbers, e.letters, e.questions, e.cutoffs, e.settling = 2, 3, 100, 1, 1, 4.6
	})
	// 2.4 + 6 + 15 + 28 + 10 + 20 + 4.6.
	if got := d.sum().seconds(); got < 85.99 || got > 86.01 {
		t.Errorf("%g s", got)
	}
}
