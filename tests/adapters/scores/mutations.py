"""Damaged copies of good files: bytes flipped, tags cut, numbers made absurd. Same seed, same damage."""

import io
import random
import re
import zipfile
from pathlib import Path

ABSURD = (b"0", b"-1", b"999999999999", b"1e308", b"0.0000001", b"", b"NaN", b"\xff", b"3+", b"9" * 400)
_NUMBER = re.compile(rb">(-?\d+(?:\.\d+)?)<")
_TAG = re.compile(rb"<[^<>]*>")


def flip_bytes(data: bytes, dice: random.Random) -> bytes:
    """A few bytes anywhere become others."""
    damaged = bytearray(data)
    for _ in range(dice.randint(1, 12)):
        damaged[dice.randrange(len(damaged))] = dice.randrange(256)
    return bytes(damaged)


def cut_tags(data: bytes, dice: random.Random) -> bytes:
    """Some tags vanish, so that elements are left open or run together."""
    tags = [m.span() for m in _TAG.finditer(data)]
    for start, stop in sorted(dice.sample(tags, min(len(tags), dice.randint(1, 3))), reverse=True):
        data = data[:start] + data[stop:]
    return data


def drop_elements(data: bytes, dice: random.Random) -> bytes:
    """Whole leaf elements vanish or are doubled: the file stays well formed."""
    leaves = list(re.finditer(rb"<([\w-]+)[^<>]*(?:/>|>[^<>]*</\1>)", data))
    for leaf in sorted(dice.sample(leaves, min(len(leaves), dice.randint(1, 8))), key=lambda m: -m.start()):
        kept = leaf.group() * dice.choice((0, 0, 2))
        data = data[: leaf.start()] + kept + data[leaf.end() :]
    return data


def absurd_numbers(data: bytes, dice: random.Random) -> bytes:
    """Some numbers become absurd: the file stays well formed."""
    numbers = [m.span(1) for m in _NUMBER.finditer(data)]
    for start, stop in sorted(dice.sample(numbers, min(len(numbers), dice.randint(1, 6))), reverse=True):
        data = data[:start] + dice.choice(ABSURD) + data[stop:]
    return data


def swap_blocks(data: bytes, dice: random.Random) -> bytes:
    """A stretch of the file is moved elsewhere."""
    length = dice.randint(1, max(1, len(data) // 8))
    start, to = dice.randrange(len(data)), dice.randrange(len(data))
    block, rest = data[start : start + length], data[:start] + data[start + length :]
    return rest[:to] + block + rest[to:]


def truncate(data: bytes, dice: random.Random) -> bytes:
    """The file ends early."""
    return data[: dice.randrange(len(data))]


DAMAGES = (flip_bytes, cut_tags, drop_elements, absurd_numbers, absurd_numbers, swap_blocks, truncate)


def damaged_copies(sources: list[Path], folder: Path, count: int, seed: int) -> list[Path]:
    """Write so many damaged files; a compressed one is damaged inside or outside of its container."""
    dice = random.Random(seed)
    made = []
    for number in range(count):
        source = dice.choice(sources)
        damage = dice.choice(DAMAGES)
        data = source.read_bytes()
        if source.suffix == ".mxl" and dice.random() < 0.7:
            data = _damage_inside(data, damage, dice)
        else:
            data = damage(data, dice)
        path = folder / f"{number:04d}-{damage.__name__}{source.suffix}"
        path.write_bytes(data)
        made.append(path)
    return made


def _damage_inside(data: bytes, damage, dice: random.Random) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = old.read(name)
            is_score = name.endswith((".xml", ".musicxml")) and not name.startswith("META-INF")
            new.writestr(name, damage(content, dice) if is_score and content else content)
    return buffer.getvalue()
