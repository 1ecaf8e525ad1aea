/* The quick ways to enter results: buttons around the aim, Enter to the next section, arrows in fives, and what
   moved, shown anew after each entry. Loaded after keep.js. */

const AROUND_THE_AIM = [70, 75, 80, 85, 90, 95, 100];
const BELOW = [10, 20, 30, 40, 50, 60];
const AIM = 85;
const STEP = 5;
const FELL_APART = "fell apart";

const changed = (field) => field.dispatchEvent(new Event("change", { bubbles: true }));

for (const form of document.querySelectorAll("form.results-form")) {
  const rows = [...form.querySelectorAll("[data-row]")];
  const field = (row, which) => row.querySelector(`[name="${which}-${row.dataset.row}"]`);
  let filling = "first";

  const chooser = document.createElement("fieldset");
  chooser.className = "fills";
  chooser.innerHTML = "<legend>The buttons fill</legend>";
  const choices = ["first", "second"].map((which) => {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "plain";
    button.textContent = which === "first" ? "First reading" : "Second reading";
    button.addEventListener("click", () => fill(which));
    chooser.append(button);
    return [which, button];
  });
  form.querySelector("[data-chooser]").append(chooser);

  function fill(which) {
    filling = which;
    choices.forEach(([each, button]) => button.setAttribute("aria-pressed", each === which));
    rows.forEach(press);
  }

  function press(row) {
    const value = field(row, filling).value.trim();
    row.querySelectorAll(".pad button").forEach((button) => {
      button.setAttribute("aria-pressed", button.dataset.value === value);
      button.disabled = filling === "second" && button.dataset.value === FELL_APART;
    });
    row.classList.toggle("out", Boolean(field(row, "out")?.checked));
    const named = [...row.querySelectorAll(".choices input:checked")].map((box) => box.parentElement.textContent.trim());
    const note = field(row, "note").value.trim();
    row.querySelector(".named").textContent = [...named, ...(note ? [`“${note}”`] : [])].join(", ") || "what went wrong, remark";
  }

  function pad(row) {
    const name = row.querySelector("h3").textContent.trim();
    const place = document.createElement("div");
    place.className = "pad";
    place.setAttribute("role", "group");
    place.setAttribute("aria-label", `${name}: bars right of 100`);
    for (const each of [FELL_APART, ...BELOW, ...AROUND_THE_AIM]) {
      const button = document.createElement("button");
      button.type = "button";
      button.tabIndex = -1;  // typing the number is the way of the keyboard
      button.textContent = each;
      button.dataset.value = String(each);
      if (each === AIM) button.className = "aim";
      button.addEventListener("click", () => {
        const target = field(row, filling);
        target.value = each;
        press(row);
        changed(target);
      });
      place.append(button);
    }
    row.querySelector("[data-pad]").replaceWith(place);
  }

  function step(input, way) {
    const first = Number(field(input.closest("[data-row]"), "first").value);
    const isSecond = input.name.startsWith("second");
    const now = input.value.trim();
    const begin = isSecond && first ? first + STEP : AIM;
    const next = now === "" ? begin : (Number(now) || AIM) + way * STEP;
    input.value = Math.min(100, Math.max(0, next));
    input.dispatchEvent(new Event("input", { bubbles: true }));
  }

  /* From a row to the next; where its first reading is in already, to the second if that is asked for. */
  function goOn(row, which) {
    const next = rows[rows.indexOf(row) + 1];
    const open = next || rows.find((each) => field(each, "first").value.trim() === "");
    if (!open) return;
    const isIn = field(open, "first").value.trim() !== "";
    const target = field(open, which === "second" && isIn ? "second" : "first");
    target.focus();
    target.select();
  }

  for (const row of rows) {
    pad(row);
    press(row);
    row.addEventListener("change", () => press(row));
    row.addEventListener("refresh", () => press(row));
    row.addEventListener("focusin", (event) => {
      const which = event.target.name?.split("-")[0];
      if (["first", "second"].includes(which) && which !== filling) fill(which);
    });
    row.addEventListener("keydown", (event) => {
      const input = event.target;
      const which = input.name?.split("-")[0];
      if (input.tagName !== "INPUT" || input.type === "checkbox") return;
      if (event.key === "Enter") {
        event.preventDefault();
        const line = form.sheet?.lines.find((each) => each.element === row);
        goOn(row, which);  // leaving the field says that it changed
        if (line?.isTyping) line.touch();
      } else if (["ArrowUp", "ArrowDown"].includes(event.key) && ["first", "second"].includes(which)) {
        event.preventDefault();
        step(input, event.key === "ArrowUp" ? 1 : -1);
      }
    });
    row.querySelector("[data-withdraw]").addEventListener("click", (event) => {
      event.preventDefault();
      row.querySelectorAll("input").forEach((each) => { if (each.type === "checkbox") each.checked = false; else each.value = ""; });
      changed(field(row, "first"));
    });
  }
  fill("first");
}

const moved = document.querySelector("[data-moved]");
let waiting = 0;

async function showMoved() {
  try {
    const answer = await fetch(moved.dataset.moved, { headers: { Accept: "text/html" }, cache: "no-store" });
    if (answer.ok && !answer.redirected) moved.innerHTML = await answer.text();
  } catch {
    // The planner is away for a moment: the next entry asks again.
  }
}

if (moved) {
  document.addEventListener("kept", () => {
    clearTimeout(waiting);
    waiting = setTimeout(showMoved, 300);
  });
}
