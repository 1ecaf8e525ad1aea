/* Leads a room through a reading day: the clock that the server keeps, the prompts, the roadmap, the warnings.

   The server stores where the day stood when somebody last pressed. From that, and from how far this device's
   time is from the server's, the page works out where it stands now, also while the server is away. */

const EVERY_MS = 250;
const ASK_EVERY_MS = 2000;
const OVER = "over";
const WARNED_S = 10;  // how long a warning stays in sight; ours
const PROMPTS_TAKE = 0.9;  // share of the study in which all prompts have had their turn; ours

const room = document.querySelector("[data-room]");
const one = (selector, within = document) => within.querySelector(selector);
const all = (selector, within = document) => [...within.querySelectorAll(selector)];
const data = (id) => JSON.parse(one(`#${id}`).textContent);

function remember(name, value) {
  try { localStorage.setItem(`room-${name}`, value); } catch { /* a browser that keeps nothing */ }
}

function remembered(name) {
  try { return localStorage.getItem(`room-${name}`); } catch { return null; }
}

/* Dark or light, and sound: remembered on this device. */

function showTheme(isDark) {
  document.documentElement.dataset.theme = isDark ? "dark" : "light";
  one("[data-switch=dark]").setAttribute("aria-pressed", String(isDark));
}

let isLoud = remembered("sound") === "on";
let speaker = null;

function showSound() { one("[data-switch=sound]").setAttribute("aria-pressed", String(isLoud)); }

function beep(times) {
  if (!isLoud) return;
  try {
    speaker = speaker || new AudioContext();
    speaker.resume();
    for (let at = 0; at < times; at += 1) {
      const tone = speaker.createOscillator();
      const level = speaker.createGain();
      const from = speaker.currentTime + 0.05 + 0.35 * at;
      tone.frequency.value = 660;
      level.gain.setValueAtTime(0, from);
      level.gain.linearRampToValueAtTime(0.15, from + 0.02);
      level.gain.linearRampToValueAtTime(0, from + 0.25);
      tone.connect(level).connect(speaker.destination);
      tone.start(from);
      tone.stop(from + 0.3);
    }
  } catch { /* a device without sound */ }
}

all("[data-needs-script]").forEach((part) => { part.hidden = false; });
const asked = remembered("theme");
showTheme(asked ? asked === "dark" : window.matchMedia("(prefers-color-scheme: dark)").matches);
showSound();
one("[data-switch=dark]").addEventListener("click", () => {
  const isDark = document.documentElement.dataset.theme !== "dark";
  showTheme(isDark);
  remember("theme", isDark ? "dark" : "light");
});
one("[data-switch=sound]").addEventListener("click", () => {
  isLoud = !isLoud;
  showSound();
  remember("sound", isLoud ? "on" : "off");
  beep(1);
});

/* Where the day stands. */

function standing(steps, clock, now) {
  if (clock.step === OVER) return { place: steps.length, left: 0, isRunning: false, extended: 0 };
  let place = steps.findIndex((step) => step.key === clock.step);
  if (place < 0) return { place: -1, left: 0, isRunning: false, extended: 0 };
  let { left, extended } = clock;
  if (clock.running) {
    left -= Math.max(0, now - clock.at) / 1000;
    while (left <= 0 && place + 1 < steps.length && steps[place + 1].begins_itself) {
      place += 1;
      left += steps[place].seconds;
      extended = 0;
    }
  }
  return { place, left, isRunning: clock.running, extended };
}

function clockTime(left) {
  const seconds = left > 0 ? Math.ceil(left) : Math.floor(-left);
  const words = `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
  return left < 0 && seconds ? `+${words}` : words;
}

function lead() {
  const steps = data("room-steps");
  const words = data("room-words");
  const warnings = Object.keys(words.warnings).map(Number).sort((a, b) => a - b);
  let clock = data("room-clock");
  let ahead = clock.now - Date.now();  // by how many milliseconds the server's time is ahead of this device's
  let shown = "";
  let warned = "";
  let askedAt = 0;
  let isMoving = false;
  const clockBox = one(".clock");
  const keys = one("[data-keys]");

  const now = () => Date.now() + ahead;

  function take(found, sentAt) {
    // An answer to something asked before what is shown now was asked tells nothing new.
    if (found.presses < clock.presses && sentAt < askedAt) return;
    const isKnown = [clock.step, "", OVER].includes(found.step) || steps.some((step) => step.key === found.step);
    if (!isKnown) { window.location.reload(); return; }  // the day is planned otherwise by now
    askedAt = sentAt;
    ahead = found.now - (sentAt + Date.now()) / 2;
    clock = found;
  }

  function notice(text) { one("[data-notice]").textContent = text; }

  function put(target, text) { if (target.textContent !== text) target.textContent = text; }

  function showStep(place) {
    const step = steps[place];
    const turn = step ? step.turn : (place < 0 ? 0 : steps[steps.length - 1].turn);
    all(".turn").forEach((each) => each.classList.toggle("here", Number(each.dataset.turn) === turn));
    const kind = step ? step.kind : "";
    document.body.dataset.step = kind;
    document.body.classList.toggle("may-speak", ["score", "study"].includes(kind));
    const after = one("[data-after]");
    if (after) after.hidden = place < steps.length;
    put(one("[data-step-name]"), step ? step.name : (place < 0 ? words.words.not_begun : words.words.over));
    const next = place < 0 ? steps[0] : steps[place + 1];
    put(one("[data-then]"), next && place >= 0 ? `› ${next.name}` : "");
    put(one("[data-say]"), step && kind !== "study" ? step.sentence : "");
    put(one("[data-care]"), step ? step.caution : "");
    all(".script li").forEach((line) => {
      if (step && line.dataset.key === step.key) line.setAttribute("aria-current", "step");
      else line.removeAttribute("aria-current");
    });
    if (keys) {
      const on = place >= 0 && place < steps.length;
      const offered = { start: place < 0, back: place >= 0, skip: on, extend: on, again: place >= 0 };
      Object.entries(offered).forEach(([name, is]) => { one(`[name=press][value=${name}]`).hidden = !is; });
      keys.elements.step.value = step ? step.key : (place < 0 ? "" : OVER);
    }
  }

  function showPrompts(step, at) {
    let isHard = step !== undefined && step.kind === "fixing" && one(".turn.here .hard") !== null;
    all(".turn.here .piece").forEach((piece) => {
      const list = one(".prompts", piece);
      if (!list) return;
      const studies = step !== undefined && step.kind === "study";
      const prompts = all("li", list);
      const each = studies ? (PROMPTS_TAKE * step.seconds) / prompts.length : 1;
      const current = studies ? Math.min(prompts.length - 1, Math.max(0, Math.floor(at / each))) : -1;
      list.classList.toggle("shown", studies);
      prompts.forEach((prompt, place) => prompt.classList.toggle("here", place === current));
      isHard = isHard || (studies && prompts[current].dataset.topic === "spots" && one(".hard", piece) !== null);
    });
    document.body.classList.toggle("shows-hard", isHard);
  }

  function showStrip(step, at) {
    all(".turn.here .strip").forEach((strip) => {
      const passages = all("li", strip);
      const reads = step !== undefined && ["first-reading", "second-reading"].includes(step.kind);
      const share = reads ? at / step.seconds : -1;
      let from = 0;
      passages.forEach((passage) => {
        const to = from + Number(passage.dataset.share);
        passage.classList.toggle("lit", share >= from && share < to);
        passage.classList.toggle("passed", reads && share >= to);
        from = to;
      });
    });
  }

  function warn(step, left, isRunning) {
    const near = step ? warnings.find((seconds) => left > 0 && left <= seconds && seconds < step.seconds) : undefined;
    const mark = step ? `${step.key} ${near === undefined ? "" : near}` : "";
    const isPast = step !== undefined && left <= 0;
    clockBox.classList.toggle("near", near !== undefined);
    clockBox.classList.toggle("past", isPast);
    clockBox.classList.toggle("still", !isRunning);
    const isFresh = near !== undefined && left > near - WARNED_S;
    put(one("[data-warning]"), isFresh ? words.warnings[near] : "");
    clockBox.classList.toggle("warned", isFresh);
    const full = `${mark}${isPast ? " past" : ""}`;
    if (full !== warned && warned && isRunning) {
      if (isPast) beep(3);
      else if (near !== undefined) beep(near === warnings[0] ? 2 : 1);
    }
    warned = full;
  }

  function draw() {
    const { place, left, isRunning, extended } = standing(steps, clock, now());
    const step = steps[place];
    const key = `${place}`;
    if (key !== shown) { showStep(place); shown = key; }
    if (keys) {
      one("[value=pause]", keys).hidden = !(step && isRunning);
      one("[value=go-on]", keys).hidden = !(step && !isRunning);
    }
    put(one("[data-left]"), step ? clockTime(left) : "");
    const at = step ? step.seconds + extended - left : 0;
    showPrompts(step, at);
    showStrip(step, at);
    warn(step, left, isRunning);
  }

  async function ask() {
    const sentAt = Date.now();
    try {
      const answer = await fetch(room.dataset.state, { cache: "no-store" });
      if (answer.redirected) { window.location.reload(); return; }  // logged out meanwhile
      if (!answer.ok) throw new Error(String(answer.status));
      take(await answer.json(), sentAt);
      if (one("[data-notice]").textContent === words.words.away) notice("");
    } catch {
      notice(words.words.away);
    }
    draw();
  }

  async function press(event) {
    event.preventDefault();
    const form = new FormData(keys);
    form.set("press", event.submitter.value);
    const moves = ["start", "skip", "back"].includes(event.submitter.value);
    if (moves && isMoving) return;  // pressed twice, meant once
    isMoving = isMoving || moves;
    const { place } = standing(steps, clock, now());
    form.set("step", steps[place] ? steps[place].key : (place < 0 ? "" : OVER));
    const sentAt = Date.now();
    try {
      const answer = await fetch(keys.action, {
        method: "POST", body: form, headers: { Accept: "application/json" }, cache: "no-store",
      });
      const isOld = answer.status >= 400 && answer.status < 500 && answer.status !== 409;
      if (answer.redirected || isOld) { window.location.reload(); return; }  // the form, or who is logged in
      if (!answer.ok && answer.status !== 409) throw new Error(String(answer.status));
      take(await answer.json(), sentAt);
      notice(answer.status === 409 ? words.words.moved : "");
    } catch {
      notice(words.words.away);
    }
    if (moves) isMoving = false;
    const before = document.activeElement;
    draw();
    const other = all("button", keys).find((key) => !key.hidden);
    if (before && before.hidden && other) other.focus();
  }

  async function stayAwake() {
    try { await navigator.wakeLock.request("screen"); } catch { /* a device that decides for itself */ }
  }

  document.body.classList.add("led");
  if (keys) keys.addEventListener("submit", press);
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) { ask(); stayAwake(); }
  });
  stayAwake();
  draw();
  setInterval(draw, EVERY_MS);
  setInterval(ask, ASK_EVERY_MS);
}

/* The score on demand, a page at a time. */

function offerScore() {
  const panel = one("[data-score-panel]");
  const image = one("[data-page-image]", panel);
  let address = "";
  let page = 1;
  let count = 1;

  async function show(wanted) {
    const line = one("[data-page-words]", panel);
    try {
      const answer = await fetch(`${address}?page=${wanted}`, { cache: "no-store" });
      const found = await answer.json();
      if (!answer.ok) { line.textContent = found.words; return; }
      page = found.page;
      count = found.count;
      image.src = found.src;
      image.alt = found.title;
      line.textContent = `Page ${page} of ${count}`;
    } catch {
      line.textContent = "The planner does not answer.";
    }
    all("[data-page]", panel).forEach((key) => {
      key.disabled = Number(key.dataset.page) < 0 ? page <= 1 : page >= count;
    });
  }

  all("[data-score]").forEach((key) => key.addEventListener("click", () => {
    address = key.dataset.score;
    image.removeAttribute("src");
    panel.showModal();
    show(1);
  }));
  all("[data-page]", panel).forEach((key) => key.addEventListener("click", () => show(page + Number(key.dataset.page))));
  one("[data-close]", panel).addEventListener("click", () => panel.close());
}

if (one("#room-steps")) {
  lead();
  offerScore();
}
