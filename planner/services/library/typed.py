"""Values of the catalogue as people type them and as files hold them: read, and held to what can be."""

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from planner.core.catalogue import FIELDS, CatalogueField, FieldKind, Value
from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL
from planner.core.key_notes import fifths_of_key
from planner.core.listed import parted
from planner.core.text import folded
from planner.errors import InputError
from planner.services.entered.numbers import entered_number
from planner.services.entered.words import MOST_LETTERS_OF_NAME, entered_line, entered_note, short
from planner.wording.director.catalogue import WORDS, label_in_sentence

MOST_LETTERS: Mapping[FieldKind, int] = {FieldKind.TEXT: 500, FieldKind.NOTE: 20_000}
MOST_NAMES = 120
"""Letters of a text, names in a list: more is a slip (house choices). All of them together
stay below the 32,767 letters that a cell of a workbook holds."""

_METER = re.compile(r"(\d{1,2}(?:\s*\+\s*\d{1,2})*)\s*/\s*(1|2|4|8|16|32)")
_COMMON = {"c": "4/4", "c|": "2/2", "𝄴": "4/4", "¢": "2/2", "𝄵": "2/2"}
_KEY = re.compile(
    r"([a-g])\s*(?:-\s*)?(bb|##|b|#|flat|sharp)?\s*(?:-\s*)?(major|maj|dur|minor|min|moll|m)?\.?",
    re.IGNORECASE,
)
_GRADE = re.compile(r"(?:grade|gr|level)?\.?\s*(.+)", re.IGNORECASE)


def typed_value(field: CatalogueField, text: str) -> Value:
    """A value as it is stored, from what was typed.

    Raises:
        InputError: If it cannot be read, or cannot hold.
    """
    return checked_value(field, _read(field, text))


def checked_value(field: CatalogueField, value: Any) -> Value:
    """A value as it is stored.

    Raises:
        InputError: If it cannot hold.
    """
    checked = _CHECKS[field.kind](field, value)
    if field.is_needed and not checked:
        raise InputError(f"A piece needs a {label_in_sentence(field.name)}.")
    return checked


def _read_number(field: CatalogueField, text: str) -> float | None:
    return entered_number(text, WORDS[field.name].label)


def _read_minutes(field: CatalogueField, text: str) -> float | None:
    """Minutes, also as minutes and seconds: 3:30."""
    clock = re.fullmatch(r"\s*(\d{1,3}):([0-5]\d)\s*", text, re.ASCII)
    if field.name == "minutes" and clock:
        return round(int(clock[1]) + int(clock[2]) / 60, 4)
    return _read_number(field, text)


def _read_grade(field: CatalogueField, text: str) -> float | None:
    found = _GRADE.fullmatch(text.strip())
    return _read_number(field, found[1] if found else text)


def _read_list(_field: CatalogueField, text: str) -> tuple[str, ...]:
    return parted(text)


_READERS: Mapping[FieldKind, Callable[[CatalogueField, str], Any]] = {
    FieldKind.TEXT: lambda _, text: text,
    FieldKind.NOTE: lambda _, text: text,
    FieldKind.GRADE: _read_grade,
    FieldKind.NUMBER: _read_minutes,
    FieldKind.TAGS: lambda _, text: tuple(text.split(",")),
    FieldKind.KEYS: _read_list,
    FieldKind.METERS: _read_list,
    FieldKind.PARTS: _read_list,
}


def _text(field: CatalogueField, text: Any) -> str:
    return entered_line(text, WORDS[field.name].label, most=MOST_LETTERS[field.kind])


def _note(field: CatalogueField, text: Any) -> str:
    return entered_note(text, WORDS[field.name].label, most=MOST_LETTERS[field.kind])


def _grade(_field: CatalogueField, grade: Any) -> float | None:
    if grade is None:
        return None
    if not LOWEST_LEVEL <= grade <= HIGHEST_LEVEL or grade * 2 != round(grade * 2):
        raise InputError(f"Published grades are ½, 1, 1½ and so on up to 6, not {grade:g}.")
    return float(grade)


def _number(field: CatalogueField, number: Any) -> float | None:
    if number is None:
        return None
    if not field.least <= number <= field.most:
        raise InputError(
            f"{WORDS[field.name].label}: from {field.least:g} to {field.most:g}, not {number:g}."
        )
    return round(float(number), 4)


def _tags(field: CatalogueField, tags: Any) -> tuple[str, ...]:
    """Tags without blanks, each once whatever its case, as it was written first."""
    clean: dict[str, str] = {}
    for tag in tags:
        one = entered_line(tag, WORDS[field.name].label)
        clean.setdefault(folded(one), one)
    found = tuple(tag for key, tag in clean.items() if key)
    _check_names(field, found)
    return found


def _parts(field: CatalogueField, names: Any) -> tuple[str, ...]:
    """Names of parts, each once; what shows nothing is none."""
    _check_names(field, names)
    clean: dict[str, str] = {}
    for name in names:
        one = entered_line(name, WORDS[field.name].label)
        if not one:
            continue
        if folded(one) in clean:
            raise InputError(f"Parts: “{one}” stands there twice.", hint="Number them: “Flute 1; Flute 2”.")
        clean[folded(one)] = one
    return tuple(clean.values())


def _check_names(field: CatalogueField, names: Sequence[str]) -> None:
    label = WORDS[field.name].label
    if len(names) > MOST_NAMES:
        raise InputError(f"{label}: {len(names)} are too many; at most {MOST_NAMES} fit.")
    for name in names:
        if len(name) > MOST_LETTERS_OF_NAME:
            raise InputError(f"{label}: “{short(name)}” is longer than {MOST_LETTERS_OF_NAME} letters.")


def _keys(_field: CatalogueField, names: Any) -> tuple[str, ...]:
    return tuple(dict.fromkeys(map(_key, names)))


_MINOR = {"minor", "min", "moll", "m"}
_SIGNS = {"flat": "b", "sharp": "#"}


def _key(text: str) -> str:
    """A key as it is stored, such as “Bb major”.

    Raises:
        InputError: If it is none, or one with more than seven signs.
    """
    spelled = text.strip().replace("♭", "b").replace("♯", "#")
    found = _KEY.fullmatch(spelled)
    sign = "" if found is None else _SIGNS.get((found[2] or "").lower(), (found[2] or "").lower())
    if found is not None and len(sign) < 2 and (found[3] or found[1].isupper()):
        is_minor = found[3] != "M" and (found[3] or "").lower() in _MINOR
        name = f"{found[1].upper()}{sign} {'minor' if is_minor else 'major'}"
        if abs(fifths_of_key(name)) <= 7:
            return name
    raise InputError(f"“{short(text)}” is not a key.", hint="Write it as “B♭ major” or “G minor”.")


def _meters(_field: CatalogueField, names: Any) -> tuple[str, ...]:
    return tuple(dict.fromkeys(map(_meter, names)))


def _meter(text: str) -> str:
    plain = text.strip()
    found = _METER.fullmatch(plain)
    if plain.lower() in _COMMON:
        return _COMMON[plain.lower()]
    if found is None or not all(int(n) for n in found[1].split("+")):
        raise InputError(f"“{short(text)}” is not a meter.", hint="Write it as “4/4” or “3+2/8”.")
    upper = "+".join(str(int(n)) for n in found[1].split("+"))
    return f"{upper}/{found[2]}"


_CHECKS: Mapping[FieldKind, Callable[[CatalogueField, Any], Value]] = {
    FieldKind.TEXT: _text,
    FieldKind.NOTE: _note,
    FieldKind.GRADE: _grade,
    FieldKind.NUMBER: _number,
    FieldKind.TAGS: _tags,
    FieldKind.KEYS: _keys,
    FieldKind.METERS: _meters,
    FieldKind.PARTS: _parts,
}


def read_values(typed: Mapping[str, str]) -> dict[str, Value]:
    """The catalogue's values as someone typed them, by name; what is no field is passed over.

    Raises:
        InputError: If a value cannot be read.
    """
    return {name: _read(FIELDS[name], text) for name, text in typed.items() if name in FIELDS}


def _read(field: CatalogueField, text: str) -> Any:
    """A value as it was typed, lines parted as here and not as forms send them."""
    return _READERS[field.kind](field, text.replace("\r\n", "\n").replace("\r", "\n"))
