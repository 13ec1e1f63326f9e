"""Reads one CSV file of a download in batches of columns, however it is ordered and whatever is wrong with it.

The parser is pyarrow's. First a file is read *fast*: numbers are parsed by the parser, which stops at the first cell
that is none. Then the import begins again *careful*: every cell comes as bytes, and what cannot be read is marked in
its own row. Sound files never need the second way, and damaged ones give the same rows either way.
"""

from __future__ import annotations

import contextlib
import csv
import io
import queue
import threading
import zipfile
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from nutrition.foods.fdc.download import DownloadError

if TYPE_CHECKING:
    from collections.abc import Callable, Generator, Iterable, Iterator, Mapping

    import pyarrow as pa
    from numpy.typing import NDArray

    from nutrition.foods.fdc.download import Download
    from nutrition.foods.fdc.tally import Tally

INT, FLOAT, TEXT = "int", "float", "text"
BLOCK = 2 * 2**20
"""Bytes that are parsed at a time; the parser reads some blocks ahead, so that this bounds its memory too."""
LONGEST_HEAD = 64 * 1024

CELLS = "another number of cells than the first line"
"""Why a row is refused."""

MISSING = -1
"""What stands in a column of whole numbers where there is none, or something else."""


class NotSoundError(Exception):
    """Some cell cannot be read the fast way."""


@dataclass(frozen=True, slots=True)
class Batch:
    """Some rows of a file by column.

    Args:
        rows: how many.
        ints: columns of whole numbers, :data:`MISSING` where there is none.
        floats: columns of numbers, ``nan`` where the cell is empty, ``inf`` where it holds something else.
        texts: columns of texts without nulls; a text that is not UTF-8 is empty.
        foreign: for each row whether a text of it is not UTF-8; None where all are.
    """

    rows: int
    ints: Mapping[str, NDArray[np.int64]]
    floats: Mapping[str, NDArray[np.float64]]
    texts: Mapping[str, pa.StringArray]
    foreign: NDArray[np.bool_] | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """How files are read.

    Args:
        careful: cell by cell, for files that are not sound.
        told: is told of every stretch that was read, in bytes.
    """

    careful: bool
    told: Callable[[int], None]


def head(download: Download, name: str) -> list[str]:
    """The names of a file's columns.

    Raises:
        DownloadError: its first line cannot be read, or names a column twice.
    """
    try:
        with download.file(name) as file:
            line = file.readline(LONGEST_HEAD)
    except (OSError, zipfile.BadZipFile, EOFError, RuntimeError) as error:
        raise DownloadError(f"{name} in {download.name} cannot be unpacked: {error}") from error
    try:
        names = next(csv.reader(io.StringIO(line.decode("utf-8-sig").strip())), [])
    except (UnicodeDecodeError, csv.Error) as error:
        raise DownloadError(f"the first line of {name} cannot be read: it is no CSV file in UTF-8") from error
    if len(names) != len(set(names)):
        raise DownloadError(f"{name} names a column twice")
    return names


def batches(
    download: Download,
    name: str,
    wanted: Mapping[str, str],
    tally: Tally,
    reading: Reading,
    optional: frozenset[str] = frozenset(),
) -> Iterator[Batch]:
    """The rows of a file in batches.

    Args:
        download: where it is.
        name: its name.
        wanted: columns, each with :data:`INT`, :data:`FLOAT` or :data:`TEXT`.
        tally: counts the rows, and those with too many or too few cells.
        reading: how.
        optional: columns that may be missing; they then hold nothing.

    Raises:
        DownloadError: it is not there, lacks a column or is no CSV.
        NotSoundError: a cell that cannot be read the fast way.
    """
    import pyarrow as pa
    import pyarrow.csv as pacsv

    there = head(download, name)
    lacking = [column for column in wanted if column not in there and column not in optional]
    if lacking:
        raise DownloadError(f"{name} has no column {', '.join(lacking)}; its columns are {', '.join(there)[:200]}")
    types = {INT: pa.int64(), FLOAT: pa.float64(), TEXT: pa.string()}
    columns = {column: pa.binary() if reading.careful else types[type_] for column, type_ in wanted.items()}

    def other(row: Any) -> str:
        tally.count(1)
        tally.refuse(CELLS, 1, f"{row.actual_columns} for {row.expected_columns}")
        return "skip"

    try:
        with _opened(download, name, reading.told) as file:
            stream = pacsv.open_csv(
                file,
                read_options=pacsv.ReadOptions(block_size=BLOCK),
                parse_options=pacsv.ParseOptions(newlines_in_values=True, invalid_row_handler=other),
                convert_options=pacsv.ConvertOptions(
                    include_columns=[column for column in wanted if column in there],
                    column_types={column: type_ for column, type_ in columns.items() if column in there},
                    null_values=[""],
                    strings_can_be_null=False,
                    quoted_strings_can_be_null=True,
                ),
            )
            left = 0 if isinstance(file, _Counted) else download.sizes[name]
            with contextlib.closing(_ahead(stream)) as ahead:
                for batch in ahead:
                    tally.count(batch.num_rows)
                    if left > 0:
                        reading.told(min(BLOCK, left))
                        left -= BLOCK
                    yield _batch(batch, wanted)
    except pa.ArrowInvalid as error:
        if not reading.careful:
            raise NotSoundError(str(error)) from error
        raise DownloadError(f"{name} cannot be read as CSV: {str(error).splitlines()[0][:200]}") from error
    except (zipfile.BadZipFile, EOFError, RuntimeError) as error:
        raise DownloadError(f"{name} in {download.name} cannot be unpacked: {error}") from error


AHEAD = 3
"""Batches that are parsed while the ones before them are worked on."""


def _ahead(stream: Iterable[pa.RecordBatch]) -> Generator[pa.RecordBatch]:
    """The batches of a stream, the next ones parsed in a thread of its own (the parser needs no interpreter lock)."""
    line: queue.Queue[pa.RecordBatch | BaseException | None] = queue.Queue(AHEAD)
    stop = threading.Event()

    def put(one: pa.RecordBatch | BaseException | None) -> bool:
        while not stop.is_set():
            try:
                line.put(one, timeout=0.1)
            except queue.Full:
                continue
            return True
        return False

    def parse() -> None:
        try:
            for batch in stream:
                if not put(batch):
                    return
        except BaseException as error:
            put(error)
        else:
            put(None)

    thread = threading.Thread(target=parse, name="csv", daemon=True)
    thread.start()
    try:
        while (one := line.get()) is not None:
            if isinstance(one, BaseException):
                raise one
            yield one
    finally:
        stop.set()
        thread.join()


def _opened(download: Download, name: str, told: Callable[[int], None]) -> Any:
    """A file of the download for the parser: the parser's own where it lies on disk, which is faster."""
    import pyarrow as pa

    place = download.place(name)
    return _Counted(download.file(name), told) if place is None else pa.OSFile(str(place), "rb")


class _Counted(io.RawIOBase):
    """A file that tells how much of it was read."""

    def __init__(self, file: Any, told: Callable[[int], None]) -> None:
        super().__init__()
        self._file = file
        self._told = told

    def readable(self) -> bool:
        return True

    def read(self, size: int = -1, /) -> bytes:
        found: bytes = self._file.read(size)
        self._told(len(found))
        return found

    def close(self) -> None:
        self._file.close()
        super().close()


def _batch(batch: pa.RecordBatch, wanted: Mapping[str, str]) -> Batch:
    import pyarrow as pa

    ints, floats, texts = {}, {}, {}
    foreign: NDArray[np.bool_] | None = None
    there = set(batch.schema.names)
    for column, type_ in wanted.items():
        cells = batch.column(column) if column in there else pa.nulls(batch.num_rows, pa.string())
        if type_ == INT:
            ints[column] = _ints(cells)
        elif type_ == FLOAT:
            floats[column] = _floats(cells)
        else:
            texts[column], bad = _texts(cells)
            if bad is not None:
                foreign = bad if foreign is None else foreign | bad
    return Batch(batch.num_rows, ints, floats, texts, foreign)


def _ints(cells: pa.Array) -> NDArray[np.int64]:
    import pyarrow as pa
    import pyarrow.compute as pc

    if not pa.types.is_int64(cells.type):
        cells = _parsed(cells, pa.int64(), _whole)
    if cells.null_count:
        cells = pc.fill_null(cells, MISSING)
    return np.asarray(cells.to_numpy(zero_copy_only=False), dtype=np.int64)


def _floats(cells: pa.Array) -> NDArray[np.float64]:
    import pyarrow as pa

    if not pa.types.is_float64(cells.type):
        cells = _parsed(cells, pa.float64(), _number)
    found = np.asarray(cells.to_numpy(zero_copy_only=False), dtype=np.float64)
    odd = np.isnan(found)
    if np.count_nonzero(odd) > cells.null_count:
        # The parser takes the word "nan" for a number; an empty cell is something else.
        found = np.where(odd & np.asarray(cells.is_valid()), np.inf, found)
    return found


def _texts(cells: pa.Array) -> tuple[pa.StringArray, NDArray[np.bool_] | None]:
    import pyarrow as pa
    import pyarrow.compute as pc

    foreign = None
    if not pa.types.is_string(cells.type):
        try:
            cells = cells.cast(pa.string())
        except pa.ArrowInvalid:
            decoded = [_decoded(cell) for cell in cells.to_pylist()]
            foreign = np.array([text is None for text in decoded])
            cells = pa.array(["" if text is None else text for text in decoded], pa.string())
    return (pc.fill_null(cells, "") if cells.null_count else cells), foreign


def _parsed(cells: pa.Array, type_: pa.DataType, one: Callable[[str], Any]) -> pa.Array:
    """Cells as numbers: all at once if they all are, else one by one."""
    import pyarrow as pa
    import pyarrow.compute as pc

    try:
        texts = pc.utf8_trim_whitespace(cells.cast(pa.string()))
        return pc.if_else(pc.equal(texts, ""), None, texts).cast(type_)
    except pa.ArrowInvalid:
        decoded = (_decoded(cell) for cell in cells.to_pylist())
        return pa.array([one("?" if text is None else text.strip()) for text in decoded], type_)


def _decoded(cell: bytes | None) -> str | None:
    try:
        return (cell or b"").decode("utf-8")
    except UnicodeDecodeError:
        return None


def _whole(text: str) -> int:
    """A whole number of at most 18 digits, :data:`MISSING` for all else."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 18 else MISSING


def _number(text: str) -> float | None:
    """A number, None for nothing, ``inf`` for all else."""
    if not text:
        return None
    try:
        found = float(text) if text.isascii() and "_" not in text else float("inf")
    except ValueError:
        return float("inf")
    return float("inf") if found != found else found  # noqa: PLR0124 - "nan" is no amount
