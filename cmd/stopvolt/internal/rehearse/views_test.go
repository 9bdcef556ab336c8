package rehearse

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"stopvolt/analysis/rehearsal"
	"stopvolt/cmd/stopvolt/internal/browser"
)

// newWalker returns a walker in a browser of its own, whose complaints are
// errors at the end.
func newWalker(t *testing.T, s *served, name string, width int64, scheme string) *walker {
	t.Helper()
	ctx := browser.Start(t, browserTime)
	w := &walker{t: t, ctx: ctx}
	if dir := os.Getenv(shots); dir != "" {
		w.shots = filepath.Join(dir, name)
		if err := os.MkdirAll(w.shots, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	c, err := browser.Listen(ctx, from(s.address))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		for _, complaint := range c.Take() {
			t.Error(complaint)
		}
	})
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
	}); err != nil {
		t.Fatal(err)
	}
	w.do(chromedp.EmulateViewport(width, 900))
	return w
}

// The instructor turns knobs, and the curve and the true cutoff follow.
func TestInstructorChangesTheBench(t *testing.T) {
	s := serve(t, options(t))
	sits(t, s).measures()
	w := newWalker(t, s, "instructor", 1280, "light")
	w.do(chromedp.Navigate(s.address + "/instructor?token=instructor-of-tests"))
	w.fits("the instructor's view")
	picture := func() string { return eval[string](w, `document.getElementById("curve").src`) }
	truth := func() string { return eval[string](w, `document.querySelector("#shown strong").textContent`) }
	before, told := picture(), truth()
	w.reach("knob-contact")
	for range 5 {
		w.do(chromedp.KeyEvent(kb.ArrowRight))
	}
	w.until(fmt.Sprintf(`document.querySelector("#shown strong").textContent != %q`, told))
	w.settled()
	if picture() == before {
		t.Error("the curve does not follow the contact potential")
	}
	contact := s.demo.now.Collector.WorkFunction - s.demo.now.Emitter.WorkFunction
	if want := s.demo.base.Collector.WorkFunction - s.demo.base.Emitter.WorkFunction + 0.05; contact < want-1e-9 || contact > want+1e-9 {
		t.Errorf("five steps to the right give a contact potential of %g V, not %g V", contact, want)
	}
	w.shot("contact")
	for _, k := range knobs() {
		w.reach("knob-" + k.name)
		w.do(chromedp.KeyEvent(kb.ArrowLeft), chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowRight))
		w.settled()
	}
	w.press("reset")
	if truth() != told {
		t.Errorf("as it was, the truth is %q and not %q", truth(), told)
	}
	w.do(chromedp.Navigate(s.address + "/instructor?steps=1"))
	if n := eval[float64](w, `document.querySelectorAll("#steps img").length`); n < 4 {
		t.Errorf("the knee is built up in %g steps", n)
	}
	w.until(`(() => { document.querySelectorAll("#steps img").forEach(i => i.loading = "eager"); return [...document.querySelectorAll("#steps img")].every(i => i.complete && i.naturalWidth > 0); })()`)
	w.fits("the steps")
	w.shot("steps")
}

// A German reads German, with commas, in the dark, on a telephone.
func TestGermanInTheDark(t *testing.T) {
	o := options(t)
	o.Language, o.Comma = "de", true
	s := serve(t, o)
	w := newWalker(t, s, "german", 390, "dark")
	w.do(chromedp.Navigate(s.address + "/"))
	w.shot("welcome")
	w.click("begin")
	w.do(chromedp.WaitVisible("#write"))
	w.press("acknowledge")
	w.press("lamp")
	w.press("pass-900")
	w.choose("range", "3")
	w.press("null")
	w.takes(2, "435.8", "1", true, -0.5, 0, 0.5, 1, 1.5)
	// The meters follow by events of their own, a moment after the page's answer.
	shown := ""
	for range 60 {
		if shown = eval[string](w, `document.getElementById("volts").textContent`); shown == "1,500 V" {
			break
		}
		w.do(chromedp.Sleep(50 * time.Millisecond))
	}
	if shown != "1,500 V" {
		t.Errorf("the voltmeter shows %q", shown)
	}
	w.fill("dial", "0,25")
	w.press("turn")
	if v := s.only(t).rehearsal.Controls().Dial; v != 0.25 {
		t.Errorf("0,25 typed turns the dial to %g V", v)
	}
	w.fits("the German desk")
	w.shot("desk")
	w.do(chromedp.Navigate(s.address + "/figure/page-narrow.svg"))
	if text := eval[string](w, `document.documentElement.textContent`); !regexpComma(text) {
		t.Error("the figure has no decimal comma")
	}
}

func regexpComma(text string) bool {
	for i := 1; i+1 < len(text); i++ {
		if text[i] == ',' && text[i-1] >= '0' && text[i-1] <= '9' && text[i+1] >= '0' && text[i+1] <= '9' {
			return true
		}
	}
	return false
}

// A demonstrator drills: a floating collector, the fault named, the debrief.
func TestDrillAndFloatingCollector(t *testing.T) {
	o := options(t)
	a := teaching(t)
	o.Draw = func(seed uint64) (rehearsal.Setup, error) {
		return rehearsal.Drawn(a, seed, false, true, "room-light"), nil
	}
	s := serve(t, o)
	w := newWalker(t, s, "drill", 1440, "light")
	w.do(chromedp.Navigate(s.address + "/"))
	w.click("begin")
	w.do(chromedp.WaitVisible("#write"))
	w.press("acknowledge")
	w.press("lamp")
	w.press("pass-900")
	w.press("shutter")
	w.unfold("more-tool")
	w.press("float")
	w.press("pass-900")
	w.choose("new-page", "365")
	w.press("open-page")
	w.press("write")
	if v := s.only(t).rehearsal.Book().Readings[0].Retarding; v < 0.3 {
		t.Errorf("the floating collector comes to rest at %g V", v)
	}
	w.fits("the drill")
	w.shot("floating")
	w.press("float")
	w.pick("fault-room-light")
	w.press("fault-do")
	w.click("reveal")
	w.do(chromedp.WaitVisible("#truth"))
	if eval[bool](w, `document.querySelector(".undone") != null`) {
		t.Error("a drill, which asks for the fault alone, lists what was not done")
	}
	w.fits("the drill's debrief")
	w.shot("debrief")
	if text := eval[string](w, `document.body.innerText`); !eval[bool](w, `document.body.innerText.includes("You named it")`) {
		t.Errorf("the debrief does not say that the fault was named: %.300s", text)
	}
}

// Display held, spoken on request, and no live region otherwise.
func TestMetersSpeakOnRequestOnly(t *testing.T) {
	s := serve(t, options(t))
	w := newWalker(t, s, "meters", 1024, "light")
	w.do(chromedp.Navigate(s.address + "/"))
	w.click("begin")
	w.do(chromedp.WaitVisible("#write"))
	for _, id := range []string{"volts", "amps"} {
		if got := eval[string](w, fmt.Sprintf(`(e => e.getAttribute("role") + " " + e.getAttribute("aria-live"))(document.getElementById(%q))`, id)); got != "meter off" {
			t.Errorf("#%s is %q", id, got)
		}
	}
	if got := eval[string](w, `document.getElementById("spoken").textContent`); got != "" {
		t.Errorf("unasked, it says %q", got)
	}
	w.click("speak")
	w.until(`document.getElementById("spoken").textContent.includes("volts")`)
	w.click("hold")
	clock := eval[string](w, `document.getElementById("clock").textContent`)
	held := eval[string](w, `document.getElementById("volts").textContent`)
	w.until(fmt.Sprintf(`document.getElementById("clock").textContent != %q`, clock))
	s.only(t).mutex.Lock()
	_ = s.only(t).does(rehearsal.Action{Kind: rehearsal.Dial, Value: 1}, s.only(t).last)
	s.only(t).mutex.Unlock()
	w.until(`document.getElementById("dial").value == "1.000"`)
	if got := eval[string](w, `document.getElementById("volts").textContent`); got != held {
		t.Errorf("held at %q, the display goes on to %q", held, got)
	}
	w.click("pitch")
	if eval[string](w, `document.getElementById("pitch").getAttribute("aria-pressed")`) != "true" {
		t.Error("the pitch cannot be asked for")
	}
	w.click("pitch")
}

// Whoever asks for less motion gets meters that change once a second, and a press
// shows at once; who looks elsewhere leaves the bench waiting; and a reload goes on
// where it was.
func TestMetersAreCalmOnRequestAndWaitWhileNobodyLooks(t *testing.T) {
	s := serve(t, options(t))
	w := newWalker(t, s, "calm", 1024, "light")
	if _, err := chromedp.Call(w.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-reduced-motion", Value: "reduce"}},
	}); err != nil {
		t.Fatal(err)
	}
	w.do(chromedp.Navigate(s.address + "/"))
	w.click("begin")
	w.do(chromedp.WaitVisible("#write"))
	w.press("acknowledge")
	w.press("lamp")
	w.press("shutter")
	// The needle is watched for as long as twenty-five tenths of a second of events.
	eval[float64](w, `(() => { window.moves = 0; window.events = 0; new MutationObserver(() => window.moves++).observe(document.getElementById("needle"), {attributes: true, attributeFilter: ["x2"]}); new MutationObserver(() => window.events++).observe(document.getElementById("clock"), {childList: true, characterData: true, subtree: true}); return 0; })()`)
	w.until(`window.events >= 4`)
	if moves := eval[float64](w, `window.moves`); moves > 6 {
		t.Errorf("while four seconds pass the needle moves %g times, for somebody who asked for less motion", moves)
	}
	w.press("up-10")
	if got := eval[string](w, `document.getElementById("dial").value`); got != "0.100" {
		t.Errorf("a step of the dial shows %q", got)
	}

	v := s.only(t)
	streams := func(want int) {
		t.Helper()
		for range 500 {
			v.mutex.Lock()
			n := v.streams
			v.mutex.Unlock()
			if n == want {
				return
			}
			time.Sleep(20 * time.Millisecond)
		}
		t.Fatalf("the streams do not become %d", want)
	}
	hidden := func(yes bool) {
		eval[bool](w, fmt.Sprintf(`Object.defineProperty(document, "hidden", {configurable: true, get: () => %t}); document.dispatchEvent(new Event("visibilitychange")); true`, yes))
	}
	hidden(true)
	streams(0)
	hidden(false)
	streams(1)

	w.choose("new-page", "0")
	w.press("open-page")
	w.press("write")
	w.press("next-step")
	w.do(chromedp.Reload(), chromedp.WaitVisible("#write"))
	for _, script := range []string{
		`document.querySelectorAll("#rows tbody tr").length == 1`, `document.getElementById("dial").value == "0.100"`,
		`document.querySelector("#order [aria-current=step]").id == "step-dark"`, `document.getElementById("bench").className.includes("lit")`,
	} {
		if !eval[bool](w, script) {
			t.Errorf("after a reload it is not so that %s", script)
		}
	}
}
