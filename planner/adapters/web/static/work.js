/* Keeps the progress of long work up to date on the page, until it ends. */

const EVERY_MS = 1000;
const OPEN = ["queued", "running"];

function show(note, job) {
  note.dataset.state = job.state;
  note.querySelector("[data-words]").textContent = job.words;
  note.querySelector("[data-sentence]").textContent = job.sentence;
  const bar = note.querySelector("[data-bar]");
  bar.max = job.total || 1;
  bar.value = job.state === "done" ? bar.max : job.done;
  if (!OPEN.includes(job.state)) {
    note.querySelectorAll("form").forEach((form) => { form.hidden = true; });
    note.querySelector("[data-again]").hidden = false;
  }
}

async function follow(note) {
  while (OPEN.includes(note.dataset.state)) {
    await new Promise((resolve) => { setTimeout(resolve, EVERY_MS); });
    try {
      const answer = await fetch(note.dataset.job, { cache: "no-store" });
      if (answer.redirected) { window.location.reload(); return; }  // logged out meanwhile
      if (answer.ok) show(note, await answer.json());
    } catch {
      // The server is away for a moment: ask again.
    }
  }
}

document.querySelectorAll("[data-job]").forEach(follow);
