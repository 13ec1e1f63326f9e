"""The shop that `creamery new` makes."""

import os
import shutil
from datetime import date

import pytest

from costing import Shop
from costing.findings import ShopError
from costing.shop import starter
from costing.shop.reader import read


def test_a_new_shop_passes_its_check_and_can_be_costed(tmp_path):
    folder = tmp_path / "deep" / "new"
    written = starter.create(folder, "Nettle & Rye")
    assert set(written) == {path for path in folder.rglob("*") if path.is_file()}
    model, found = read(folder)
    assert found == ()
    assert model.name == "Nettle & Rye"
    assert {row.date for row in model.prices} == {date.today()}
    answer = Shop.open(folder)["vanilla"].answer()
    assert not [one for one in answer.findings if one.level == "error"]
    # Common practice: a recipe on a quart of cream and milk fills two to three pints; this one takes a quart and a cup.
    assert [filled.count for filled in answer.filled] == [3]
    assert answer.cost.per_container.total > 0
    assert answer.label.ingredients


def test_every_file_teaches(tmp_path):
    for path in starter.create(tmp_path / "new", "X"):
        assert path.suffix == ".txt" or path.read_text().startswith("# "), path


@pytest.mark.parametrize(
    "name", ['Bob\'s "Ice": cream 🍦', "a\nb\x07c", "- x", "{a: 1}", "=1+1", "", "yes", "x" * 500, "50 %"]
)
def test_any_name_is_taken_as_text(tmp_path, name):
    starter.create(tmp_path / "new", name)
    model, found = read(tmp_path / "new")
    assert found == ()
    assert model.name == (" ".join(name.replace("\x07", " ").split())[:80] or "My Creamery")


def test_an_empty_folder_is_used(tmp_path):
    starter.create(tmp_path, "X")
    assert read(tmp_path)[1] == ()


def test_what_is_there_is_kept(tmp_path):
    (tmp_path / "shop").mkdir()
    (tmp_path / "shop" / "shop.yaml").write_text("mine")
    with pytest.raises(ShopError) as refused:
        starter.create(tmp_path / "shop", "X")
    (found,) = refused.value.findings
    assert (found.level, found.where, found.mend) == ("error", str(tmp_path / "shop"), "give the name of a new folder")
    assert [path.name for path in tmp_path.rglob("*")] == ["shop", "shop.yaml"]
    assert (tmp_path / "shop" / "shop.yaml").read_text() == "mine"


def test_a_file_is_kept(tmp_path):
    (tmp_path / "shop").write_text("mine")
    with pytest.raises(ShopError, match="a file with this name"):
        starter.create(tmp_path / "shop", "X")
    with pytest.raises(ShopError, match="cannot be written"):
        starter.create(tmp_path / "shop" / "below", "X")
    assert (tmp_path / "shop").read_text() == "mine"


def test_a_full_disk_leaves_nothing_behind(tmp_path, monkeypatch):
    count = 0
    real = type(tmp_path).write_text

    def write(self, *args, **more):
        nonlocal count
        count += 1
        if count == 3:
            raise OSError(28, "No space left on device")
        return real(self, *args, **more)

    monkeypatch.setattr("pathlib.Path.write_text", write)
    with pytest.raises(ShopError, match="no space left on device"):
        starter.create(tmp_path / "new", "X")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_fills_meanwhile_is_kept(tmp_path, monkeypatch):
    real = starter._write

    def write(*args):
        (tmp_path / "new").mkdir()
        (tmp_path / "new" / "mine").write_text("mine")
        return real(*args)

    monkeypatch.setattr(starter, "_write", write)
    with pytest.raises(ShopError, match="cannot be written"):
        starter.create(tmp_path / "new", "X")
    assert [path.name for path in tmp_path.rglob("*")] == ["new", "mine"]


def test_others_may_read_it(tmp_path):
    before = os.umask(0o022)
    try:
        starter.create(tmp_path / "new", "X")
    finally:
        os.umask(before)
    assert (tmp_path / "new").stat().st_mode & 0o777 == 0o755
    shutil.rmtree(tmp_path / "new")
