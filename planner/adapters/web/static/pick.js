/* A field with a list to choose from while typing, grouped by heading. Without this script the browser's own
   list stands in: the field is an ordinary one, and what is typed counts. */

const folded = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").replace(/♭/g, "b").replace(/♯/g, "#").toLowerCase().trim();
let count = 0;

function enhance(field) {
  const source = document.getElementById(field.getAttribute("list"));
  if (!source) return;
  const all = [...source.options].map((one) => ({ value: one.value, heading: one.dataset.family, words: one.dataset.words }));
  const list = document.createElement("ul");
  const box = document.createElement("span");
  const id = `pick-${++count}`;
  box.className = "pick";
  list.className = "pick-list";
  list.id = id;
  list.hidden = true;
  list.setAttribute("role", "listbox");
  list.setAttribute("aria-label", field.getAttribute("aria-label") || "Choices");
  field.removeAttribute("list");
  for (const [name, value] of [["role", "combobox"], ["aria-autocomplete", "list"], ["aria-expanded", "false"], ["aria-controls", id], ["autocomplete", "off"]]) field.setAttribute(name, value);
  const hasFocus = document.activeElement === field;
  field.replaceWith(box);
  box.append(field, list);
  if (hasFocus) field.focus();
  let at = -1;

  const options = () => [...list.querySelectorAll('[role="option"]')];
  const close = () => {
    list.hidden = true;
    at = -1;
    field.setAttribute("aria-expanded", "false");
    field.removeAttribute("aria-activedescendant");
  };
  const mark = (to) => {
    const shown = options();
    if (!shown.length) return;
    at = (to + shown.length) % shown.length;
    shown.forEach((one, n) => one.setAttribute("aria-selected", String(n === at)));
    field.setAttribute("aria-activedescendant", shown[at].id);
    shown[at].scrollIntoView({ block: "nearest" });
  };
  const take = (value) => {
    field.value = value;
    field.dispatchEvent(new Event("change", { bubbles: true }));
    close();
  };
  const open = (asked) => {
    const words = folded(asked).split(/\s+/).filter(Boolean);
    const found = all.filter((one) => words.every((word) => one.words.split(/[\s()-]+/).some((part) => part.startsWith(word))));
    list.replaceChildren();
    let heading = "";
    found.forEach((one, n) => {
      if (one.heading !== heading) {
        heading = one.heading;
        const head = document.createElement("li");
        head.setAttribute("role", "presentation");
        head.textContent = heading;
        list.append(head);
      }
      const row = document.createElement("li");
      row.id = `${id}-${n}`;
      row.setAttribute("role", "option");
      row.setAttribute("aria-selected", "false");
      row.textContent = one.value;
      row.addEventListener("pointerdown", (event) => { event.preventDefault(); take(one.value); });
      list.append(row);
    });
    list.hidden = !found.length;
    at = -1;
    field.setAttribute("aria-expanded", String(!list.hidden));
    field.removeAttribute("aria-activedescendant");
  };

  field.addEventListener("input", () => open(field.value));
  field.addEventListener("click", () => { if (list.hidden) open(""); });
  field.addEventListener("blur", close);
  field.addEventListener("keydown", (event) => {
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      event.preventDefault();
      if (list.hidden) open("");
      mark(event.key === "ArrowDown" ? at + 1 : at < 0 ? -1 : at - 1);
    } else if (event.key === "Escape" && !list.hidden) {
      event.preventDefault();
      close();
    } else if ((event.key === "Enter" || event.key === "Tab") && !list.hidden && at >= 0) {
      if (event.key === "Enter") event.preventDefault();
      take(options()[at].textContent);
    }
  });
}

document.querySelectorAll("input[data-pick]").forEach(enhance);
