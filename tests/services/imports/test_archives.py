"""Zips: what is in them goes in, what is locked, damaged or tricky is named, nothing is written elsewhere."""

import io
import zipfile

import pytest

from planner.services.imports import archives
from planner.services.imports.archives import count_scores, unpacked


def make_zip(path, entries, method=zipfile.ZIP_DEFLATED):
    with zipfile.ZipFile(path, "w", method) as zipped:
        for name, content in entries.items():
            zipped.writestr(name, content)
    return path


def seen(archive):
    """By place in the zip, the content of what can be read and the reason for what cannot."""
    with unpacked(archive) as inside:
        read = {each.named.relative_to(archive).as_posix(): each.path.read_bytes() for each in inside.files}
        refused = {each.path.name: each.sentence for each in inside.refused}
        folders = {each.path for each in inside.files}
    assert not any(path.exists() for path in folders), "the files go with the block"
    return read, refused


def inner_zip(entries):
    packed = io.BytesIO()
    make_zip(packed, entries)
    return packed.getvalue()


def test_folders_in_a_zip_and_zips_in_it_are_walked_and_other_files_passed_over(tmp_path):
    inside = inner_zip({"deep/c.abc": b"C"})
    archive = make_zip(tmp_path / "Fall.zip", {
        "a.mxl": b"A", "Band/2024/b.MUSICXML": b"B", "old.zip": inside, "notes.txt": b"", ".git/d.mxl": b"",
        "__MACOSX/._a.mxl": b"", "Band/": b"",
    })  # fmt: skip
    read, refused = seen(archive)
    assert read == {"a.mxl": b"A", "Band/2024/b.MUSICXML": b"B", "old.zip/deep/c.abc": b"C"}
    assert refused == {}
    assert count_scores(archive) == 3


def test_a_zip_that_is_one_compressed_score_is_that_score(tmp_path):
    archive = make_zip(tmp_path / "score.zip", {"META-INF/container.xml": b"<x/>", "score.xml": b"<y/>"})
    with unpacked(archive) as inside:
        assert [each.path for each in inside.files] == [archive]


@pytest.mark.parametrize(
    "name", ["../evil.mxl", "/abs.mxl", "C:/win.mxl", "a/../../evil.mxl", "..\\evil.mxl"]
)
def test_a_name_that_leads_out_of_the_zip_is_refused_and_the_others_are_read(tmp_path, name):
    home = tmp_path / "home"
    home.mkdir()
    archive = make_zip(home / "Fall.zip", {name: b"E", "good.mxl": b"G"})
    read, refused = seen(archive)
    assert read == {"good.mxl": b"G"}
    (sentence,) = refused.values()
    assert "is named so that it would lie outside the zip" in sentence
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["Fall.zip", "home"]


def marked(path, flag):
    """The same zip with a flag set in the list of contents."""
    data = bytearray(path.read_bytes())
    data[data.find(b"PK\x01\x02") + 8] |= flag & 0xFF
    path.write_bytes(data)
    return path


def test_locked_damaged_linked_and_oddly_packed_members_are_named(tmp_path):
    locked = marked(make_zip(tmp_path / "locked.zip", {"a.mxl": b"A"}), 0x1)
    assert "is locked with a password" in seen(locked)[1]["a.mxl"]
    odd = make_zip(tmp_path / "odd.zip", {"a.mxl": b"A" * 99}, zipfile.ZIP_LZMA)
    assert "is packed in a way that is not read here" in seen(odd)[1]["a.mxl"]
    torn = make_zip(tmp_path / "torn.zip", {"a.mxl": b"A" * 99, "b.mxl": b"B"}, zipfile.ZIP_STORED)
    torn.write_bytes(torn.read_bytes().replace(b"A" * 99, b"X" * 99))
    assert seen(torn) == ({"b.mxl": b"B"}, {"a.mxl": "a.mxl is damaged in the zip and cannot be unpacked."})
    linked = tmp_path / "linked.zip"
    link = zipfile.ZipInfo("a.mxl")
    link.external_attr = 0o120777 << 16
    make_zip(linked, {link: b"/etc/passwd"})
    assert seen(linked) == ({}, {"a.mxl": "a.mxl is a link in the zip, not a file."})
    for name, content in {"half.zip": torn.read_bytes()[:60], "text.zip": b"hello", "none.zip": b""}.items():
        (tmp_path / name).write_bytes(content)
        expected = f"{name} is a damaged zip: its list of contents cannot be read."
        assert seen(tmp_path / name) == ({}, {name: expected})
        assert count_scores(tmp_path / name) == 1


def test_names_in_old_and_unmarked_encodings_are_read(tmp_path):
    old = make_zip(tmp_path / "old.zip", {"Ubung.mxl": b"A"})
    old.write_bytes(old.read_bytes().replace(b"Ubung", b"\x9abung"))  # Ü in the code page of DOS
    assert list(seen(old)[0]) == ["Übung.mxl"]
    new = make_zip(tmp_path / "new.zip", {"UUbung.mxl": b"A"})
    new.write_bytes(new.read_bytes().replace(b"UUbung", "Übung".encode()))
    assert list(seen(new)[0]) == ["Übung.mxl"]
    wrong = make_zip(tmp_path / "wrong.zip", {"Übung.mxl": b"A", "Mädel.mxl": b"B", "plain.mxl": b"C"})
    wrong.write_bytes(wrong.read_bytes().replace("Ü".encode(), b"\x9ax"))
    assert seen(wrong) == ({"Üxbung.mxl": b"A", "Mädel.mxl": b"B", "plain.mxl": b"C"}, {})


def test_bombs_stop_at_their_limits(tmp_path, monkeypatch):
    monkeypatch.setattr(archives, "MOST_BYTES", 1000)
    monkeypatch.setattr(archives, "MOST_UNPACKED_BYTES", 3000)
    monkeypatch.setattr(archives, "_BLOCK_BYTES", 100)
    one = make_zip(tmp_path / "one.zip", {"a.xml": b"\0" * 10_000, "b.xml": b"B"})
    read, refused = seen(one)
    assert read == {"b.xml": b"B"}
    assert refused["a.xml"].startswith("a.xml unpacks to more than")
    many = make_zip(tmp_path / "many.zip", {f"{n}.xml": b"\0" * 900 for n in range(9)})
    read, refused = seen(many)
    assert len(read) == 3
    assert "what was left out goes in when you unpack it" in refused["many.zip"]
    nested = inner_zip({"a.xml": b"A"})
    for level in range(5):
        nested = inner_zip({f"{level}.zip": nested})
    deep = tmp_path / "deep.zip"
    deep.write_bytes(nested)
    assert seen(deep) == ({}, {"2.zip": "2.zip lies 3 zips deep; unpack it and add the folder."})


def test_a_list_of_contents_too_long_to_be_read_is_not_read(tmp_path, monkeypatch):
    archive = make_zip(tmp_path / "long.zip", {f"{n}.xml": b"" for n in range(30)})
    monkeypatch.setattr(archives, "MOST_MEMBERS", 20)
    read, refused = seen(archive)
    assert (len(read), list(refused)) == (20, ["long.zip"])
    monkeypatch.setattr(archives, "MOST_LISTED_BYTES", 500)
    monkeypatch.setattr(archives.zipfile, "ZipFile", None)
    sentence = "long.zip holds too many entries; unpack it and add the folder."
    assert seen(archive) == ({}, {"long.zip": sentence})
    assert count_scores(archive) == 1
