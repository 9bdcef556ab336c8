package console

import (
	"io"
	"os"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

// Progress returns the functions that show progress on a terminal, which do
// nothing elsewhere. A total of -1 is not known.
func Progress(w io.Writer, total int) (done, finish func()) {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return nil, func() {}
	}
	bar := progressbar.NewOptions(total,
		progressbar.OptionSetWriter(w),
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
