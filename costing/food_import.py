"""What ``creamery foods import`` does: USDA's download into the user's food library."""

from __future__ import annotations

import contextlib
import sys
from typing import TYPE_CHECKING

import click

from costing import commands, terminal
from costing.findings import Finding, ShopError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from nutrition.foods.fdc.intake import Taken
    from nutrition.foods.fdc.tally import Tally

STEPS = 1000


@commands.told
def foods_import(source: Path, only: str, *, older: bool, as_json: bool) -> int:
    """Take a download of FoodData Central into the food library."""
    from nutrition.foods import places
    from nutrition.foods.fdc import intake
    from nutrition.foods.fdc.download import DownloadError
    from nutrition.foods.fdc.layout import LibraryError

    try:
        with _bar() as told:
            taken = intake.take(source, places.library(), only, older=older, told=told)
    except DownloadError as error:
        mend = "--older takes it all the same" if "the library has" in str(error) else "download it again from USDA"
        raise ShopError((Finding("error", str(source), str(error), mend),)) from error
    except LibraryError as error:
        mend = "make room on the disk, or wait for the other import, and run this again"
        raise ShopError((Finding("error", str(source), str(error), mend),)) from error
    results = [_document(taken)]
    return commands.say(results, tuple(_findings(source, taken)), (_text(taken),), as_json=as_json)


@contextlib.contextmanager
def _bar() -> Iterator[Callable[[float], None]]:
    """A bar on a terminal, nothing in a pipe."""
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    with click.progressbar(length=STEPS, label="importing", file=sys.stderr) as bar:

        def told(share: float) -> None:
            if (done := int(share * STEPS)) > bar.pos:
                bar.update(done - bar.pos)

        yield told


def _document(taken: Taken) -> dict[str, object]:
    return {
        "kinds": [{"kind": one.kind, "release": one.release, "foods": one.foods} for one in taken.parts],
        "files": [
            {
                "file": one.file,
                "read": one.read,
                "stored": one.stored,
                "left_out": dict(sorted(one.left.items())),
                "refused": dict(sorted(one.refused.items())),
            }
            for one in taken.tallies
        ],
    }


def _text(taken: Taken) -> str:
    from nutrition.foods.fdc.kinds import kind

    kinds = [(kind(one.kind).words, one.release or "no date", f"{one.foods:,}") for one in taken.parts]
    files = [
        (one.file, f"{one.read:,}", f"{one.stored:,}", f"{one.left.total():,}", f"{one.refused.total():,}")
        for one in taken.tallies
    ]
    return (
        terminal.table(("taken in", "release", "foods"), kinds, right=(2,))
        + "\n\n"
        + terminal.table(("file", "rows read", "stored", "left out", "refused"), files, right=(1, 2, 3, 4))
    )


def _findings(source: Path, taken: Taken) -> Iterator[Finding]:
    for tally in taken.tallies:
        for why in sorted(tally.refused):
            yield _refused(source, tally, why)
    for problem in taken.problems:
        yield Finding("warning", str(source), problem, "see whether USDA has a newer download")


def _refused(source: Path, tally: Tally, why: str) -> Finding:
    what = f"rows of {tally.file} were refused: {tally.reason(why)}"
    return Finding("warning", str(source), what, "the others were stored; see whether USDA has a newer download")
