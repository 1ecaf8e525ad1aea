/* Many files at once, dropped or chosen, folders too: sent some at a time; then a page shows how far they are. */

const FEW = 3;
const SOME_FILES = 40;
const SOME_BYTES = 40 * 2 ** 20;
const MOST_BYTES = 190 * 2 ** 20;

const form = document.querySelector("[data-add]");
const place = form.querySelector("[data-drop]");
const note = form.querySelector("[data-sent]");
const button = form.querySelector("button");
const endings = form.dataset.endings.split(" ");

/* A file with the place it has in what was given; of a folder only what may be a score. */
function isWanted(name) {
  const parts = name.split("/");
  if (parts.length === 1) return true;
  const last = parts[parts.length - 1].toLowerCase();
  return !parts.some((part) => part.startsWith(".")) && endings.some((ending) => last.endsWith(ending));
}

function chosen() {
  return [...form.querySelectorAll("input[type=file]")].flatMap((field) => (
    [...field.files].map((file) => ({ file, name: file.webkitRelativePath || file.name }))
  ));
}

async function entriesOf(folder) {
  const reader = folder.createReader();
  const found = [];
  for (;;) {
    const some = await new Promise((resolve, reject) => { reader.readEntries(resolve, reject); });
    if (!some.length) return found;
    found.push(...some);
  }
}

/* The files of what was dropped, folders walked through; what cannot be opened is named. */
async function dropped(entries) {
  const found = [];
  const failed = [];
  const waiting = [...entries];
  while (waiting.length) {
    const entry = waiting.shift();
    const name = entry.fullPath.replace(/^\//, "");
    try {
      if (entry.isDirectory) {
        waiting.push(...await entriesOf(entry));
      } else if (isWanted(name)) {
        const file = await new Promise((resolve, reject) => { entry.file(resolve, reject); });
        found.push({ file, name });
      }
    } catch {
      failed.push(name);
    }
  }
  return { found, failed };
}

async function post(address, fields, files) {
  const data = new FormData();
  data.append("csrf_token", form.elements.csrf_token.value);
  fields.forEach(([name, value]) => { data.append(name, value); });
  files.forEach(({ file, name }) => { data.append("scores", file, name); });
  const answer = await fetch(address, { method: "POST", body: data, headers: { Accept: "application/json" } });
  if (!answer.ok) throw new Error(`answered ${answer.status}`);
  return answer.json();
}

function* someAtATime(files) {
  let some = [];
  let bytes = 0;
  for (const each of files) {
    if (some.length && (some.length >= SOME_FILES || bytes + each.file.size > SOME_BYTES)) {
      yield some;
      some = [];
      bytes = 0;
    }
    some.push(each);
    bytes += each.file.size;
  }
  if (some.length) yield some;
}

async function send(files, failed) {
  button.disabled = true;
  const unsent = [...failed, ...files.filter(({ file }) => file.size > MOST_BYTES).map(({ name }) => name)];
  const wanted = files.filter(({ file, name }) => file.size <= MOST_BYTES && isWanted(name));
  let arrival = "";
  let sent = 0;
  for (const some of someAtATime(wanted)) {
    note.textContent = `Sending ${sent} of ${wanted.length} files …`;
    try {
      ({ arrival } = await post(form.dataset.start, [["arrival", arrival], ["more", "1"]], some));
    } catch {
      // One that cannot be read stops all that travel with it: send them one by one and name it.
      for (const each of some) {
        try {
          ({ arrival } = await post(form.dataset.start, [["arrival", arrival], ["more", "1"]], [each]));
        } catch {
          unsent.push(each.name);
        }
      }
    }
    sent += some.length;
  }
  if (!arrival) {
    note.textContent = wanted.length ? "The files could not be sent." : "There is no score among these files.";
    button.disabled = false;
    return;
  }
  try {
    const fields = [["arrival", arrival], ...unsent.map((name) => ["unsent", name])];
    const { address } = await post(form.dataset.start, fields, []);
    window.location.assign(address);
  } catch {
    note.textContent = "The files were sent, but the import could not be started. Try again.";
    button.disabled = false;
  }
}

form.addEventListener("submit", (event) => {
  const files = chosen();
  const bytes = files.reduce((sum, { file }) => sum + file.size, 0);
  if (files.length <= FEW && bytes < MOST_BYTES && !files.some(({ name }) => name.includes("/"))) return;
  event.preventDefault();
  send(files, []);
});

["dragenter", "dragover"].forEach((kind) => place.addEventListener(kind, (event) => {
  event.preventDefault();
  place.classList.add("over");
}));
["dragleave", "drop"].forEach((kind) => place.addEventListener(kind, () => place.classList.remove("over")));
place.addEventListener("drop", async (event) => {
  event.preventDefault();
  if (button.disabled) return;
  const entries = [...event.dataTransfer.items].map((item) => item.webkitGetAsEntry && item.webkitGetAsEntry());
  const plain = [...event.dataTransfer.files].map((file) => ({ file, name: file.name }));
  if (entries.length && entries.every(Boolean)) {
    note.textContent = "Looking through what you dropped …";
    const { found, failed } = await dropped(entries);
    await send(found, failed);
  } else {
    await send(plain, []);
  }
});
place.hidden = false;
