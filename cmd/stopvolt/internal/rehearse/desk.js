"use strict";
// The page works without this file, but for the moving meters. Here are: forms
// that change parts of the page instead of all of it, the meters' events, the
// dial's steps, the ruler by pointer, speech and pitch on request.
(() => {
  const $ = (id) => document.getElementById(id);
  const calm = matchMedia("(prefers-reduced-motion: reduce)");
  document.documentElement.classList.add("js");

  let busy = Promise.resolve();
  let held = false;
  let latest = null;
  let revision = -1;
  let source = null;
  // What each part was when it came.
  const sources = new Map();

  // One action after the other, so that none overtakes the one before.
  const post = (url, body, then, to) => {
    pending++;
    mark();
    busy = busy.then(async () => {
      const answer = await fetch(url, { method: "POST", headers: { "X-Parts": "1" }, body });
      if (!answer.ok) { say(await answer.text()); return; }
      put(await answer.text());
      if (then && !$("said").textContent) location.href = then;
      // A new task is read from its beginning.
      if (to && $(to)) { $(to).focus({ preventScroll: true }); $(to).scrollIntoView({ block: "nearest" }); }
    }).catch(() => say("…")).finally(() => { pending--; mark(); });
    return busy;
  };
  let pending = 0;
  const mark = () => { const all = $("all"); if (all) all.setAttribute("aria-busy", String(pending > 0)); };

  const say = (text) => {
    const said = $("said");
    if (said) { said.textContent = text; said.classList.toggle("quiet", !text); }
  };

  // put replaces the parts of the page that differ, and keeps the focus, what is
  // being typed, what is unfolded and what moves by itself.
  const put = (html) => {
    const next = new DOMParser().parseFromString(html, "text/html");
    const all = next.getElementById("all");
    if (!all) return;
    const focused = document.activeElement && document.activeElement.id;
    for (const part of next.querySelectorAll("[data-part]")) {
      const old = $(part.id);
      if (!old) { location.reload(); return; }
      const came = part.outerHTML;
      // What was said here without the server is answered by what it says now.
      if (part.id === "said") { say(part.textContent); continue; }
      if (sources.get(part.id) === came) continue;
      keepTyped(old, part);
      for (const d of old.querySelectorAll("details[id]")) {
        const twin = part.querySelector("#" + d.id);
        if (twin && d.open) twin.open = true;
      }
      // What is being dragged stays under the hand.
      const dragged = old.querySelector("input[type=range]:focus");
      const here = document.adoptNode(part);
      for (const kept of old.querySelectorAll("[data-keep]")) {
        const place = here.querySelector("#" + kept.id);
        if (place) place.replaceWith(kept);
      }
      const twin = dragged && here.querySelector("#" + dragged.id);
      if (twin) {
        dragged.setAttribute("aria-valuetext", twin.getAttribute("aria-valuetext"));
        // Taken out of the page, it would lose the hand: all else moves around it.
        for (const label of here.querySelectorAll("output")) {
          const shown = old.querySelector('output[for="' + label.htmlFor + '"]');
          if (shown) shown.textContent = label.textContent;
        }
        for (const field of here.querySelectorAll("input")) {
          const shown = $(field.id);
          if (shown && shown !== dragged) { shown.value = field.value; shown.setAttribute("aria-valuetext", field.getAttribute("aria-valuetext")); }
        }
        continue;
      }
      old.replaceWith(here);
      sources.set(part.id, came);
    }
    $("all").dataset.revision = all.dataset.revision;
    revision = Number(all.dataset.revision);
    const again = focused && $(focused);
    if (again && document.activeElement !== again) again.focus({ preventScroll: true });
    settle();
    if (latest) show(latest, true);
  };

  // keepTyped carries over what somebody is typing into a field that the action
  // did not concern.
  const keepTyped = (old, part) => {
    for (const field of old.querySelectorAll("input[data-typed]")) {
      const twin = field.id && part.querySelector("#" + field.id);
      if (twin) { twin.value = field.value; twin.dataset.typed = "1"; }
    }
  };

  const settle = () => {
    const rows = $("rows");
    if (rows) rows.scrollTop = rows.scrollHeight;
    const hold = $("hold");
    if (hold) {
      hold.setAttribute("aria-pressed", String(held));
      hold.textContent = held ? hold.dataset.release : hold.dataset.hold;
    }
    const pitch = $("pitch");
    if (pitch) {
      pitch.setAttribute("aria-pressed", String(Boolean(tone)));
      pitch.textContent = tone ? pitch.dataset.end : pitch.dataset.start;
    }
  };

  document.addEventListener("submit", (e) => {
    const form = e.target;
    if ("whole" in form.dataset || !/^\/(act|instructor)/.test(form.getAttribute("action") || "")) return;
    e.preventDefault();
    if (e.submitter && e.submitter.getAttribute("aria-disabled") === "true" && e.submitter.id === "write") { say(e.submitter.parentElement.querySelector(".fine").textContent); return; }
    const body = new URLSearchParams(new FormData(form, e.submitter));
    for (const field of form.querySelectorAll("[data-typed]")) delete field.dataset.typed;
    post(form.getAttribute("action"), body, form.dataset.then, form.dataset.to);
  });

  document.addEventListener("input", (e) => {
    const field = e.target;
    if (field.matches("input:not([type=radio]):not([type=range])") && field.id !== "dial") field.dataset.typed = "1";
    const live = field.closest("form[data-live]");
    if (live) later(live);
  });
  document.addEventListener("change", (e) => {
    if (e.target.matches("select[data-go]")) e.target.form.requestSubmit();
    const live = e.target.closest("form[data-live]");
    if (live) later(live);
  });

  // later sends a form once the last answer is here; the latest values win.
  let waiting = false;
  const later = (form) => {
    if (waiting) return;
    waiting = true;
    busy.then(() => { waiting = false; post(form.getAttribute("action"), new URLSearchParams(new FormData(form))); });
  };

  // The dial's steps.
  document.addEventListener("click", (e) => {
    const step = e.target.closest("[data-turn]");
    if (step) {
      const dial = $("dial");
      const from = Number(dial.dataset.dial);
      const to = (Math.round((from + Number(step.dataset.turn)) * 1000) / 1000).toFixed(3);
      dial.dataset.dial = to;
      post("/act", new URLSearchParams({ do: "dial", value: to }));
      return;
    }
    if (e.target.closest("#hold")) { held = !held; settle(); if (!held && latest) show(latest, true); return; }
    if (e.target.closest("#speak")) { speak(); return; }
    if (e.target.closest("#pitch")) { toggleTone(); settle(); return; }
    if (e.target.closest("#print")) { window.print(); return; }
    const take = e.target.closest("[data-take]");
    if (take && $("cutoff-v")) {
      $("cutoff-v").value = take.dataset.take;
      $("cutoff-v").dataset.typed = "1";
      $("cutoff-rule").value = "ruler";
      $("cutoff-u").focus();
      return;
    }
    if (e.target.id === "figure") lay(e);
  });

  // lay lays an end of the ruler where the figure is clicked.
  let end = 0;
  const lay = (e) => {
    const panels = narrow.matches ? null : JSON.parse(e.target.dataset.panels || "null");
    if (!panels || !panels.length) return;
    const box = e.target.getBoundingClientRect();
    const x = (e.clientX - box.left) / box.width, y = (e.clientY - box.top) / box.height;
    for (const p of panels) {
      if (x < p.Left || x > p.Right || y < p.Top || y > p.Bottom) continue;
      const v = p.LowV + (p.HighV - p.LowV) * (x - p.Left) / (p.Right - p.Left);
      const i = p.HighI - (p.HighI - p.LowI) * (y - p.Top) / (p.Bottom - p.Top);
      post("/act", new URLSearchParams({ do: "ruler", value: String(end), second: v.toFixed(4), third: (i * 1e12).toFixed(3) }));
      end = 1 - end;
      return;
    }
  };
  const narrow = matchMedia("(max-width: 560px)");

  // The meters.
  let shownAt = 0;
  const show = (m, now) => {
    latest = m;
    const clock = $("clock");
    if (clock && clock.textContent !== m.clock) clock.textContent = m.clock;
    if (m.revision > revision && revision >= 0) refresh();
    sound(m);
    // Whoever asks for less motion gets a reading a second.
    if (held || (!now && calm.matches && performance.now() - shownAt < 1000)) return;
    shownAt = performance.now();
    const volts = $("volts");
    if (!volts) return;
    volts.firstElementChild.textContent = m.volts;
    volts.setAttribute("aria-valuenow", m.voltsNow);
    volts.setAttribute("aria-valuetext", m.volts + " V");
    const amps = $("amps");
    amps.setAttribute("aria-valuenow", m.now);
    amps.setAttribute("aria-valuemin", -m.most);
    amps.setAttribute("aria-valuemax", m.most);
    amps.setAttribute("aria-valuetext", m.amps + " " + m.unit);
    $("amps-text").textContent = m.amps;
    $("amps-unit").textContent = m.beyond ? "" : m.unit;
    const angle = m.deflection * 48 * Math.PI / 180;
    $("needle").setAttribute("x2", (120 + 96 * Math.sin(angle)).toFixed(1));
    $("needle").setAttribute("y2", (130 - 96 * Math.cos(angle)).toFixed(1));
  };

  let fetching = false;
  const refresh = () => {
    if (fetching) return;
    fetching = true;
    busy = busy.then(async () => {
      const seen = latest ? latest.revision : -1;
      if (seen > revision) {
        const answer = await fetch("/desk");
        if (answer.ok) put(await answer.text());
      }
    }).catch(() => {}).finally(() => { fetching = false; });
  };

  const listen = () => {
    if (!$("volts") || source) return;
    source = new EventSource("/events");
    source.onmessage = (e) => show(JSON.parse(e.data), false);
  };
  // The bench waits while nobody looks.
  document.addEventListener("visibilitychange", () => {
    if (document.hidden) { if (source) { source.close(); source = null; } } else listen();
  });
  addEventListener("pagehide", () => { if (source) { source.close(); source = null; } });
  addEventListener("pageshow", () => listen());

  const speak = () => {
    const spoken = $("spoken");
    if (!spoken || !latest) return;
    const text = held ? $("volts").getAttribute("aria-valuetext") + ", " + $("amps").getAttribute("aria-valuetext") : latest.spoken;
    spoken.textContent = "";
    setTimeout(() => { spoken.textContent = text; }, 50);
    if ("speechSynthesis" in window) {
      const words = new SpeechSynthesisUtterance(text);
      words.lang = document.documentElement.lang;
      speechSynthesis.cancel();
      speechSynthesis.speak(words);
    }
  };

  // The pitch: 220 Hz at zero, two octaves up at the full scale, one down at
  // its negative.
  let tone = null;
  const toggleTone = () => {
    if (tone) { tone.oscillator.stop(); tone.context.close(); tone = null; return; }
    const context = new AudioContext();
    const oscillator = context.createOscillator(), volume = context.createGain();
    volume.gain.value = 0.05;
    oscillator.type = "triangle";
    oscillator.connect(volume).connect(context.destination);
    oscillator.start();
    tone = { context, oscillator };
    if (latest) sound(latest);
  };
  const sound = (m) => {
    if (!tone || held) return;
    const octaves = m.deflection >= 0 ? 2 * m.deflection : m.deflection;
    tone.oscillator.frequency.setTargetAtTime(220 * 2 ** octaves, tone.context.currentTime, 0.05);
  };

  const start = () => {
    const all = $("all");
    if (all) revision = Number(all.dataset.revision);
    settle();
    listen();
  };
  start();
})();
