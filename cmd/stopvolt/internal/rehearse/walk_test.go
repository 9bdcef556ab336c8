package rehearse

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"stopvolt/analysis/rehearsal"
	"stopvolt/cmd/stopvolt/internal/browser"
	"stopvolt/instrument/run"
)

// What is asked of every page.
const (
	wider   = `document.documentElement.scrollWidth - document.documentElement.clientWidth`
	outside = `[...document.querySelectorAll("body *")].filter(e => e.checkVisibility() &&
		!e.closest(".wide, .rows, .unseen, .skip, details:not([open]), svg") &&
		e.getBoundingClientRect().right > document.documentElement.clientWidth + 1).map(e => e.outerHTML.slice(0, 90)).join(" | ")`
)

// fits checks that a page is as wide as its window.
func (w *walker) fits(where string) {
	w.t.Helper()
	if n := eval[float64](w, wider); n > 0 {
		w.t.Errorf("%s is %g pixels wider than the window", where, n)
	}
	if text := eval[string](w, outside); text != "" {
		w.t.Errorf("%s: outside of the window: %s", where, text)
	}
	if text := eval[string](w, `document.body.innerText`); strings.Contains(text, "NaN") || strings.Contains(text, "[no text") {
		w.t.Errorf("%s has a number that is none, or lacks a text", where)
	}
}

// takes puts a filter in, opens a page and writes readings at voltages.
func (w *walker) takes(filter int, nm, dim string, wait bool, voltages ...float64) {
	w.t.Helper()
	if eval[bool](w, `document.getElementById("bench").classList.contains("open")`) {
		w.press("shutter")
	}
	for _, key := range []string{fmt.Sprintf("filter-%d", filter), "dim-" + map[string]string{"1": "0", "0.5": "1", "0.1": "2", "0.01": "3"}[dim]} {
		if w.diary == nil || !eval[bool](w, fmt.Sprintf(`document.getElementById(%q).getAttribute("aria-pressed") == "true"`, key)) {
			w.press(key)
		}
	}
	w.choose("new-page", nm)
	w.choose("new-page-dim", dim)
	w.press("open-page")
	w.press("shutter")
	for _, v := range voltages {
		w.writes(v, wait)
	}
}

// writes turns the dial, waits by letting bench time pass or not at all, and
// writes the reading down. Whoever does not hasten the bench waits for the meter.
func (w *walker) writes(v float64, hasten bool) {
	w.t.Helper()
	w.turns(v)
	if hasten {
		w.press("pass-10")
	} else if w.diary != nil {
		w.diary.count(func(e *effort) { e.settling += w.diary.settle })
	}
	w.press("write")
}

// begins goes on to a step by the page's own next button.
func (w *walker) begins(step string) {
	w.t.Helper()
	w.press("next-step")
	w.diary.begin(step)
	if got := eval[string](w, `document.querySelector("#order [aria-current=step]").id`); got != "step-"+step {
		w.t.Fatalf("the next step is #%s, not %s", got, step)
	}
}

// turns turns the dial to a voltage.
func (w *walker) turns(v float64) {
	w.t.Helper()
	w.fill("dial", strconv.FormatFloat(v, 'f', 2, 64))
	if w.diary == nil {
		w.press("turn")
		return
	}
	// A hand that is on the keys presses Enter, which belongs to typing.
	w.do(chromedp.KeyEvent(kb.Enter))
	w.settled()
}

// reads writes a cutoff.
func (w *walker) reads(v, u, rule string) {
	w.t.Helper()
	w.diary.count(func(e *effort) { e.cutoffs++ })
	w.fill("cutoff-v", v)
	w.fill("cutoff-u", u)
	w.choose("cutoff-rule", rule)
	w.press("cutoff-do")
	if said := w.says(); said != "" {
		w.t.Fatalf("writing a cutoff: %s", said)
	}
}

// The whole guided session, as a student goes through it: by mouse and by
// keyboard, on a telephone, a laptop and a projector. Nothing is on the console,
// and the readings that are handed out are those of the simulation.
func TestStudentWalksThroughTheWholeRehearsal(t *testing.T) {
	for _, width := range []int64{390, 1024, 1920} {
		for _, keyboard := range []bool{false, true} {
			hand := map[bool]string{false: "mouse", true: "keyboard"}[keyboard]
			t.Run(fmt.Sprintf("%s at %d", hand, width), func(t *testing.T) {
				t.Parallel()
				walk(t, width, keyboard, hand)
			})
		}
	}
}

func walk(t *testing.T, width int64, keyboard bool, hand string) {
	ctx := browser.Start(t, browserTime)
	o := options(t)
	o.Seed = func() uint64 { return 7 }
	server := serve(t, o)
	w := &walker{t: t, ctx: ctx, keyboard: keyboard}
	// One of the walks is the newcomer's: it does all that the prompts ask for,
	// and its effort is counted.
	newcomer := !keyboard && width == 1024
	if newcomer {
		w.diary = &diary{seen: make(map[string]bool)}
		w.diary.begin("safety")
	}
	if dir := os.Getenv(shots); dir != "" {
		w.shots = filepath.Join(dir, fmt.Sprintf("%s-%d", hand, width))
		if err := os.MkdirAll(w.shots, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	c, err := browser.Listen(ctx, from(server.address))
	if err != nil {
		t.Fatal(err)
	}
	w.do(chromedp.EmulateViewport(width, 900), chromedp.Navigate(server.address+"/"))
	w.fits("the first page")
	w.looks()
	w.shot("welcome")
	if keyboard {
		w.reach("begin")
		w.do(chromedp.KeyEvent("\r"))
	} else {
		w.click("begin")
	}
	w.do(chromedp.WaitVisible("#write"))
	w.looks()
	if newcomer {
		w.diary.settle = settleTime(server.only(t))
	}

	// Safety: the lamp does not go on before.
	w.fits("the desk")
	w.shot("desk")
	if !newcomer {
		w.press("lamp")
		if w.says() == "" {
			t.Error("the lamp can be lit before the cautions are read")
		}
	}
	w.press("acknowledge")
	w.press("lamp")
	w.press("pass-900")
	w.shot("lit")

	// Shutter closed.
	w.begins("dark")
	w.pick("answer-zero-0")
	w.press("keep-zero")
	if newcomer {
		// Each range, as the prompt asks.
		for _, r := range []string{"0", "1", "2"} {
			w.choose("range", r)
			w.press("null")
		}
	}
	w.choose("range", "3")
	w.press("pass-10")
	w.press("null")
	w.choose("new-page", "0")
	w.press("open-page")
	for _, v := range []float64{0, 1} {
		w.writes(v, !newcomer)
	}
	w.shot("dark")

	// The sketch, and a coarse sweep of blue.
	w.begins("coarse")
	for i, percent := range []string{"100", "100", "90", "60", "20", "0", "0"} {
		w.fill(fmt.Sprintf("sketch-%d", i), percent)
	}
	w.press("sketch-do")
	w.pick("answer-range-1")
	w.press("keep-range")
	sweep := []float64{-1, -0.5, 0, 0.2, 0.4, 0.6, 0.8, 1.0, 1.5}
	if newcomer {
		sweep = []float64{-1, -0.6, -0.3, 0, 0.2, 0.4, 0.6, 0.8, 1.1, 1.5}
	}
	w.takes(2, "435.8", "1", false, sweep...)
	w.fits("the coarse sweep")
	// The page keeps the picture's place before it comes, and so nothing moves away
	// under a hand.
	w.until(`document.getElementById("figure").complete`)
	if text := eval[string](w, `(() => { const f = document.getElementById("figure"), s = f.currentSrc.includes("narrow") ? f.parentElement.querySelector("source") : f; const kept = s.getAttribute("width") / s.getAttribute("height"), came = f.naturalWidth / f.naturalHeight; return Math.abs(kept / came - 1) < 0.01 ? "" : kept + " kept, " + came + " came"; })()`); text != "" {
		t.Errorf("the picture has another form than its place: %s", text)
	}
	w.shot("coarse")

	// A filter cannot be changed with the shutter open.
	if !eval[bool](w, `document.getElementById("filter-3").matches(":disabled")`) {
		t.Error("a filter can be changed with the shutter open")
	}

	// The knee, on a finer range.
	w.begins("knee")
	w.pick("answer-negative-1")
	w.press("keep-negative")
	w.press("shutter")
	w.choose("range", "2")
	w.press("pass-10")
	w.press("null")
	w.press("shutter")
	closely := []float64{0.50, 0.55, 0.65, 0.70, 0.75}
	if newcomer {
		closely = append(closely, 0.85, 0.90, 0.95)
	}
	for _, v := range closely {
		w.writes(v, !newcomer)
	}
	// The ruler, by number.
	w.unfold("ruler-tool")
	for i, at := range [][2]string{{"0.4", "300"}, {"0.7", "20"}} {
		w.fill(fmt.Sprintf("ruler-%d-v", i), at[0])
		w.fill(fmt.Sprintf("ruler-%d-i", i), at[1])
		w.press(fmt.Sprintf("ruler-%d", i))
	}
	w.reads("0.72", "0.03", "null-reading")
	w.fits("the knee")
	w.shot("knee")
	if !keyboard && width > 560 {
		w.do(chromedp.MouseClickXY(w.inside("figure", 0.25, 0.6)))
		w.settled()
		if v := server.only(t).rehearsal.Book().Ruler.V[0]; v < -0.5 || v > 0.38 {
			t.Errorf("a click on the figure moves the ruler's first end to %g V", v)
		}
	}
	w.unfold("note-tool")
	w.fill("note", "The current is below zero beyond the cutoff.")
	w.press("note-do")

	// Dimmed.
	w.begins("dim")
	w.pick("answer-dim-0")
	w.press("keep-dim")
	more := func(v float64, list ...float64) []float64 {
		if newcomer {
			return append(list, v)
		}
		return list
	}
	w.takes(2, "435.8", "0.1", !newcomer, more(1.2, 0.4, 0.5, 0.6, 0.65, 0.7, 0.75, 1)...)
	w.reads("0.69", "0.03", "null-reading")
	w.shot("dim")

	// The other lines.
	w.begins("lines")
	w.fill("answer-next", "0.22")
	w.press("keep-next")
	w.pick("answer-off-1")
	w.press("keep-off")
	w.takes(1, "404.7", "1", !newcomer, more(1.4, 0, 0.7, 0.8, 0.9, 0.95, 1, 1.2)...)
	w.reads("0.95", "0.03", "null-reading")
	w.takes(3, "546.1", "1", !newcomer, more(0.8, -0.5, 0, 0.1, 0.15, 0.2, 0.25, 0.5)...)
	w.reads("0.18", "0.03", "null-reading")
	if newcomer {
		w.takes(0, "365", "1", false, 0, 0.8, 1, 1.1, 1.2, 1.3, 1.4, 1.7)
		w.reads("1.25", "0.03", "null-reading")
		w.takes(4, "578", "1", false, -0.5, -0.2, -0.1, 0, 0.1, 0.2, 0.4, 0.8)
		w.reads("0.05", "0.03", "null-reading")
	}
	w.shot("lines")
	w.unfold("strike-tool")
	w.fill("strike-why", "the hand slipped")
	w.press("strike-do")

	// Handed in, and the line.
	w.begins("commit")
	w.press("commit")
	if said := w.says(); said != "" {
		t.Errorf("handing in: %s", said)
	}
	w.begins("line")
	w.pick("answer-straight-0")
	w.press("keep-straight")
	w.pick("answer-intercept-1")
	w.press("keep-intercept")
	w.fill("state-h", "4.2")
	w.fill("state-u", "0.2")
	w.press("state-do")
	w.fits("the line")
	w.shot("line")

	// The second bench.
	w.begins("fault")
	w.press("bench-2")
	if newcomer {
		// Readings of the other bench do not get into the page of this one.
		w.press("write")
		if n := server.only(t).rehearsal.Book(); len(n.Pages[n.Open].Readings) != 8 || w.says() == "" {
			t.Errorf("at the second bench the first one's page takes a reading, and the page says %q", w.says())
		}
		w.press("lamp")
		w.press("pass-900")
	}
	w.choose("new-page", "0")
	w.press("open-page")
	for _, v := range []float64{0, 2} {
		w.writes(v, !newcomer)
	}
	if newcomer {
		w.takes(2, "435.8", "1", false, -1, 0, 0.4, 0.6, 0.8, 1.6)
	}
	w.pick("fault-damp-base")
	w.press("fault-do")
	w.fits("the second bench")
	w.shot("fault")
	w.press("bench-1")

	// The debrief.
	w.begins("debrief")
	w.fill("resolve", "Wait for the meter, and go on beyond the cutoff.")
	w.press("resolve-do")
	w.shot("before-debrief")
	// A browser that asks early learns nothing.
	if server.only(t).rehearsal.Revealed() {
		t.Error("the truth is shown before it is asked for")
	}
	if keyboard {
		w.reach("reveal")
		w.do(chromedp.KeyEvent("\r"))
	} else {
		w.click("reveal")
	}
	w.do(chromedp.WaitVisible("#truth, #said:not(.quiet)"))
	if !eval[bool](w, `document.getElementById("truth") != null`) {
		t.Fatalf("the debrief does not come: %q; %q", w.says(), c.Take())
	}
	w.looks()
	w.fits("the debrief")
	w.shot("debrief")
	// A narrow window scrolls within a table rather than putting a word a line.
	if text := eval[string](w, `[...document.querySelectorAll("tr")].filter(r => r.getBoundingClientRect().height > 150).map(r => r.innerText).join(" | ")`); text != "" {
		t.Errorf("rows of a table are higher than 150 pixels: %s", text)
	}
	if newcomer {
		hasTime(t, w.diary)
	}
	for _, finding := range []string{"brighter-is-larger", "negative-is-fault", "straight-is-right", "intercept-is-emitter", "off-is-bad"} {
		if !eval[bool](w, fmt.Sprintf(`!!document.getElementById("finding-%s")`, finding)) {
			t.Errorf("the debrief does not speak of %s", finding)
		}
	}
	// 2 dark, 14 at the knee, 7 dimmed, 7 and 7; one is struck out. The newcomer's
	// are 2, 18, 8, and 8 of each of the others.
	readings := 36
	if newcomer {
		readings = 2 + 18 + 8 + 4*8 - 1
	}
	compareReadings(w, server, readings)
	for _, complaint := range c.Take() {
		t.Error(complaint)
	}
}

// hasTime holds a newcomer's effort to the claims: one line in ten minutes, the
// guided session in fifty, and no step beyond the minutes that the page names.
func hasTime(t *testing.T, d *diary) {
	t.Helper()
	for i, e := range d.steps {
		t.Log(e)
		step := rehearsal.Steps()[i]
		if step.Name != e.step {
			t.Fatalf("step %d is %s, not %s", i+1, e.step, step.Name)
		}
		if e.seconds() > 60*float64(step.Minutes) {
			t.Errorf("%s takes %.1f minutes, and the page names %d", e.step, e.seconds()/60, step.Minutes)
		}
	}
	all := d.sum()
	t.Log(all)
	if minutes := all.seconds() / 60; minutes > 50 {
		t.Errorf("the guided session takes %.1f minutes", minutes)
	}
}

// Somebody who has never seen the page sits down, reads the cautions, follows the
// prompts but for the questions and the sketch, and has the cutoff of one line,
// with its uncertainty, within ten minutes.
func TestNewcomerReadsOneLineInTenMinutes(t *testing.T) {
	o := options(t)
	o.Seed = func() uint64 { return 7 }
	s := serve(t, o)
	w := newWalker(t, s, "one-line", 1366, "light")
	w.do(chromedp.EmulateViewport(1366, 768), chromedp.Navigate(s.address+"/"))
	w.diary = &diary{seen: make(map[string]bool)}
	w.diary.begin("one line")
	w.looks()
	w.click("begin")
	w.do(chromedp.WaitVisible("#write"))
	w.looks()
	w.diary.settle = settleTime(s.only(t))
	for _, id := range []string{"acknowledge", "lamp", "pass-900", "next-step"} {
		w.press(id)
	}
	w.choose("range", "3")
	w.press("null")
	w.press("open-page")
	w.writes(0, false)
	w.writes(2, false)
	w.press("next-step")
	w.takes(2, "435.8", "1", false, -1, -0.6, -0.3, 0, 0.2, 0.4, 0.6, 0.8, 1.1, 1.5)
	w.press("next-step")
	for _, v := range []float64{0.5, 0.55, 0.65, 0.7, 0.75, 0.85, 0.9, 0.95} {
		w.writes(v, false)
		// What a person does again and again stays in sight, without scrolling.
		if text := eval[string](w, `["volts", "amps", "dial", "write", "shutter"].filter(id => { const b = document.getElementById(id).getBoundingClientRect(); return b.top < 0 || b.bottom > innerHeight; }).join(" ")`); text != "" {
			t.Errorf("at %g V, out of sight: %s", v, text)
		}
	}
	w.reads("0.72", "0.03", "by-eye")
	w.shot("cutoff")
	e := w.diary.now()
	t.Log(e)
	if minutes := e.seconds() / 60; minutes > 10 {
		t.Errorf("one line takes %.1f minutes", minutes)
	}
	book := s.only(t).rehearsal.Book()
	list := book.Pages[1].Readings
	if len(list) != 18 {
		t.Fatalf("%d readings are on the page", len(list))
	}
	// They show a curve and not the end of a scale.
	if first, last := book.Readings[list[0]].Current, book.Readings[list[9]].Current; !(first > 10*math.Abs(last)) || last >= 0 {
		t.Errorf("the current goes from %g to %g A", first, last)
	}
}

// settleTime returns the time in s after which a visitor's meter is within a
// hundredth of its reading, five time constants of the first order, and a second to
// see that it stands.
func settleTime(v *visitor) float64 { return 5*v.setup.Apparatus.Meter.Response + 1 }

// compareReadings compares the readings that the page hands out with those of a
// simulation that does what the log says, without a server or a browser.
func compareReadings(w *walker, server *served, want int) {
	w.t.Helper()
	text, err := chromedp.Run(w.ctx, chromedp.Evaluate[string](`fetch("/readings.csv").then(r => r.text())`, chromedp.EvalAwaitPromise))
	if err != nil {
		w.t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		w.t.Fatal(err)
	}
	v := server.only(w.t)
	setup := rehearsal.Drawn(teaching(w.t), 7, true, false, "damp-base")
	again, err := rehearsal.Replay(setup, v.rehearsal.Log())
	if err != nil {
		w.t.Fatal(err)
	}
	i := 0
	for _, curve := range again.Run(0).Curves {
		for _, r := range curve.Readings {
			if i++; i >= len(rows) {
				w.t.Fatalf("%d rows are handed out, and the simulation has more", len(rows)-1)
			}
			if !sameReading(rows[i], curve, r) {
				w.t.Errorf("row %d is %v; the simulation has %g V, %g A at %g s in %s", i, rows[i], r.Retarding, r.Current, r.Time, curve.Setting)
			}
		}
	}
	if i != len(rows)-1 || i != want {
		w.t.Errorf("%d rows are handed out, and the simulation has %d readings, not %d", len(rows)-1, i, want)
	}
}

// sameReading compares a row of a run's file with a reading.
func sameReading(row []string, c run.Curve, r run.Reading) bool {
	for i, want := range map[int]float64{2: r.Retarding, 3: r.Current, 5: r.Time} {
		got, err := strconv.ParseFloat(row[i], 64)
		if err != nil || math.Abs(got-want) > 1e-12*math.Abs(want) {
			return false
		}
	}
	return row[0] == c.Setting
}
