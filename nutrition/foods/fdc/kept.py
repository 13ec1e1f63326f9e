"""What the web service of FoodData Central answered, kept food by food for thirty days in the user's cache folder.

The cache is that of requests-cache, in SQLite. A food is kept as if it had been asked for alone, so that it is found
again whatever it is asked for with. Entries are JSON and hold no key: nothing in a cache folder must be able to run
anything, or to tell anything.
"""

from __future__ import annotations

import contextlib
import sqlite3
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any, Final, Self

from nutrition.foods import places
from nutrition.foods.fdc import answers

if TYPE_CHECKING:
    from requests_cache import CachedSession

    from nutrition.foods.fdc.facts import Facts

DAYS: Final = timedelta(days=30)
FILE: Final = "fooddata-central.sqlite"
WAIT: Final = 5.0
"""Seconds for which another run may hold the file."""


class Kept:
    """The cache, and the session that asks the service.

    Args:
        address: where the service is.
        from_environment: whether proxies of the environment are used.
    """

    def __init__(self, address: str, *, from_environment: bool = True) -> None:
        self.address = address
        self.session = _session()
        self.session.trust_env = from_environment

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        with contextlib.suppress(sqlite3.Error):
            self.session.close()  # type: ignore[no-untyped-call]

    def foods(self, numbers: list[str]) -> dict[str, tuple[Facts, bool]]:
        """Foods by FDC id, each with whether it is young enough to stand without asking; others are not there."""
        found: dict[str, tuple[Facts, bool]] = {}
        for number in numbers:
            # What an entry that is no longer whole leads to inside the libraries that read it nobody can list; whatever
            # it is, the entry counts as not there.
            with contextlib.suppress(Exception):
                one = self.session.cache.get_response(self._place(number))
                facts = answers.foods(one.content)[0] if one is not None else ()
                if one is not None and [str(food.id) for food in facts] == [number]:
                    found[number] = facts[0], not one.is_expired
        return found

    def keep(self, number: str, raw: bytes) -> None:
        """Keep a food; a cache that cannot be written is no error.

        Args:
            number: its FDC id.
            raw: its JSON.
        """
        from requests_cache.models.request import CachedRequest
        from requests_cache.models.response import CachedResponse

        url = str(self._question(number).url)
        answer = CachedResponse(
            content=raw, status_code=200, encoding="utf-8", url=url, request=CachedRequest(method="GET", url=url)
        )
        with contextlib.suppress(sqlite3.Error, OSError):
            self.session.cache.save_response(answer, self._place(number), datetime.now(UTC) + DAYS)

    def _question(self, number: str) -> Any:
        from requests import Request

        return Request("GET", f"{self.address}/v1/food/{number}", params={"format": "full"}).prepare()

    def _place(self, number: str) -> str:
        return self.session.cache.create_key(self._question(number))


def _session() -> CachedSession:
    """A session with its cache; in memory where the folder cannot be written or the file is no database."""
    from requests_cache import CachedSession

    settings: dict[str, Any] = {
        "serializer": "json",
        "expire_after": DAYS,
        # Only what is kept by hand is kept: a question about many foods never is.
        "allowable_methods": (),
        "ignored_parameters": ["X-Api-Key", "api_key"],
    }
    path = places.web_cache() / FILE
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        session = CachedSession(str(path), backend="sqlite", timeout=WAIT, decode_content=False, **settings)
        len(session.cache.responses)
    except (OSError, sqlite3.Error):
        return CachedSession(backend="memory", **settings)
    return session
