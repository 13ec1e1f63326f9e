"""The wheel works from an empty folder, with no checkout to lean on."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import venv
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


def done(command: list[str], folder: Path) -> subprocess.CompletedProcess[str]:
    """Run it in a folder, without anything that would lead Python to the checkout."""
    env = {key: value for key, value in os.environ.items() if not key.startswith(("PYTHON", "COV_", "CREAMERY"))}
    env["XDG_CACHE_HOME"] = str(folder.parent / "cache")
    return subprocess.run(command, cwd=folder, env=env, capture_output=True, text=True, check=False)


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("dist")
    built = done([sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(out), str(ROOT)], ROOT)
    assert built.returncode == 0, built.stdout + built.stderr
    (found,) = out.glob("*.whl")
    return found


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A fresh environment with the wheel in it; the libraries are lent by the environment that runs the tests."""
    home = tmp_path_factory.mktemp("fresh") / "env"
    venv.create(home, with_pip=False)
    python = home / "bin" / "python"
    asked = done([str(python), "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"], ROOT)
    # Folders named in a .pth file are not searched for further .pth files, so an editable install stays out.
    lent = {sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}
    Path(asked.stdout.strip(), "lent.pth").write_text("\n".join(sorted(lent)) + "\n", encoding="utf-8")
    pip = [sys.executable, "-m", "pip", "--python", str(python), "--disable-pip-version-check"]
    put = done([*pip, "install", "--quiet", "--no-index", "--no-deps", "--ignore-installed", str(wheel)], ROOT)
    assert put.returncode == 0, put.stdout + put.stderr
    return home / "bin"


def test_the_wheel_holds_two_packages_and_nothing_else_at_its_top(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    tops = {name.split("/")[0] for name in names}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"costing", "nutrition"}
    assert "nutrition/_data/nutrients.csv" in names
    assert "costing/_examples/quillfeather/shop.yaml" in names
    assert [name for name in names if name.endswith("licenses/LICENSE")]
    assert not [name for name in names if "__pycache__" in name or "_cache/" in name]


def test_it_is_the_wheel_that_runs(installed: Path, tmp_path: Path) -> None:
    said = done([str(installed / "python"), "-c", "import costing, nutrition; print(costing.__file__)"], tmp_path)
    assert said.returncode == 0, said.stderr
    assert Path(said.stdout.strip()).is_relative_to(installed.parent)
    data = done([str(installed / "python"), "-c", "import data"], tmp_path)
    assert "ModuleNotFoundError" in data.stderr


def test_help_comes_from_an_empty_folder(installed: Path, tmp_path: Path) -> None:
    said = done([str(installed / "creamery"), "--help"], tmp_path)
    assert said.returncode == 0, said.stderr
    assert "demo" in said.stdout
    version = done([str(installed / "creamery"), "--version"], tmp_path)
    assert version.stdout.split()[1][0].isdigit()


def test_the_demonstration_runs_from_an_empty_folder(installed: Path, tmp_path: Path) -> None:
    folder = tmp_path / "empty"
    folder.mkdir()
    said = done([str(installed / "creamery"), "demo"], folder)
    assert said.returncode == 0, said.stderr
    assert "flavour" in said.stdout
    assert (folder / "creamery-demo" / "workbook.xlsx").is_file()
    assert len(list((folder / "creamery-demo" / "panels").glob("*.svg"))) == 8
    checked = done([str(installed / "creamery"), "check", "creamery-demo"], folder)
    assert checked.returncode == 0, checked.stderr
    found = done([str(installed / "creamery"), "foods", "search", "heavy cream"], folder)
    assert "usda:01053" in found.stdout, found.stderr
