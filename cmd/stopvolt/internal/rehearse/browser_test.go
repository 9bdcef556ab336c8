package rehearse

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// shots is the environment variable with a folder for pictures of each step.
const shots = "STOPVOLT_SHOTS"

// browserTime is as long as a walk through the rehearsal may take where several
// share the machine.
const browserTime = 6 * time.Minute

// from allows a page what comes from one server.
func from(address string) func(string) bool {
	return func(asked string) bool { return strings.HasPrefix(asked, address) }
}

// A walker does at the page what a person does, by mouse or by keyboard.
type walker struct {
	t        *testing.T
	ctx      context.Context
	keyboard bool
	shots    string
	taken    int
	// diary counts what a walk costs a person; nil for nobody.
	diary *diary
}

func (w *walker) do(steps ...chromedp.Action[chromedp.Void]) {
	w.t.Helper()
	if err := chromedp.Do(w.ctx, steps...); err != nil {
		w.t.Fatal(err)
	}
}

// eval returns what a script says.
func eval[T any](w *walker, script string) T {
	w.t.Helper()
	x, err := chromedp.Run(w.ctx, chromedp.Evaluate[T](script))
	if err != nil {
		w.t.Fatalf("%s: %v", script, err)
	}
	return x
}

// tabbable lists what the Tab key comes to, in its order.
const tabbable = `[...document.querySelectorAll("a[href],button,input,select,summary,[tabindex='0']")].filter(e => !e.disabled && !e.matches("fieldset[disabled] *") && e.type != "hidden" && e.checkVisibility({contentVisibilityAuto: true, visibilityProperty: true}))`

// reach puts the focus on an element: by the Tab key, either way, or by its
// place for the mouse.
func (w *walker) reach(id string) {
	w.t.Helper()
	w.reachOne(id, fmt.Sprintf(`document.activeElement.id == %q`, id))
}

// reachOne goes towards an element until a script says that it is there.
func (w *walker) reachOne(id, there string) {
	w.t.Helper()
	for range 400 {
		if eval[bool](w, there) {
			return
		}
		// The shorter way.
		steps := eval[float64](w, fmt.Sprintf(`(() => { const all = %s; const to = all.findIndex(e => e.id == %q), from = all.indexOf(document.activeElement); return to < 0 ? 1e9 : to - from; })()`, tabbable, id))
		switch {
		case steps > 1e8:
			w.t.Fatalf("the Tab key does not come to #%s", id)
		case steps > 0:
			w.do(chromedp.KeyEvent(kb.Tab))
		default:
			w.do(chromedp.KeyEvent(kb.Tab, chromedp.KeyModifiers(chromedp.ModifierShift)))
		}
	}
	w.t.Fatalf("the Tab key comes to #%s not within 400 strokes", id)
}

// click clicks the middle of an element with the mouse.
func (w *walker) click(id string) {
	w.t.Helper()
	at := eval[[]float64](w, fmt.Sprintf(`(() => { const e = document.getElementById(%q); if (!e) return []; e.scrollIntoView({block: "center"}); const b = e.getBoundingClientRect(); const top = document.elementFromPoint(b.x + b.width / 2, b.y + b.height / 2); return top && (top == e || e.contains(top) || top.contains(e)) ? [b.x + b.width / 2, b.y + b.height / 2] : [b.x, b.y, 0]; })()`, id))
	switch len(at) {
	case 0:
		w.t.Fatalf("there is no #%s", id)
	case 3:
		w.t.Fatalf("#%s is covered, at %v", id, at)
	}
	w.diary.count(func(e *effort) { e.clicks++ })
	w.do(chromedp.MouseClickXY(at[0], at[1]))
}

// inside returns a place within an element, as parts of its width and height.
func (w *walker) inside(id string, right, down float64) (x, y float64) {
	w.t.Helper()
	at := eval[[]float64](w, fmt.Sprintf(`(() => { const e = document.getElementById(%q); e.scrollIntoView({block: "center"}); const b = e.getBoundingClientRect(); return [b.x + b.width * %g, b.y + b.height * %g]; })()`, id, right, down))
	return at[0], at[1]
}

// press presses a button and waits for the answer.
func (w *walker) press(id string) {
	w.t.Helper()
	if w.keyboard {
		w.reach(id)
		w.do(chromedp.KeyEvent(kb.Enter))
	} else {
		w.click(id)
	}
	w.settled()
}

// settled waits until no action is on its way.
func (w *walker) settled() {
	w.t.Helper()
	w.do(chromedp.WaitNotPresent(`#all[aria-busy="true"]`))
	w.looks()
}

// looks reads what is new on the page.
func (w *walker) looks() {
	w.t.Helper()
	if w.diary != nil {
		w.diary.reads(eval[string](w, legible))
	}
}

// legible is the text on the page that stands there to be read: not that of closed
// lists and folds, of drawings, and for screen readers alone.
const legible = `(() => {
	const lines = [], all = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	for (let n; n = all.nextNode();) {
		const e = n.parentElement;
		if (e.checkVisibility({contentVisibilityAuto: true, visibilityProperty: true}) && !e.closest("option, svg, .unseen, .skip")) lines.push(n.textContent);
	}
	return lines.join("\n");
})()`

// says returns what the page said of the last action.
func (w *walker) says() string { return eval[string](w, `document.getElementById("said").textContent`) }

// fill types into a field.
func (w *walker) fill(id, text string) {
	w.t.Helper()
	if w.keyboard {
		w.reach(id)
	} else {
		// The click into the field is a part of typing.
		if w.diary != nil {
			before := w.diary.now().clicks
			defer w.diary.count(func(e *effort) { e.clicks = before })
		}
		// A picture that comes late moves what is below it, and a hand clicks again.
		for range 5 {
			w.click(id)
			if eval[string](w, `document.activeElement.id`) == id {
				break
			}
			w.do(chromedp.Sleep(200 * time.Millisecond))
		}
	}
	w.do(chromedp.KeyEvent("a", chromedp.KeyModifiers(chromedp.ModifierCtrl)), chromedp.KeyEvent(kb.Delete), chromedp.KeyEvent(text))
	w.diary.count(func(e *effort) {
		e.numbers++
		if strings.Contains(text, " ") {
			e.letters += len(text)
		}
	})
	if got := eval[string](w, `document.activeElement.value`); got != text {
		w.t.Fatalf("#%s holds %q after typing %q", id, got, text)
	}
}

// choose chooses an option of a list by the arrow keys, which the mouse's own
// list in a headless browser does not show.
func (w *walker) choose(id, value string) {
	w.t.Helper()
	if w.keyboard {
		w.reach(id)
	} else {
		w.do(chromedp.Focus("#" + id))
	}
	to := eval[float64](w, fmt.Sprintf(`[...document.getElementById(%q).options].findIndex(o => o.value == %q)`, id, value))
	if to < 0 {
		w.t.Fatalf("#%s has no option %q", id, value)
	}
	tries := 0
	for turned := false; ; turned = true {
		at := eval[float64](w, fmt.Sprintf(`document.getElementById(%q).selectedIndex`, id))
		switch {
		case at == to:
			if turned {
				// The list was opened, and an option clicked.
				w.diary.count(func(e *effort) { e.clicks += 2 })
			}
			w.settled()
			return
		case at < to:
			w.do(chromedp.KeyEvent(kb.ArrowDown))
		default:
			w.do(chromedp.KeyEvent(kb.ArrowUp))
		}
		w.settled()
		if tries++; tries > 40 {
			w.t.Fatalf("#%s does not come to %q", id, value)
		}
	}
}

// pick picks one of several choices.
func (w *walker) pick(id string) {
	w.t.Helper()
	w.diary.count(func(e *effort) { e.questions++ })
	if !w.keyboard {
		w.click(id)
		return
	}
	// The Tab key comes to the chosen one of a group, or to the one next to where it
	// came from, and arrow keys go through it.
	w.reachOne(id, fmt.Sprintf(`document.activeElement.type == "radio" && document.activeElement.form == document.getElementById(%q).form`, id))
	w.do(chromedp.KeyEvent(" "))
	for range 12 {
		if eval[bool](w, fmt.Sprintf(`document.getElementById(%q).checked`, id)) {
			return
		}
		w.do(chromedp.KeyEvent(kb.ArrowDown))
	}
	w.t.Fatalf("the arrow keys do not come to #%s", id)
}

// unfold opens a details element.
func (w *walker) unfold(id string) {
	w.t.Helper()
	if eval[bool](w, fmt.Sprintf(`document.getElementById(%q).open`, id)) {
		return
	}
	if eval[bool](w, fmt.Sprintf(`(() => { const s = document.querySelector("#%s > summary"); s.id = "%s-summary"; return true; })()`, id, id)) {
		if w.keyboard {
			w.reach(id + "-summary")
			w.do(chromedp.KeyEvent(kb.Enter))
		} else {
			w.click(id + "-summary")
		}
	}
}

// joins lets the browser sit down as the one student whom a server has.
func (w *walker) joins(s *served) {
	w.t.Helper()
	w.do(chromedp.Navigate(s.address + "/file/style.css"))
	if _, err := chromedp.Call(w.ctx, network.SetCookie, network.SetCookieParams{Name: visitorCookie, Value: s.only(w.t).id, URL: s.address}); err != nil {
		w.t.Fatal(err)
	}
}

// shot takes a picture of the page, where somebody wants to look.
func (w *walker) shot(name string) {
	w.t.Helper()
	if w.shots == "" {
		return
	}
	w.taken++
	picture, err := chromedp.Run(w.ctx, chromedp.FullScreenshot(100))
	if err != nil {
		w.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(w.shots, fmt.Sprintf("%02d-%s.png", w.taken, name)), picture, 0o644); err != nil {
		w.t.Fatal(err)
	}
}

// until waits until a script says true.
func (w *walker) until(script string) {
	w.t.Helper()
	if _, err := chromedp.Run(w.ctx, chromedp.Poll[bool](script)); err != nil {
		w.t.Fatalf("%s: %v", script, err)
	}
}
