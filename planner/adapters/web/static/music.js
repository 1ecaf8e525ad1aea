// A picture of music that could not be drawn because too much was under way is asked for again.
const MOST_TRIES = 12;

document.addEventListener("error", (event) => {
  const image = event.target;
  if (!(image instanceof HTMLImageElement) || !image.closest("figure.music, figure.engraving")) return;
  const tries = Number(image.dataset.tries || 0);
  if (tries >= MOST_TRIES) return;
  image.dataset.tries = String(tries + 1);
  setTimeout(() => {
    const source = image.parentElement.querySelector("source");
    if (source) source.srcset = source.getAttribute("srcset");
    image.src = image.getAttribute("src");
  }, 1000 + 250 * tries);
}, true);
