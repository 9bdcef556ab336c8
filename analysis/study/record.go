package study

import (
	"encoding/binary"
	"fmt"
	"math"

	"stopvolt/analysis"
)

// recordBlocks is the number of blocks whose benches leave a record each: those
// of the first 8,192 benches.
const recordBlocks = 8192 / benchesPerBlock

// records hold what the first benches gave, by block: as many bytes as
// recordBytes says for each of the block's benches, in their order.
type records map[int][]byte

// A session is what one experiment leaves in a record.
type session struct {
	// errors are the relative errors of h/e by row, NaN for failures, and lost
	// the number of settings left out of the line.
	errors []float64
	lost   []int
	seen   Observables
}

// Observables are what anyone can read off the brightest curve of a run.
type Observables struct {
	// Plateau is the reverse current at the end of the sweep over the forward
	// current at zero volts; 0 where no reverse current is seen.
	Plateau float64
	// Knee is the stretch in which the current above that plateau falls from a
	// half to a twentieth of its value at zero volts, over the voltage where it
	// has fallen to the twentieth. Both are NaN where they cannot be read.
	Knee float64
}

// sessionBytes is the length of a session's record: four bytes for each error
// and one for the settings lost, and four for each observable.
func sessionBytes(rows int) int { return 5*rows + 8 }

// appendRecord adds a session to the record of its bench.
func appendRecord(to []byte, f *findings) []byte {
	number := func(x float64) { to = binary.LittleEndian.AppendUint32(to, math.Float32bits(float32(x))) }
	for i, o := range f.hOverE {
		number(o.x)
		to = append(to, byte(min(f.lost[i], math.MaxUint8)))
	}
	number(f.seen.Plateau)
	number(f.seen.Knee)
	return to
}

// A benchRecord is the record of one bench, with its index and its one or two
// sessions.
type benchRecord struct {
	index    int
	sessions []session
}

// benches returns the records in the order of the benches.
func (t *Tally) benches(s Study) []benchRecord {
	rows := len(s.rows())
	var out []benchRecord
	for block := range min(recordBlocks, s.blockCount()) {
		text, ok := t.Records[block]
		if !ok {
			continue
		}
		first, end := s.benchesOf(block)
		for b := first; b < end; b++ {
			record := benchRecord{index: b}
			for range s.sessionsAt(b) {
				var one session
				one, text = readSession(text, rows)
				record.sessions = append(record.sessions, one)
			}
			out = append(out, record)
		}
	}
	return out
}

// readSession takes a session off the front of a record.
func readSession(text []byte, rows int) (session, []byte) {
	s := session{errors: make([]float64, rows), lost: make([]int, rows)}
	number := func() float64 {
		x := math.Float32frombits(binary.LittleEndian.Uint32(text))
		text = text[4:]
		return float64(x)
	}
	for i := range rows {
		s.errors[i] = number()
		s.lost[i] = int(text[0])
		text = text[1:]
	}
	s.seen.Plateau = number()
	s.seen.Knee = number()
	return s, text
}

// checkRecords says which block's records are missing, too many or of another
// length than the study's.
func (t *Tally) checkRecords(s Study) error {
	if t.Records == nil {
		return fmt.Errorf("its records are missing")
	}
	for block, text := range t.Records {
		if block < 0 || block >= recordBlocks || !t.Blocks.has(block) {
			return fmt.Errorf("there are records of block %d, which is not done or keeps none", block)
		}
		if want := s.recordBytes(block); len(text) != want {
			return fmt.Errorf("the records of block %d have %d bytes, and the study's have %d", block, len(text), want)
		}
	}
	for block := range min(recordBlocks, s.blockCount()) {
		if t.Blocks.has(block) && t.Records[block] == nil {
			return fmt.Errorf("the records of block %d are missing", block)
		}
	}
	return nil
}

// recordBytes returns the length of the records of a block.
func (s Study) recordBytes(block int) int {
	first, end := s.benchesOf(block)
	n := 0
	for b := first; b < end; b++ {
		n += s.sessionsAt(b) * sessionBytes(len(s.rows()))
	}
	return n
}

// Observe reads off the brightest curve of a run what anyone can.
func Observe(settings []analysis.Setting) Observables {
	var bright *analysis.Prepared
	var top float64
	for _, s := range settings {
		if s.Prepared == nil {
			continue
		}
		if at := currentAt(s.Prepared, 0); at > top {
			bright, top = s.Prepared, at
		}
	}
	if bright == nil {
		return Observables{math.NaN(), math.NaN()}
	}
	last := bright.I[len(bright.I)-1]
	o := Observables{Plateau: max(-last, 0) / top, Knee: math.NaN()}
	level := min(last, 0)
	half, twentieth := falls(bright, level+(top-level)/2), falls(bright, level+(top-level)/20)
	if half < twentieth {
		o.Knee = (twentieth - half) / twentieth
	}
	return o
}

// currentAt returns the current at a voltage by the readings to either side,
// NaN where there is none on one side.
func currentAt(p *analysis.Prepared, v float64) float64 {
	for i := range p.V {
		switch {
		case p.V[i] == v:
			return p.I[i]
		case p.V[i] > v && i > 0:
			return p.I[i-1] + (v-p.V[i-1])/(p.V[i]-p.V[i-1])*(p.I[i]-p.I[i-1])
		case p.V[i] > v:
			return math.NaN()
		}
	}
	return math.NaN()
}

// falls returns the first retarding voltage at which the readings fall to a
// current, NaN where they do not.
func falls(p *analysis.Prepared, current float64) float64 {
	for i := 1; i < len(p.V); i++ {
		if p.V[i] > 0 && p.I[i-1] >= current && p.I[i] < current {
			return p.V[i-1] + (p.V[i]-p.V[i-1])*(p.I[i-1]-current)/(p.I[i-1]-p.I[i])
		}
	}
	return math.NaN()
}
