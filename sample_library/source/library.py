"""All pieces of the sample library, written to a folder with their manifest."""

import json
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules

from . import pieces
from .musicxml import RIGHTS, pack
from .setting import Setting


def settings() -> list[Setting]:
    """Every piece, easiest first."""
    modules = [import_module(f"{pieces.__name__}.{m.name}") for m in iter_modules(pieces.__path__)]
    return sorted((m.build() for m in modules), key=lambda s: (s.level, s.title))


ROADMAP = {
    "repeat-start": "repeat", "ending-start": "endings", "dc-fine": "D.C. al Fine", "ds-fine": "D.S. al Fine",
    "ds-coda": "D.S. al Coda", "dc-coda": "D.C. al Coda",
}  # fmt: skip
"""What the manifest says of a piece's roadmap, by mark."""


def entry(setting: Setting) -> dict[str, object]:
    """The manifest's line on one piece."""
    kinds = [ROADMAP[j.kind] for j in setting.jumps if j.kind in ROADMAP]
    if "endings" in kinds:
        kinds.remove("repeat")
    return {
        "file": f"{setting.slug}.mxl",
        "title": setting.title,
        "composer": setting.composer or "New for this library",
        "tune": setting.source,
        "setting": "Written for this library",
        "rights": RIGHTS,
        "level": setting.level,
        "meters": list(dict.fromkeys(m.text for m in setting.meters)),
        "concert_keys": list(dict.fromkeys(k.name for k in setting.keys)),
        "roadmap": list(dict.fromkeys(kinds)),
        "pickup": bool(setting.pickup),
        "featured": setting.featured,
        "bars": len(setting.meters) - bool(setting.pickup),
        "form": [section(each) for each in setting.form.split(" | ")],
    }


def section(text: str) -> dict[str, object]:
    """One section of the form: ``"A' 13-20"`` is a variant of A from bar 13 to bar 20.

    Example:
        >>> section("A' 13-20")
        {'tune': "A'", 'first': 13, 'last': 20}
    """
    tune, bars = text.split()
    first, last = map(int, bars.split("-"))
    return {"tune": tune, "first": first, "last": last}


def write_library(folder: Path) -> list[str]:
    """Write every piece and ``manifest.json`` into a folder; returns the file names."""
    made = settings()
    folder.mkdir(parents=True, exist_ok=True)
    for setting in made:
        (folder / f"{setting.slug}.mxl").write_bytes(pack(setting))
    manifest = {"format": "sample-library", "version": 1, "pieces": [entry(s) for s in made]}
    text = json.dumps(manifest, indent=1, ensure_ascii=False) + "\n"
    (folder / "manifest.json").write_text(text, encoding="utf-8")
    return [f"{s.slug}.mxl" for s in made] + ["manifest.json"]
