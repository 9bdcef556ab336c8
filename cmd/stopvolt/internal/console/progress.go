package console

import (
	"fmt"
	"io"
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"
)

// Progress returns the functions that show progress on a terminal, which do
// nothing elsewhere. A total of -1 is not known.
func (c Console) Progress(total int) (done, finish func()) {
	if c.terminal == nil {
		return nil, func() {}
	}
	bar := progressbar.NewOptions(total,
		progressbar.OptionSetWriter(c.terminal),
		progressbar.OptionSetDescription("experiments"),
		progressbar.OptionShowCount(),
		progressbar.OptionShowIts(),
		progressbar.OptionSetItsString("experiments"),
		progressbar.OptionSetPredictTime(true),
		progressbar.OptionThrottle(100*time.Millisecond),
		progressbar.OptionClearOnFinish(),
		progressbar.OptionSetRenderBlankState(true),
	)
	// A terminal that cannot be written to is no reason to stop the study.
	return func() { _ = bar.Add(1) }, func() { _ = bar.Finish() }
}

// lines tell how far a command is where nobody sees a bar.
type lines struct {
	out   io.Writer
	what  string
	total int
	every time.Duration

	mutex       sync.Mutex
	done        int
	began, told time.Time
}

// LongProgress is Progress for a command that takes minutes: where the standard error
// is no terminal, it prints a line at the first experiment, and then one every half
// minute. The lines begin with what is done.
func (c Console) LongProgress(what string, total int) (done, finish func()) {
	if c.terminal != nil {
		return c.Progress(total)
	}
	l := &lines{out: c.Err, what: what, total: total, every: 30 * time.Second, began: time.Now()}
	return l.step, func() {}
}

// step counts an experiment.
func (l *lines) step() {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	l.done++
	now := time.Now()
	if l.done > 1 && now.Sub(l.told) < l.every {
		return
	}
	l.told = now
	of := ""
	if l.total > 0 {
		of = fmt.Sprintf(" of %d", l.total)
	}
	fmt.Fprintf(l.out, "stopvolt: %s: %d%s experiments after %.0f s\n", l.what, l.done, of, now.Sub(l.began).Seconds())
}
