"""Writing files so that nothing is ever half written or lost.

Everything goes to a temporary file beside its place first. An existing file stays unless replacing it was
asked for; several files are written as one: if one of them cannot be, none is put in place.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from costing.findings import Finding, ShopError

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping


def write(path: Path, data: bytes | str, *, replace: bool = False) -> Path:
    """Write one file.

    Args:
        path: where; its folder is made if need be.
        data: what; text is written as UTF-8.
        replace: whether an existing file gives way.

    Returns:
        The path.

    Raises:
        ShopError: it exists already, or it cannot be written.
    """
    write_all({path: data}, replace=replace)
    return path


def write_all(
    contents: Mapping[Path, bytes | str], *, replace: bool = False, over: Mapping[Path, bytes | str] | None = None
) -> None:
    """Write several files; all of them, or none where one exists already or the disk is full.

    Args:
        contents: path to what is written there.
        replace: whether existing files give way.
        over: files whose earlier state gives way in any case; they are put in place last, in this order.

    Raises:
        ShopError: a file exists already (all of them are named), or one cannot be written; everything is as it was.
    """
    refuse_existing(contents, replace=replace)
    refuse_existing(over or (), replace=True)
    jobs = [(path, data, replace) for path, data in contents.items()]
    jobs += [(path, data, True) for path, data in (over or {}).items()]
    staged: list[tuple[Path, Path, bool]] = []
    spare: list[Path] = []
    try:
        with contextlib.ExitStack() as undo:
            for path, data, gives_way in jobs:
                with _telling(path):
                    _make(path.parent, undo)
                    temporary = _temporary(path)
                    spare.append(temporary)
                    undo.callback(temporary.unlink, missing_ok=True)
                    staged.append((temporary, path, gives_way))
                    temporary.write_bytes(data.encode() if isinstance(data, str) else data)
            for at, (temporary, path, gives_way) in enumerate(staged, 1):
                with _telling(path):
                    # Nothing can fail behind the last one, so its earlier state need not be kept.
                    earlier = _earlier(path) if gives_way and at < len(staged) and path.exists() else None
                    spare += [earlier] if earlier else []
                    _place(temporary, path, replace=gives_way)
                    undo.callback(_take_back, path, earlier)
            undo.pop_all()
    finally:
        for one in spare:
            one.unlink(missing_ok=True)


def _make(folder: Path, undo: contextlib.ExitStack) -> None:
    """Make a folder and those above it, and take away again what was made, where all is undone."""
    missing = [one for one in (folder, *folder.parents) if not one.exists()]
    for one in reversed(missing):
        one.mkdir(exist_ok=True)
        undo.callback(_remove, one)


def _remove(folder: Path) -> None:
    with contextlib.suppress(OSError):  # somebody else has put something into it
        folder.rmdir()


def _earlier(path: Path) -> Path:
    """A second name for what stands there now, or a copy where the file system knows no links."""
    kept = _temporary(path)
    kept.unlink()
    try:
        os.link(path, kept)
    except OSError:
        shutil.copy2(path, kept)
    return kept


def _take_back(path: Path, earlier: Path | None) -> None:
    with contextlib.suppress(OSError):
        if earlier is None:
            path.unlink()
        else:
            earlier.replace(path)


@contextlib.contextmanager
def atomic(path: Path, *, replace: bool = False) -> Iterator[Path]:
    """A temporary file to write to; it takes its place when the block ends well, and vanishes when it does not.

    Args:
        path: the place.
        replace: whether an existing file gives way.

    Yields:
        The temporary file, in the same folder and with the same ending.

    Raises:
        ShopError: the place is taken, or cannot be written.
    """
    refuse_existing((path,), replace=replace)
    with _telling(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        temporary = _temporary(path)
        try:
            yield temporary
            _place(temporary, path, replace=replace)
        finally:
            temporary.unlink(missing_ok=True)


def refuse_existing(paths: Iterable[Path], *, replace: bool) -> None:
    """Stop before any work is done where an output exists already.

    Raises:
        ShopError: one finding for each path that exists, unless ``replace``; for a folder in a file's place always.
    """
    taken = [
        Finding("error", str(path), "there is a folder where the file should go", "choose another name")
        if path.is_dir()
        else _exists(path)
        for path in paths
        if path.is_dir() or (not replace and (path.exists() or path.is_symlink()))
    ]
    if taken:
        raise ShopError(tuple(taken))


def _exists(path: Path) -> Finding:
    return Finding("error", str(path), "the file exists already", "give --replace to write over it, or another name")


def _temporary(path: Path) -> Path:
    handle, name = tempfile.mkstemp(prefix=".creamery-", suffix=path.suffix, dir=path.parent)
    os.close(handle)
    temporary = Path(name)
    # mkstemp makes files for the owner only; an output is a file like any other.
    temporary.chmod(0o666 & ~_umask())
    return temporary


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _place(temporary: Path, path: Path, *, replace: bool) -> None:
    if replace:
        with contextlib.suppress(OSError):  # nothing stands there yet
            shutil.copymode(path, temporary)
        temporary.replace(path)
        return
    try:
        # A hard link is made only where nothing stands, so two runs at once cannot take each other's place.
        os.link(temporary, path)
    except FileExistsError:
        raise ShopError((_exists(path),)) from None
    except OSError:
        # Some file systems know no links.
        if path.exists():
            raise ShopError((_exists(path),)) from None
        temporary.replace(path)


@contextlib.contextmanager
def _telling(path: Path) -> Iterator[None]:
    """An error of the operating system, told as a finding."""
    try:
        yield
    except OSError as error:
        what = f"the file cannot be written: {error.strerror or error}"
        raise ShopError(
            (Finding("error", str(path), what, "nothing was changed; make room or choose another place"),)
        ) from error
