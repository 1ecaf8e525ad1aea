"""``python -m sample_library.source [FOLDER]``: write every piece and the manifest."""

import sys
from pathlib import Path

from .library import write_library

if __name__ == "__main__":
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).resolve().parents[1]
    for name in write_library(folder):
        print(name)
