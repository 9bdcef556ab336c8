package rehearse

import (
	"testing"
	"time"

	"stopvolt/analysis/rehearsal"
)

// The bench's clock goes with the wall's while somebody attends, and waits while
// nobody does, however long.
func TestBenchWaitsWhileNobodyAttends(t *testing.T) {
	s := serve(t, options(t))
	sits(t, s)
	v := s.only(t)
	v.mutex.Lock()
	defer v.mutex.Unlock()
	now := v.last
	before := v.rehearsal.Clock()
	for range 30 {
		now = now.Add(100 * time.Millisecond)
		v.attend(now)
	}
	if passed := v.rehearsal.Clock() - before; passed < 2.99 || passed > 3.01 {
		t.Errorf("in 3 s of attention %g s went by at the bench", passed)
	}
	before = v.rehearsal.Clock()
	v.attend(now.Add(3 * time.Hour))
	if passed := v.rehearsal.Clock() - before; passed > mostLeap.Seconds()+1e-9 {
		t.Errorf("while nobody attended %g s went by at the bench", passed)
	}
	// And a clock that is put back does no harm.
	before = v.rehearsal.Clock()
	v.attend(now.Add(-time.Hour))
	if v.rehearsal.Clock() != before {
		t.Error("the bench's clock goes back with the wall's")
	}
}

// A picture is drawn anew when what it shows has changed, and not when the dial is
// turned.
func TestFiguresFollowTheLogbook(t *testing.T) {
	s := serve(t, options(t))
	p := sits(t, s)
	p.measures()
	v := s.only(t)
	picture := func() string {
		v.mutex.Lock()
		defer v.mutex.Unlock()
		d, err := v.draw("page")
		if err != nil {
			t.Fatal(err)
		}
		return string(d.svg)
	}
	before := picture()
	written := v.written
	p.does(rehearsal.Dial, "value", "0.7")
	if v.written != written || picture() != before {
		t.Error("turning the dial draws the page anew")
	}
	p.does(rehearsal.Write)
	if picture() == before {
		t.Error("a reading that was written down is not in the picture")
	}
	before = picture()
	p.does(rehearsal.Strike, "value", "19", "text", "misread")
	if picture() == before {
		t.Error("a reading that was struck out looks as before")
	}
}
