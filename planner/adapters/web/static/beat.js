/* The metronome of a piece: counts off, clicks or beats by sight alone, holds a drone. */

import { barsOf, clicksOf, goOn, nextMark, tappedTempo } from "./beats.js";
import { drone, Scheduler } from "./beat_sound.js";

const AHEAD_S = 1.5;
const WAKE_MS = 100;
const SOON_S = 0.1;
/* Clicks are handed over so far ahead, as a browser wakes a page in the background once a second. */
const SLOWEST = 20;
const FASTEST = 320;
const BUSY_MS = 2000;
const KEPT = "beat-a4";

let context = null;
let sounding = null;

function audio() {
  context ??= new AudioContext({ latencyHint: "interactive" });
  context.resume();
  return context;
}

class Beat {
  constructor(box, sheet) {
    Object.assign(this, { box, sheet, taps: [], run: null, held: null, shown: -1 });
    this.fill();
    box.querySelector("[data-controls]").hidden = false;
    for (const button of box.querySelectorAll("[data-do]")) {
      button.addEventListener("click", () => this[button.dataset.do]());
    }
    this.field("tempo").addEventListener("change", () => this.retime());
    this.field("inside").addEventListener("change", () => this.retime());
    this.field("speed").addEventListener("change", () => this.choose());
    this.field("sight").addEventListener("change", () => this.mute());
    this.field("loudness").addEventListener("input", () => this.mute());
    for (const name of ["key", "degree", "a4"]) {
      this.field(name).addEventListener("change", () => { if (this.held) { this.release(); this.hold(); } });
    }
    this.choose();
  }

  field(name) { return this.box.querySelector(`[data-field=${name}]`); }

  button(name) { return this.box.querySelector(`[data-do=${name}]`); }

  note(text) { this.box.querySelector("[data-note]").textContent = text; }

  fill() {
    const { first, reading, marked } = this.sheet.opening;
    const speeds = [["first", first, "first reading"], ["first", reading, "second reading"],
      ["marked", marked ?? reading, marked === null ? "as taken" : "as marked"]];
    const offered = speeds.filter(([, tempo], at) => at === speeds.findIndex(([, other]) => other === tempo));
    for (const [speed, tempo, words] of offered) {
      this.field("speed").add(new Option(`${words}, ${tempo}`, `${speed} ${tempo}`));
    }
    this.box.querySelector("[data-unit]").textContent = `${this.sheet.opening.unit} =`;
    for (const { key, tonic } of this.sheet.keys) this.field("key").add(new Option(key, tonic));
    this.box.querySelector("[data-drone]").hidden = !this.sheet.keys.length;
    this.field("a4").value = localStorage.getItem(KEPT) ?? 440;
  }

  choose() {
    const [speed, tempo] = this.field("speed").value.split(" ");
    this.speed = speed;
    this.tempo = Number(tempo);
  }

  get tempo() {
    const typed = Number(this.field("tempo").value);
    return Math.min(FASTEST, Math.max(SLOWEST, typed || this.sheet.opening.first));
  }

  set tempo(tempo) {
    this.field("tempo").value = Math.round(10 * Math.min(FASTEST, Math.max(SLOWEST, tempo))) / 10;
    this.retime();
  }

  slower() { this.tempo = nextMark(this.sheet.marks, this.tempo, -1); }

  faster() { this.tempo = nextMark(this.sheet.marks, this.tempo, 1); }

  tap() {
    this.taps.push(performance.now() / 1000);
    const tempo = tappedTempo(this.taps);
    if (tempo === null) this.note("Go on tapping: one tap a beat.");
    else { this.note(""); this.tempo = Math.round(tempo); }
  }

  take() {
    const quarters = this.tempo * this.sheet.opening.unit_quarters;
    return {
      speed: this.speed, scale: quarters / this.sheet.sections[0].pace[this.speed],
      inside: this.field("inside").value, bars: Number(this.field("bars").value), from: this.from(),
    };
  }

  /* Which bar it begins with; -1 when no bar is called so. */
  from() {
    const wanted = this.field("from").value.trim().toLowerCase();
    if (!wanted) return 0;
    const names = barsOf(this.sheet).map(({ name }) => name.toLowerCase());
    const whole = names.indexOf(wanted);
    return whole >= 0 ? whole : names.findIndex((name) => name.split(" of the ")[0] === wanted);
  }

  start() {
    if (this.run) { this.stop(); return; }
    const take = this.take();
    if (take.from < 0) {
      this.note(`There is no bar “${this.field("from").value.trim()}” here.`);
      this.field("from").focus();
      return;
    }
    sounding?.stop();
    this.note("");
    const output = audio().createGain();
    output.connect(context.destination);
    const run = clicksOf(this.sheet, take);
    this.run = { ...run, take, output, scheduler: new Scheduler(context, output, run.clicks, context.currentTime + SOON_S) };
    sounding = this;
    this.mute();
    this.button("start").textContent = "Stop the beat";
    this.wake();
    this.look();
  }

  stop() {
    if (!this.run) return;
    clearTimeout(this.timer);
    this.run.scheduler.cancel(-1);
    this.run.output.disconnect();
    this.run = null;
    sounding = null;
    this.shown = -1;
    this.button("start").textContent = "Start the beat";
    this.box.querySelector("[data-eye]").replaceChildren();
    this.box.querySelector("[data-where]").textContent = "";
    this.box.querySelector("[data-count]").textContent = "–";
  }

  /* Hand over what is due soon, and ask to be woken again. */
  wake() {
    if (!this.run) return;
    const { scheduler, ends } = this.run;
    scheduler.fill(context.currentTime + AHEAD_S);
    if (context.currentTime > scheduler.start + ends) this.stop();
    else this.timer = setTimeout(() => this.wake(), WAKE_MS);
  }

  /* The same bars at another tempo from the next click on. */
  retime() {
    if (!this.run) return;
    const { scheduler, take, clicks } = this.run;
    const now = context.currentTime + SOON_S;
    const next = clicksOf(this.sheet, { ...this.take(), bars: take.bars, from: take.from });
    scheduler.cancel(now);
    const on = goOn(clicks, scheduler.start, next.clicks, now);
    const again = new Scheduler(context, this.run.output, next.clicks, on.start);
    again.next = on.next;
    Object.assign(this.run, next, { scheduler: again });
    again.fill(context.currentTime + AHEAD_S);
  }

  mute() {
    if (!this.run) return;
    const loudness = this.field("sight").checked ? 0 : Number(this.field("loudness").value) / 100;
    this.run.output.gain.setTargetAtTime(loudness, context.currentTime, 0.005);
  }

  /* Show the beat that is heard now. */
  look() {
    if (!this.run) return;
    const { clicks, scheduler } = this.run;
    const now = context.currentTime - (context.outputLatency || 0) - scheduler.start;
    let at = -1;
    for (let low = 0, high = clicks.length - 1; low <= high;) {
      const mid = (low + high) >> 1;
      if (clicks[mid].at <= now) { at = mid; low = mid + 1; } else high = mid - 1;
    }
    if (at >= 0 && at !== this.shown) this.show(clicks, at);
    this.shown = at;
    requestAnimationFrame(() => this.look());
  }

  show(clicks, at) {
    const { nth, bar, beat, counting } = clicks[at];
    const inBar = clicks.filter((click) => click.nth === nth);
    const eye = this.box.querySelector("[data-eye]");
    eye.replaceChildren(...inBar.map((click) => {
      const stroke = document.createElement("i");
      stroke.className = `s${click.strength}${click === clicks[at] ? " now" : ""}`;
      return stroke;
    }));
    this.box.querySelector("[data-count]").textContent = beat;
    this.box.querySelector("[data-where]").textContent = counting ? "Count-off" : /^\d/.test(bar) ? `Bar ${bar}` : bar;
  }

  drone() { if (this.held) this.release(); else this.hold(); }

  hold() {
    const a4 = Math.min(446, Math.max(415, Number(this.field("a4").value) || 440));
    this.field("a4").value = a4;
    localStorage.setItem(KEPT, a4);
    const midi = Number(this.field("key").value) + Number(this.field("degree").value);
    this.held = drone(audio(), context.destination, midi, a4, context.currentTime);
    this.button("drone").textContent = "Stop the drone";
  }

  release() {
    this.held.stop(context.currentTime);
    this.held = null;
    this.button("drone").textContent = "Drone";
  }
}

async function sheetOf(box) {
  for (;;) {
    const answer = await fetch(box.dataset.beat);
    if (answer.ok) return answer.json();
    if (answer.status !== 503) throw new Error(answer.statusText);
    await new Promise((resolve) => { setTimeout(resolve, BUSY_MS); });
  }
}

for (const box of document.querySelectorAll("[data-beat]")) {
  const note = box.querySelector("[data-note]");
  sheetOf(box).then((sheet) => {
    const list = box.querySelector("[data-remarks]");
    for (const remark of sheet.remarks) {
      const line = document.createElement("li");
      line.textContent = remark;
      list.append(line);
    }
    note.textContent = "";
    if (sheet.sections.length) box.beat = new Beat(box, sheet);
  }).catch(() => { note.textContent = "The beat could not be read. Reload this page to try again."; });
}
