"""Nothing is half written, and nothing is lost."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

import pytest

from costing import files
from costing.findings import ShopError


def names(folder: Path) -> list[str]:
    return sorted(one.name for one in folder.iterdir())


def test_a_file_is_written_with_its_folder(tmp_path: Path) -> None:
    path = files.write(tmp_path / "a" / "b.txt", "grüße")
    assert path.read_text(encoding="utf-8") == "grüße"
    assert names(tmp_path / "a") == ["b.txt"]


def test_an_output_is_readable_like_any_other_file(tmp_path: Path) -> None:
    mask = os.umask(0o022)
    try:
        path = files.write(tmp_path / "b.txt", b"x")
    finally:
        os.umask(mask)
    assert stat.S_IMODE(path.stat().st_mode) == 0o644


def test_an_existing_file_is_kept_unless_replacing_was_asked_for(tmp_path: Path) -> None:
    path = tmp_path / "b.txt"
    path.write_text("old", encoding="utf-8")
    with pytest.raises(ShopError) as told:
        files.write(path, "new")
    assert path.read_text(encoding="utf-8") == "old"
    assert "--replace" in told.value.findings[0].mend
    files.write(path, "new", replace=True)
    assert path.read_text(encoding="utf-8") == "new"
    assert names(tmp_path) == ["b.txt"]


def test_a_file_that_appears_meanwhile_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "b.txt"
    with pytest.raises(ShopError, match="exists already"), files.atomic(path):
        path.write_text("theirs", encoding="utf-8")
    assert path.read_text(encoding="utf-8") == "theirs"

    def no_links(*_: object) -> None:
        raise OSError(errno.EPERM, "no links here")

    monkeypatch.setattr(os, "link", no_links)
    other = tmp_path / "c.txt"
    with pytest.raises(ShopError, match="exists already"), files.atomic(other):
        other.write_text("theirs", encoding="utf-8")
    files.write(tmp_path / "d.txt", "x")
    assert names(tmp_path) == ["b.txt", "c.txt", "d.txt"]


def test_a_folder_in_the_way_is_never_replaced(tmp_path: Path) -> None:
    (tmp_path / "b.txt").mkdir()
    with pytest.raises(ShopError, match="a folder where the file should go"):
        files.write(tmp_path / "b.txt", "x", replace=True)


def test_of_several_files_none_is_written_where_one_exists(tmp_path: Path) -> None:
    (tmp_path / "b.txt").write_text("old", encoding="utf-8")
    (tmp_path / "c.txt").write_text("old", encoding="utf-8")
    with pytest.raises(ShopError) as told:
        files.write_all({tmp_path / "a.txt": "x", tmp_path / "b.txt": "x", tmp_path / "c.txt": "x"})
    assert len(told.value.findings) == 2
    assert names(tmp_path) == ["b.txt", "c.txt"]


def test_a_full_disk_leaves_everything_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "a.txt").write_text("old", encoding="utf-8")
    write_bytes = Path.write_bytes

    def full(self: Path, data: bytes) -> int:
        if data == b"second":
            write_bytes(self, data[:3])
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return write_bytes(self, data)

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(ShopError, match="No space left"):
        files.write_all({tmp_path / "a.txt": "first", tmp_path / "b.txt": "second"}, replace=True)
    assert names(tmp_path) == ["a.txt"]
    assert (tmp_path / "a.txt").read_text(encoding="utf-8") == "old"


def test_a_writer_that_fails_leaves_nothing_behind(tmp_path: Path) -> None:
    def fail(path: Path) -> None:
        with files.atomic(path) as temporary:
            assert temporary.suffix == ".xlsx"
            temporary.write_text("half", encoding="utf-8")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        fail(tmp_path / "a.xlsx")
    assert names(tmp_path) == []


def test_a_place_that_cannot_be_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with pytest.raises(ShopError, match="cannot be written"):
        files.write(tmp_path / "file" / "below.txt", "x")


def test_where_the_last_file_cannot_be_placed_the_others_are_taken_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old, locked, new = tmp_path / "old.txt", tmp_path / "locked.txt", tmp_path / "a/b/new.txt"
    old.write_text("as it was")
    locked.write_text("locked")
    place = files._place

    def refusing(temporary: Path, path: Path, *, replace: bool) -> None:
        if path == locked:
            assert (old.read_text(), new.read_text()) == ("other", "new")
            raise PermissionError(errno.EACCES, "Permission denied")
        place(temporary, path, replace=replace)

    monkeypatch.setattr(files, "_place", refusing)
    with pytest.raises(ShopError, match="Permission denied"):
        files.write_all({new: "new"}, over={old: "other", locked: "other"})
    assert (old.read_text(), locked.read_text()) == ("as it was", "locked")
    assert sorted(tmp_path.iterdir()) == [locked, old]
    monkeypatch.undo()
    locked.chmod(0o600)
    files.write_all({new: "new"}, over={old: "other", locked: "other"})
    assert [one.read_text() for one in (old, locked, new)] == ["other", "other", "new"]
    assert stat.S_IMODE(locked.stat().st_mode) == 0o600
    assert sorted(tmp_path.iterdir()) == [tmp_path / "a", locked, old]
