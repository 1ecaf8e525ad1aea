"""A file is written whole or not at all."""

import errno
import os
from pathlib import Path

import pytest

from planner.adapters.exports.base import write_export
from planner.errors import ExportError

FULL = Path("/dev/full")


def test_the_file_appears_with_its_folder(tmp_path):
    path = write_export(tmp_path / "new" / "folder" / "a.pdf", lambda out: out.write(b"whole"))
    assert path.read_bytes() == b"whole"
    assert [p.name for p in path.parent.iterdir()] == ["a.pdf"]


def test_a_full_disk_leaves_the_old_file_and_no_scraps(tmp_path):
    path = tmp_path / "a.pdf"
    path.write_bytes(b"old")

    def writer(out):
        out.write(b"half")
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with pytest.raises(ExportError, match="no space left") as caught:
        write_export(path, writer)
    assert "a.pdf" in str(caught.value)
    assert path.read_bytes() == b"old"
    assert [p.name for p in tmp_path.iterdir()] == ["a.pdf"]


def test_a_fault_of_the_program_leaves_no_scraps_and_is_not_hidden(tmp_path):
    def writer(out):
        out.write(b"half")
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        write_export(tmp_path / "a.pdf", writer)
    assert not list(tmp_path.iterdir())


def test_a_file_where_the_folder_should_be_is_said(tmp_path):
    (tmp_path / "exports").write_text("in the way")
    with pytest.raises(ExportError):
        write_export(tmp_path / "exports" / "a.pdf", lambda out: out.write(b"x"))


def test_a_folder_one_may_not_write_in_is_said(tmp_path):
    if os.geteuid() == 0:
        pytest.skip("the superuser may write anywhere")
    tmp_path.chmod(0o500)
    with pytest.raises(ExportError, match="permission"):
        write_export(tmp_path / "a.pdf", lambda out: out.write(b"x"))


@pytest.mark.skipif(not FULL.exists(), reason="no device here that is always full")
def test_the_reason_of_a_real_full_device_is_passed_on(tmp_path):
    def writer(out):
        with FULL.open("wb", buffering=0) as full:
            full.write(b"x")

    with pytest.raises(ExportError, match="no space left"):
        write_export(tmp_path / "a.pdf", writer)
    assert not list(tmp_path.iterdir())
