"""Write the pinned versions anew: run.txt (what creamery needs), test.txt (and what its tests need), build.txt.

Each list is what an empty virtual environment holds after the newest versions that ``pyproject.toml`` allows
were installed into it. Run by ``make pins``, best with the oldest Python that is supported.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import tomllib
import venv
from pathlib import Path

HERE = Path(__file__).resolve().parent
OLDEST = (3, 11)


def frozen(requirements: list[str]) -> str:
    """What an empty environment holds after these were installed, as ``name==version`` lines."""
    with tempfile.TemporaryDirectory() as folder:
        venv.create(folder, with_pip=True)
        pip = [str(Path(folder, "bin", "python")), "-m", "pip", "--disable-pip-version-check"]
        subprocess.run([*pip, "install", "-qq", *requirements], check=True)
        return subprocess.run([*pip, "freeze"], check=True, capture_output=True, text=True).stdout


def main() -> None:
    """Write all three lists."""
    if sys.version_info[:2] != OLDEST:
        print(f"note: better with Python {OLDEST[0]}.{OLDEST[1]}, the oldest that is supported")
    project = tomllib.loads((HERE.parent / "pyproject.toml").read_text(encoding="utf-8"))
    run = project["project"]["dependencies"]
    test = project["project"]["optional-dependencies"]["test"]
    build = project["build-system"]["requires"]
    for name, wanted in (("run", run), ("test", [*run, *test, *build]), ("build", build)):
        (HERE / f"{name}.txt").write_text("# Renewed by `make pins`.\n" + frozen(wanted), encoding="utf-8")
        print(f"wrote .pinned/{name}.txt")


if __name__ == "__main__":
    main()
