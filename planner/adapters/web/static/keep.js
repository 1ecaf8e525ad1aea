/* Saves a form line by line, as it is filled in. What could not be sent is kept in this browser, and sent when
   the planner answers again. Without this script the buttons of the form do the same.

   form[data-keep]           a form that is kept so; data-who: who fills it in; data-undo: where a change is undone
   [data-row="12"]           one line: its fields end in -12
   [data-stands]             where a line says how it stands
   [data-keep-state]         where the page says it of all lines
   [data-plain]              what only the form without a script needs */

const AGAIN_MS = 4000;
const AWAY = "not saved: the planner does not answer. It is kept in this browser and sent when it is back.";
const LEFT = "not saved: log in again in another window. It is kept in this browser and sent then.";

const shelf = {
  get(key) { try { return JSON.parse(localStorage.getItem(key)); } catch { return null; } },
  put(key, value) { try { localStorage.setItem(key, JSON.stringify(value)); return true; } catch { return false; } },
  drop(key) { try { localStorage.removeItem(key); } catch { /* nothing is kept there then */ } },
};

function pairsOf(mark) {
  return new Map(mark.split(" ").filter(Boolean).map((pair) => {
    const at = pair.lastIndexOf(":");
    return [decodeURIComponent(pair.slice(0, at)), pair];
  }));
}

class Line {
  constructor(sheet, element) {
    Object.assign(this, { sheet, element, isDirty: false, isTyping: false, sure: [], trouble: "" });
    this.state = element.querySelector("[data-stands]");
    this.key = `keep ${window.location.pathname} ${sheet.form.id} ${sheet.form.dataset.who} ${element.dataset.row}`;
  }

  get fields() {
    return [...this.element.querySelectorAll("input[name], select[name], textarea[name]")];
  }

  get names() {
    return [...new Set(this.fields.map((field) => field.name))];
  }

  get sent() {
    return this.fields.filter((field) => field.type !== "checkbox" || field.checked).map((f) => [f.name, f.value]);
  }

  get marks() {
    return this.names.map((name) => this.sheet.marks.get(name)).filter(Boolean);
  }

  /* Values as they are stored: of boxes that share a name those that are ticked, as a list. */
  show(values) {
    for (const field of this.fields) {
      if (!(field.name in values)) continue;
      const value = values[field.name];
      if (field.type === "checkbox") field.checked = "list" in field.dataset ? value.split(",").includes(field.value) : value !== "";
      else field.value = value;
    }
    this.element.dispatchEvent(new CustomEvent("refresh"));
  }

  keepHere(isDone) {
    this.isSafe = shelf.put(this.key, { sent: this.sent, marks: this.marks, isDone });
  }

  restore() {
    const kept = shelf.get(this.key);
    if (!kept) return;
    if (JSON.stringify(kept.sent) === JSON.stringify(this.sent)) { shelf.drop(this.key); return; }
    for (const field of this.fields) {
      const own = kept.sent.filter(([name]) => name === field.name).map(([, value]) => value);
      if (field.type === "checkbox") field.checked = own.includes(field.value);
      else if (own.length) [field.value] = own;
    }
    for (const pair of kept.marks) for (const [name, each] of pairsOf(pair)) this.sheet.marks.set(name, each);
    this.element.dispatchEvent(new CustomEvent("refresh"));
    if (kept.isDone) this.touch();
    else { this.isTyping = true; this.say("not saved: you were still typing. Press Enter to save it.", "waits"); }
  }

  touch() {
    Object.assign(this, { isDirty: true, isTyping: false, sure: [], trouble: "" });
    this.keepHere(true);
    this.say("saving …", "saving");
    this.sheet.sum();
    this.sheet.pump();
  }

  type() {
    this.isTyping = true;
    this.keepHere(false);
    this.say("not saved yet", "waits");
    this.sheet.sum();
  }

  say(words, kind, buttons = []) {
    this.element.dataset.kept = kind;
    this.trouble = kind === "refused" ? words : "";
    if (!this.state) return;
    this.state.replaceChildren(document.createTextNode(words), ...buttons.map(([label, act]) => {
      const button = document.createElement("button");
      button.type = "button";
      button.className = "plain";
      button.textContent = label;
      button.addEventListener("click", act);
      return button;
    }));
  }

  taken(answer) {
    shelf.drop(this.key);
    this.isSafe = true;
    this.sure = [];
    const undo = answer.change && this.sheet.form.dataset.undo
      ? [["Undo", () => this.sheet.undo(this, answer.change)]] : [];
    this.say("saved", "saved", undo);
  }

  refused(answer) {
    const beside = Object.values(answer.beside || {});
    if (answer.asked?.length) {
      this.say(`not saved: ${answer.asked.map((one) => one.sentence).join(" ")} Is this right?`, "refused", [
        ["Yes, store it", () => { this.touch(); this.sure = answer.asked.map((one) => one.key); this.sheet.pump(); }],
        ["Change it", () => this.focus(answer.asked[0].field)],
      ]);
    } else if (beside.length) {
      const again = () => { this.sheet.learn(answer.mark, this.names); this.touch(); };
      this.say(`not saved: somebody else changed this line meanwhile. Stored now: ${beside.join("; ")}.`, "refused", [
        ["Save mine", again],
        ["Take theirs", () => { this.show(answer.stored); again(); }],
      ]);
    } else {
      this.say(`not saved: ${answer.refused}`, "refused");
      this.focus(answer.about, false);
    }
  }

  focus(name, isAlways = true) {
    const field = this.fields.find((each) => each.name === name);
    this.fields.forEach((each) => each.removeAttribute("aria-invalid"));
    if (!field) return;
    field.setAttribute("aria-invalid", "true");
    if (isAlways || !document.activeElement || document.activeElement === document.body) field.focus();
  }
}

class Sheet {
  constructor(form) {
    this.form = form;
    this.shown = form.elements.namedItem("shown");
    this.token = form.elements.namedItem("csrf_token");
    this.marks = pairsOf(this.shown.value);
    this.lines = [...form.querySelectorAll("[data-row]")].map((element) => new Line(this, element));
    this.summary = document.querySelector("[data-keep-state]");
    form.querySelectorAll("[data-plain]").forEach((each) => { each.hidden = true; });
    for (const line of this.lines) {
      line.element.addEventListener("change", (event) => { if (event.target.name) line.touch(); });
      line.element.addEventListener("input", (event) => {
        if (event.target.name && !["checkbox", "select-one"].includes(event.target.type)) line.type();
      });
    }
    for (const line of this.lines) {
      line.element.addEventListener("focusout", () => setTimeout(() => {
        if (line.isTyping && !line.element.contains(document.activeElement)) line.touch();
      }));
    }
    const again = () => { if (document.visibilityState !== "hidden") this.pump(); };
    window.addEventListener("online", again);
    document.addEventListener("visibilitychange", again);
    window.addEventListener("beforeunload", (event) => {
      if (this.lines.some((line) => (line.isDirty || line.isTyping) && line.isSafe === false)) event.preventDefault();
    });
    this.lines.forEach((line) => line.restore());
  }

  learn(mark, names) {
    for (const [name, pair] of pairsOf(mark)) if (!names || names.includes(name)) this.marks.set(name, pair);
    this.shown.value = [...this.marks.values()].join(" ");
  }

  /* What is stored by now, also by others: everywhere but in lines that say something newer. */
  refresh(answer, line) {
    for (const each of this.lines) {
      if (each.isDirty || each.isTyping || each.trouble) continue;
      this.learn(answer.mark, each.names);
      each.show(answer.values);
    }
    if (line) this.learn(answer.mark, line.names);
    for (const [about, words] of Object.entries(answer.notes)) {
      const place = document.querySelector(`[data-note="${about}"]`);
      if (place) place.textContent = words;
    }
    this.form.dispatchEvent(new CustomEvent("kept", { detail: answer, bubbles: true }));
  }

  sum() {
    if (!this.summary) return;
    const open = document.querySelectorAll('[data-kept="away"], [data-kept="refused"], [data-kept="waits"]').length;
    const isSaving = document.querySelector('[data-kept="saving"]') !== null;
    this.summary.textContent = open
      ? `${open} ${open === 1 ? "line is" : "lines are"} not saved yet. Nothing that you typed is lost.`
      : isSaving ? "Saving …" : "Everything is saved.";
    this.summary.dataset.open = open;
  }

  async post(address, fields) {
    const ask = () => fetch(address, {
      method: "POST", headers: { Accept: "application/json" }, redirect: "follow",
      body: new URLSearchParams([...fields, ["csrf_token", this.token.value]]),
    });
    let answer = await ask();
    if (answer.status === 400 && !this.isJson(answer) && await this.freshToken()) answer = await ask();
    return answer;
  }

  isJson(answer) {
    return (answer.headers.get("Content-Type") || "").startsWith("application/json");
  }

  /* The page was open for too long: another copy of it has a token that is still good. */
  async freshToken() {
    const page = await fetch(window.location.href, { cache: "no-store" });
    const token = new DOMParser().parseFromString(await page.text(), "text/html").getElementById(this.form.id)
      ?.elements.namedItem("csrf_token");
    if (token) this.token.value = token.value;
    return Boolean(token);
  }

  async pump() {
    if (this.isBusy) return;
    this.isBusy = true;
    clearTimeout(this.timer);
    for (let line = this.next(); line; line = this.next()) {
      const isAnswered = await this.send(line);
      this.sum();
      if (!isAnswered) {
        this.timer = setTimeout(() => this.pump(), AGAIN_MS);
        break;
      }
    }
    this.isBusy = false;
    this.sum();
  }

  next() {
    return this.lines.find((line) => line.isDirty);
  }

  async send(line) {
    const inLines = new Set(this.lines.flatMap((each) => each.names));
    const others = [...this.form.elements].filter((each) => each.type === "hidden" && !inLines.has(each.name)
      && !["shown", "csrf_token", "sure"].includes(each.name)).map((each) => [each.name, each.value]);
    const fields = [...others, ...line.sent, ["shown", line.marks.join(" ")], ...line.sure.map((key) => ["sure", key])];
    line.isDirty = false;
    let answer = null;
    let body = null;
    try {
      answer = await this.post(this.form.action, fields);
      if (this.isJson(answer)) body = await answer.json();
    } catch {
      answer = null;
    }
    if (!body && [404, 405, 413, 422].includes(answer?.status)) {
      line.say("not saved: the planner no longer knows this line. Copy what you typed and load the page again.", "refused");
      return true;
    }
    if (!body) {
      line.isDirty = true;
      line.say(answer?.redirected || answer?.status === 403 ? LEFT : AWAY, "away");
      this.lines.filter((each) => each.isDirty).forEach((each) => { each.element.dataset.kept = "away"; });
      this.sum();
      return false;
    }
    if (answer.ok) {
      if (line.isDirty || line.isTyping) this.learn(body.mark, line.names);
      else line.taken(body);
      this.refresh(body, line);
    } else if (!line.isDirty) {
      line.refused(body);
    }
    return true;
  }

  async undo(line, change) {
    line.say("taking it back …", "saving");
    try {
      const answer = await this.post(this.form.dataset.undo, [["change", change]]);
      if (answer.ok && this.isJson(answer)) {
        const body = await answer.json();
        line.say("taken back", "saved", [["Redo", () => this.undo(line, body.change)]]);
        this.refresh(body, line);
      } else {
        line.say("not taken back: it was changed since. Look under Changes.", "saved");
      }
    } catch {
      line.say("not taken back: the planner does not answer.", "saved", [["Undo", () => this.undo(line, change)]]);
    }
    this.sum();
  }
}

document.querySelectorAll("form[data-keep]").forEach((form) => { form.sheet = new Sheet(form); });
