/* Fills a place with what its address gives: at once, or where it folds, when it is opened. */

async function fill(place) {
  const address = place.dataset.fill;
  delete place.dataset.fill;
  try {
    const answer = await fetch(address, { headers: { Accept: "text/html" } });
    if (answer.redirected) { window.location.reload(); return; }  // logged out meanwhile
    if (!answer.ok) return;
    const kept = place.querySelector("summary");
    const inside = document.createElement("div");
    inside.innerHTML = await answer.text();
    place.replaceChildren(...(kept ? [kept] : []), inside);
  } catch {
    place.dataset.fill = address;  // the server is away for a moment: the link inside still leads there
  }
}

document.querySelectorAll("[data-fill]").forEach((place) => {
  if (place instanceof HTMLDetailsElement) {
    place.addEventListener("toggle", () => { if (place.open && place.dataset.fill) fill(place); });
  } else {
    fill(place);
  }
});
