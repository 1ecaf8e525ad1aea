"""Real browsers for the tests of pages: the pages served on a free port, and hands that are counted."""

import base64
import contextlib
import threading
from contextlib import contextmanager

from waitress import create_server

from planner.adapters.web.app import create_app

FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]

DROP = """([place, files]) => {
  const dropped = new DataTransfer();
  for (const [name, text] of files) {
    dropped.items.add(new File([Uint8Array.from(atob(text), (one) => one.charCodeAt(0))], name));
  }
  place.dispatchEvent(new DragEvent("drop", { dataTransfer: dropped, bubbles: true, cancelable: true }));
}"""


@contextmanager
def served(tools, app=None):
    """The pages of a toolbox served for real; gives their address."""
    server = create_server(app or create_app(tools), host="127.0.0.1", port=0, threads=4)

    def run():
        with contextlib.suppress(OSError):  # the socket is closed under the loop: that is how it ends
            server.run()

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.effective_port}"
    finally:
        server.close()
        thread.join(timeout=5)


def fits(page):
    """Whether a page is no wider than its window; one on its way is waited for."""
    page.locator("main").wait_for()
    return page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")


class Hand:
    """Does things to a page and counts them: a click, a field filled, a choice, files dropped."""

    def __init__(self):
        self.count = 0

    def click(self, target):
        self.count += 1
        target.click()

    def fill(self, target, text):
        self.count += 1
        target.fill(text)

    def drop(self, place, files):
        """Drop files on a place, as from a folder that is open beside the browser."""
        self.count += 1
        sent = [(path.name, base64.b64encode(path.read_bytes()).decode()) for path in files]
        place.evaluate(f"(place, files) => ({DROP})([place, files])", sent)
