// A picture of music that could not be drawn because too much was under way is asked for again.
const MOST_TRIES = 12;
const MUSIC = "figure.music img, figure.engraving img";

const waiting = new WeakSet();

function askAgain(image) {
  const tries = Number(image.dataset.tries || 0);
  if (tries >= MOST_TRIES || waiting.has(image)) return;
  waiting.add(image);
  image.dataset.tries = String(tries + 1);
  setTimeout(() => {
    waiting.delete(image);
    // An address that failed is not fetched a second time by itself: each try has one of its own.
    const another = (address) => `${address.replace(/&try=\d+$/, "")}&try=${tries + 1}`;
    const source = image.parentElement.querySelector("source");
    if (source) source.srcset = another(source.getAttribute("srcset"));
    image.src = another(image.getAttribute("src"));
  }, 1000 + 250 * tries);
}

document.addEventListener("error", (event) => {
  if (event.target instanceof Element && event.target.matches(MUSIC)) askAgain(event.target);
}, true);
// Music that is drawn above or below what has the focus moves it: it is brought back into sight.
document.addEventListener("load", (event) => {
  if (!(event.target instanceof Element) || !event.target.matches(MUSIC)) return;
  const at = document.activeElement;
  if (at && at !== document.body) at.scrollIntoView({ block: "nearest" });
}, true);
for (const image of document.querySelectorAll(MUSIC)) {
  if (image.complete && image.currentSrc && !image.naturalWidth) askAgain(image);
}
