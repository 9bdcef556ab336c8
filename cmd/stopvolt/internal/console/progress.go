package console

import (
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
