"""Looking for a name in every file of a folder, without the program's own way of finding names."""

import html
import json
import unicodedata
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile, is_zipfile


def spellings(name: str) -> set[bytes]:
    """The bytes of a name in the forms in which files may hold it, ASCII letters small."""
    last, rest = name.split()[-1], name.split()[:-1]
    orders = {name, f"{last}, {' '.join(rest)}", "-".join(name.split()), "_".join(name.split())}
    forms = {unicodedata.normalize(form, each) for each in orders for form in ("NFC", "NFD")}
    cased = {case for each in forms for case in (each.lower(), each.upper())}
    escaped = {json.dumps(each)[1:-1] for each in cased} | {html.escape(each) for each in cased}
    in_xml = {each.encode("ascii", "xmlcharrefreplace") for each in cased}
    plain = {each.encode() for each in cased | escaped}
    wide = {each.encode(code) for each in cased for code in ("utf-16-le", "utf-16-be")}
    return {each.lower() for each in in_xml | plain | wide}


def files_naming(folder: Path, name: str) -> list[str]:
    """The files below a folder that hold a name, in their bytes or zipped in them, or are called so."""
    wanted = spellings(name)
    found = []
    for path in sorted(folder.rglob("*")):
        place = path.relative_to(folder).as_posix()
        if any(each in place.encode().lower() for each in wanted) or (
            path.is_file() and _holds(path.read_bytes(), wanted)
        ):
            found.append(place)
    return found


def _holds(data: bytes, wanted: set[bytes]) -> bool:
    small = data.lower()
    if any(each in small for each in wanted):
        return True
    if not is_zipfile(BytesIO(data)):
        return False
    with ZipFile(BytesIO(data)) as archive:
        return any(_holds(archive.read(name), wanted) for name in archive.namelist())
