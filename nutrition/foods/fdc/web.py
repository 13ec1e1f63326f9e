"""Records of FoodData Central from its web service, each kept for thirty days.

One request fetches up to twenty foods (``POST /v1/foods``; FoodData Central API guide, from memory). What came is kept
food by food (:mod:`nutrition.foods.fdc.kept`) and stands in for the service when that is down. The key comes from
``FDC_API_KEY``, is sent in a header, and goes nowhere else; without one the service's ``DEMO_KEY`` is used. With
``CREAMERY_OFFLINE`` set nothing is ever sent.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import socket
import threading
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final
from urllib.parse import urlsplit

from nutrition.foods.fdc import answers
from nutrition.foods.fdc.kept import Kept
from nutrition.foods.library import Found, UnknownFoodError

if TYPE_CHECKING:
    from requests import Response

    from nutrition.foods.fdc.facts import Facts

SERVICE: Final = "https://api.nal.usda.gov/fdc"
NAME: Final = "FoodData Central"
AT_ONCE: Final = 20
"""Foods of one request (API guide, from memory)."""
LARGEST: Final = 32_000_000
"""Bytes of one answer."""
DEMO: Final = "DEMO_KEY"

_KEY: Final = re.compile(r"[A-Za-z0-9_-]{1,100}")
_AGAIN: Final = frozenset((429, 500, 502, 503, 504))
_LOOPBACK: Final = frozenset(("127.0.0.1", "localhost", "::1"))


@dataclass(frozen=True, slots=True)
class Patience:
    """How long the service is waited for, all in seconds.

    Args:
        connect: for a connection.
        read: between two pieces of an answer.
        total: for everything, tries and waits included.
        tries: how often a request is sent.
        wait: before the second try; twice as long before each further one, unless the service says how long.
    """

    connect: float = 3.0
    read: float = 10.0
    total: float = 60.0
    tries: int = 4
    wait: float = 0.5


PATIENT: Final = Patience()
QUICK: Final = Patience(connect=2.0, read=4.0, total=8.0, tries=1)
"""For a command that only happens to need a record."""


class ServiceError(Exception):
    """The service gave no answer; its one argument says why, for people to read."""


class _AgainError(ServiceError):
    """The service gave no answer, and may give one to the next try.

    Args:
        why: for people to read.
        after: how many seconds the service asks to wait, None where it does not say.
    """

    def __init__(self, why: str, after: float | None = None) -> None:
        super().__init__(why)
        self.after = after


def offline() -> bool:
    """Whether nothing may be sent."""
    return os.environ.get("CREAMERY_OFFLINE", "").strip() not in ("", "0", "no")


def _address() -> str:
    """Where the service is; another one may be named for tests, on this computer or by https."""
    told = os.environ.get("CREAMERY_FDC_URL", "").strip().rstrip("/")
    if not told:
        return SERVICE
    parts = urlsplit(told)
    if parts.scheme != "https" and not (parts.scheme == "http" and parts.hostname in _LOOPBACK):
        raise ServiceError("CREAMERY_FDC_URL must begin with https://")
    return told


def _key() -> str:
    key = os.environ.get("FDC_API_KEY", "").strip() or DEMO
    if not _KEY.fullmatch(key):
        # What is wrong with it is not shown: it may be a key all the same.
        raise ServiceError("FDC_API_KEY holds signs that no key has; copy it again from the letter that brought it")
    return key


@dataclass(slots=True)
class Web:
    """The service, with what is kept of it.

    Args:
        patience: how long it is waited for.
        refresh: whether what is kept is passed over.
        only_kept: whether nothing is asked.
        sleep: waits so many seconds.
        clock: seconds that only go forward.
    """

    patience: Patience = PATIENT
    refresh: bool = False
    only_kept: bool = False
    sleep: Callable[[float], None] = time.sleep
    clock: Callable[[], float] = time.monotonic

    def fetch(self, numbers: Iterable[str]) -> dict[str, Found | UnknownFoodError]:
        """Records by FDC id, without ``fdc:``.

        Args:
            numbers: the ids.

        Returns:
            For each its record and whether it was kept or came now, or why there is none. Nothing is raised.
        """
        wanted = list(dict.fromkeys(numbers))
        try:
            address = _address()
        except ServiceError as wrong:
            return {number: UnknownFoodError(f"fdc:{number} cannot be fetched; {wrong}") for number in wanted}
        with Kept(address, from_environment=urlsplit(address).hostname not in _LOOPBACK) as shelf:
            kept = shelf.foods(wanted)
            found: dict[str, Found | UnknownFoodError] = {
                number: Found(facts.record(), "cache")
                for number, (facts, fresh) in kept.items()
                if fresh and not self.refresh
            }
            missing = [number for number in wanted if number not in found]
            for start in range(0, len(missing), AT_ONCE):
                found |= self._ask(shelf, missing[start : start + AT_ONCE], kept)
        return found

    def _ask(
        self, shelf: Kept, numbers: list[str], kept: dict[str, tuple[Facts, bool]]
    ) -> dict[str, Found | UnknownFoodError]:
        try:
            came, problems = self._answer(shelf, numbers)
        except ServiceError as wrong:
            return {
                number: Found(kept[number][0].record(), "old cache")
                if number in kept
                else UnknownFoodError(
                    f"the record of fdc:{number} is not on this computer, and {wrong}; fetch it once while the service "
                    f"answers: creamery foods fetch {number}"
                )
                for number in numbers
            }
        found: dict[str, Found | UnknownFoodError] = {}
        for number in numbers:
            facts = came.get(number)
            if facts is not None:
                found[number] = Found(facts.record(), "web")
            else:
                said = next((one for one in problems if one.startswith(f"fdc:{number}")), "")
                found[number] = UnknownFoodError(
                    f"{NAME} has a record of fdc:{number} that cannot be used: {said}; take another record of the food"
                    if said
                    else f"{NAME} has no food with the number {number}; look it up with: creamery foods search"
                )
        return found

    # Asking ------------------------------------------------------------------------------------------------------

    def _answer(self, shelf: Kept, numbers: list[str]) -> tuple[dict[str, Facts], tuple[str, ...]]:
        """Ask until there is an answer, or patience ends.

        Raises:
            ServiceError: there is none.
        """
        if self.only_kept:
            raise ServiceError("nothing was asked")
        if offline():
            raise ServiceError("creamery is told to stay off-line")
        key = _key()
        until = self.clock() + self.patience.total
        wait = self.patience.wait
        for attempt in range(1, self.patience.tries + 1):
            try:
                raw = self._send(shelf, numbers, key, until)
                return self._read(shelf, raw, numbers)
            except _AgainError as again:
                pause = wait if again.after is None else again.after
                if attempt == self.patience.tries or self.clock() + pause >= until:
                    raise ServiceError(str(again)) from None
                self.sleep(pause)
                wait *= 2
        raise ServiceError(f"{NAME} was not asked")  # a patience of no tries

    def _read(self, shelf: Kept, raw: bytes, numbers: list[str]) -> tuple[dict[str, Facts], tuple[str, ...]]:
        try:
            came, problems = answers.foods(raw)
        except answers.AnswerError as wrong:
            raise _AgainError(f"{NAME} sent something that is no answer ({wrong})") from None
        found: dict[str, Facts] = {}
        for facts in came:
            if str(facts.id) in numbers:
                found.setdefault(str(facts.id), facts)
        for one in json.loads(raw.decode("utf-8-sig")) if found else ():
            number = str(one.get("fdcId")) if isinstance(one, dict) else ""
            if number in found:
                shelf.keep(number, json.dumps(one, ensure_ascii=False).encode())
        return found, problems

    def _send(self, shelf: Kept, numbers: list[str], key: str, until: float) -> bytes:
        """One request.

        Raises:
            ServiceError: the service refuses.
            _AgainError: it does not answer, or asks to wait.
        """
        import requests

        self._reachable(shelf.address)
        body = {"fdcIds": [int(number) for number in numbers], "format": "full"}
        try:
            with shelf.session.post(
                f"{shelf.address}/v1/foods",
                json=body,
                headers={"X-Api-Key": key, "Accept": "application/json"},
                timeout=(self.patience.connect, self.patience.read),
                stream=True,
                # A key is not carried on to wherever an answer points.
                allow_redirects=False,
            ) as response:
                self._check(response, key)
                return self._body(response, key, until)
        except requests.Timeout:
            raise _AgainError(f"{NAME} does not answer in time") from None
        except (requests.exceptions.ChunkedEncodingError, requests.exceptions.ContentDecodingError):
            raise _AgainError(f"the answer of {NAME} broke off") from None
        except requests.ConnectionError:
            raise _AgainError(f"{NAME} cannot be reached") from None
        except (requests.RequestException, OSError, ValueError) as wrong:
            # The words of a library may repeat what was sent; its kind does not.
            raise ServiceError(f"{NAME} cannot be asked ({type(wrong).__name__})") from None

    def _reachable(self, address: str) -> None:
        """Give up early where names of the network cannot be found, for which no library has a limit of time."""
        from requests.utils import get_environ_proxies

        host = urlsplit(address).hostname or ""
        if host in _LOOPBACK or get_environ_proxies(address):
            return
        known: list[bool] = []

        def look() -> None:
            with contextlib.suppress(OSError):
                socket.getaddrinfo(host, 443)
                known.append(True)

        thread = threading.Thread(target=look, daemon=True)
        thread.start()
        thread.join(self.patience.connect)
        if not known:
            raise _AgainError(f"{NAME} cannot be reached")

    def _check(self, response: Response, key: str) -> None:
        status = response.status_code
        if status == 200:
            return
        whose = f"the key {DEMO}" if key == DEMO else "your key"
        if status == 429:
            more = "; a key of your own, which is free, in FDC_API_KEY allows more" if key == DEMO else ""
            raise _AgainError(f"{NAME} has had too many questions with {whose} for now{more}", _after(response))
        if status in _AGAIN:
            raise _AgainError(f"{NAME} has a fault (status {status})", _after(response))
        if status in (401, 403):
            raise ServiceError(f"{NAME} refuses {whose}; check FDC_API_KEY")
        raise ServiceError(f"{NAME} refuses the question (status {status})")

    def _body(self, response: Response, key: str, until: float) -> bytes:
        found = bytearray()
        for piece in response.iter_content(16_384):
            found += piece
            if len(found) > LARGEST:
                raise ServiceError(f"{NAME} sent more than {LARGEST // 1_000_000} MB, which no foods are")
            if self.clock() > until:
                raise _AgainError(f"{NAME} does not answer in time")
        if key != DEMO and key.encode() in found:
            raise ServiceError(f"{NAME} sent the key back, and the answer was thrown away")
        return bytes(found)


def _after(response: Response) -> float | None:
    """How many seconds the service asks to wait, None where it does not say (RFC 9110, 10.2.3)."""
    from urllib3.exceptions import InvalidHeader
    from urllib3.util import Retry

    said = response.headers.get("Retry-After", "")
    try:
        return max(0.0, float(Retry().parse_retry_after(said))) if said else None
    except (InvalidHeader, ValueError, OverflowError):
        return None
