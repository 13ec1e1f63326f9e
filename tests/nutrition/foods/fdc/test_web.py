"""The web service, over real HTTP against a stand-in on this computer."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from nutrition.foods import library, pins, table
from nutrition.foods.fdc import kept, web
from nutrition.foods.fdc.web import Patience, Web
from nutrition.foods.library import Found, UnknownFoodError
from tests.service import BRANDED, Service, running, sr_legacy

CREAM, SUGAR = 170859, 169655
FAST = Patience(connect=1.0, read=0.5, total=8.0, tries=3, wait=0.5)
HASTY = replace(FAST, read=0.15)
"""Where every answer is slow, so that none can come too late by chance."""


@pytest.fixture
def service(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[Service]:
    monkeypatch.delenv("CREAMERY_OFFLINE")
    monkeypatch.setenv("CREAMERY_HOME", str(tmp_path / "home"))
    monkeypatch.delenv("CREAMERY_CACHE", raising=False)
    with running([sr_legacy(CREAM, "01053"), sr_legacy(SUGAR, "19335", abridged=True), BRANDED]) as found:
        monkeypatch.setenv("CREAMERY_FDC_URL", found.url)
        yield found


class Waits:
    """Stands in for sleeping: takes no time, and remembers how long it would have been."""

    def __init__(self) -> None:
        self.all: list[float] = []

    def __call__(self, seconds: float) -> None:
        self.all.append(seconds)


def fetch(*numbers: int, **more: Any) -> dict[str, Found | UnknownFoodError]:
    more.setdefault("patience", FAST)
    more.setdefault("sleep", Waits())
    return Web(**more).fetch(map(str, numbers))


def one(number: int, **more: Any) -> Found:
    found = fetch(number, **more)[str(number)]
    assert isinstance(found, Found), found
    return found


def why(number: int, **more: Any) -> str:
    found = fetch(number, **more)[str(number)]
    assert isinstance(found, UnknownFoodError), found
    return str(found)


def test_a_record_of_the_service_says_what_the_embedded_table_says(service: Service) -> None:
    """USDA SR28 through the service's schema, full and abridged, against the table that was made from SR28's own files."""
    for number, ndb in ((CREAM, "01053"), (SUGAR, "19335")):
        found, here = one(number).record, table.food(ndb)
        assert (found.id, found.name) == (f"fdc:{number}", here.name)
        for key, amount in here.composition.per_100g().items():
            if key not in here.estimated:
                assert found.composition.amount(key) == amount, key
        assert found.published == "2019-04-01"
    cream = one(CREAM).record
    assert cream.group == "0100"
    assert pins.same(cream, cream)
    assert cream.estimated["trans_fat"] == table.food("01053").estimated["trans_fat"]
    assert cream.measures[0].text == "1 cup, fluid"
    assert cream.measures[0].grams == table.food("01053").measures[0].grams


def test_many_foods_are_one_request_and_each_is_kept(service: Service) -> None:
    found = fetch(CREAM, SUGAR, 99, CREAM)
    assert service.asked == [[CREAM, SUGAR, 99]]
    assert [found[str(n)].origin for n in (CREAM, SUGAR)] == ["web", "web"]  # type: ignore[union-attr]
    assert "no food with the number 99" in str(found["99"])
    assert one(SUGAR).origin == "cache"
    assert one(CREAM).origin == "cache"
    assert len(service.asked) == 1


def test_twenty_at_once(service: Service) -> None:
    service.foods |= {number: BRANDED | {"fdcId": number} for number in range(1, 46)}
    found = fetch(*range(1, 46))
    assert [len(one) for one in service.asked] == [20, 20, 5]
    assert all(isinstance(one, Found) for one in found.values())


def test_refresh_asks_again(service: Service) -> None:
    one(CREAM)
    assert one(CREAM, refresh=True).origin == "web"
    assert len(service.asked) == 2


def test_a_packaged_food_is_the_intervals_of_its_label(service: Service) -> None:
    """10 g of fat in 30 g: 9.5 g to below 10.5 g (21 CFR 101.9(c)(2)); sodium 20 mg out of 67 mg in 100 g: 17.5 to 22.5."""
    record = one(534358).record
    assert record.rounded
    low, high = record.composition.bounds("total_fat")
    assert (low * 0.3, high * 0.3) == pytest.approx((9.5, 10.5))
    low, high = record.composition.bounds("sodium")
    assert (low * 0.3, high * 0.3) == pytest.approx((17.5, 22.5))
    assert record.composition.bounds("energy")[0] * 0.3 == pytest.approx(155)
    assert record.composition.amount("iron") is None
    assert [name for name, _ in record.made_of] == ["hazelnuts", "sugar", "chocolate (sugar, cocoa butter)", "salt"]
    assert record.measures[0].text == "2 Tbsp"
    assert record.details["gtin"] == "00850000000001"


def test_a_packaged_food_by_volume_is_wider(service: Service) -> None:
    service.foods[534358] = BRANDED | {"servingSizeUnit": "ml", "servingSize": 240}
    record = one(534358).record
    assert record.composition.bounds("protein") == pytest.approx((10 / 1.4, 10 / 0.9))
    assert "100 mL" in record.estimated["protein"]


@pytest.mark.parametrize("trouble", ["429", "500", "503", "slow", "cut", "html"])
def test_trouble_that_passes(service: Service, trouble: str) -> None:
    service.plan = [trouble, trouble]
    waits = Waits()
    assert one(CREAM, sleep=waits).origin == "web"
    assert waits.all == [0.5, 1.0]
    assert len(service.asked) == 3


@pytest.mark.parametrize(
    ("trouble", "says"),
    [
        ("429", "too many questions with the key DEMO_KEY for now; a key of your own"),
        ("500", "has a fault (status 500)"),
        ("slow", "does not answer in time"),
        ("cut", "broke off"),
        ("html", "no answer (the answer is no JSON)"),
    ],
)
def test_trouble_that_stays(service: Service, trouble: str, says: str) -> None:
    service.plan = [trouble] * 3
    said = why(CREAM, patience=HASTY if trouble == "slow" else FAST)
    assert says in said
    assert f"creamery foods fetch {CREAM}" in said
    assert len(service.asked) == 3


def test_the_service_says_how_long_to_wait(service: Service) -> None:
    service.plan = ["429 after 3", "503 after 1"]
    waits = Waits()
    assert one(CREAM, sleep=waits).origin == "web"
    assert waits.all == [3.0, 1.0]


@pytest.mark.parametrize("after", ["3600", "1e999", "Fri, 31 Dec 2999 23:59:59 GMT"])
def test_nobody_waits_for_ever(service: Service, after: str) -> None:
    service.plan = [f"429 after {after}"] * 3
    waits = Waits()
    assert "too many questions" in why(CREAM, sleep=waits)
    assert sum(waits.all) < FAST.total


@pytest.mark.parametrize("after", ["soon", "-5", ""])
def test_a_strange_wait_is_passed_over(service: Service, after: str) -> None:
    service.plan = [f"429 after {after}" if after else "429"]
    assert one(CREAM).origin == "web"


@pytest.mark.parametrize(
    ("status", "says"), [("403", "refuses the key DEMO_KEY"), ("400", "status 400"), ("404", "status 404")]
)
def test_a_refusal_is_not_asked_again(service: Service, status: str, says: str) -> None:
    service.plan = [status]
    assert says in why(CREAM)
    assert len(service.asked) == 1


def test_an_old_record_stands_in_when_the_service_is_down(service: Service, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept, "DAYS", timedelta(days=-1))
    one(CREAM)
    service.plan = ["500"] * 3
    found = one(CREAM)
    assert found.origin == "old cache"
    assert found.record.composition.amount("total_fat") == 36.08
    assert one(CREAM).origin == "web"


def test_kept_records_need_no_network(service: Service, monkeypatch: pytest.MonkeyPatch) -> None:
    one(CREAM)
    monkeypatch.setenv("CREAMERY_OFFLINE", "1")
    assert one(CREAM).origin == "cache"
    assert "told to stay off-line" in why(SUGAR)
    assert len(service.asked) == 1


def test_no_service_is_told_at_once(service: Service, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CREAMERY_FDC_URL", "http://127.0.0.1:9/fdc")
    waits = Waits()
    assert "cannot be reached" in why(CREAM, sleep=waits, patience=web.QUICK)
    assert waits.all == []


def test_the_key_goes_nowhere_else(
    service: Service, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    key = "s3cretKeyOfTheShop0123456789"
    monkeypatch.setenv("FDC_API_KEY", key)
    caplog.set_level(logging.DEBUG)
    said = []
    for word in ("good", "429", "500", "403", "400", "html", "cut", "slow", "echo", "moved", "302"):
        service.plan = [word] * 3
        said.append(repr(fetch(CREAM, 99, refresh=True, patience=HASTY if word == "slow" else FAST)))
    assert set(service.keys) == {key}
    assert len(service.asked) == 1 + 2 * 3 + 2 + 3 * 3 + 3
    assert key not in "".join(said)
    assert "refuses your key" in "".join(said)
    assert key not in caplog.text
    files = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert any(path.name == kept.FILE for path in files)
    assert not [path for path in files if key.encode() in path.read_bytes()]


@pytest.mark.parametrize("key", ["two words", "new\nline", "Bearer: x", "ключ", "x" * 101])
def test_a_key_that_is_none(service: Service, monkeypatch: pytest.MonkeyPatch, key: str) -> None:
    monkeypatch.setenv("FDC_API_KEY", key)
    said = why(CREAM)
    assert "FDC_API_KEY holds signs that no key has" in said
    assert key not in said
    assert service.asked == []


@pytest.mark.parametrize("url", ["http://example.org/fdc", "ftp://127.0.0.1/", "nonsense"])
def test_another_service_must_be_safe(service: Service, monkeypatch: pytest.MonkeyPatch, url: str) -> None:
    monkeypatch.setenv("CREAMERY_FDC_URL", url)
    assert "must begin with https://" in why(CREAM)


def test_the_size_of_an_answer_is_bounded(service: Service, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(web, "LARGEST", 100_000)
    service.plan = ["huge"]
    assert "more than 0 MB" in why(CREAM)
    assert len(service.asked) == 1


@pytest.mark.parametrize(
    "spoil",
    ["text", "folder", "garbage", "[]", "{}", '{"status_code": "x", "url": 7}', '{"created_at": "never"}', "[" * 5000],
)
def test_a_damaged_cache_is_no_cache(service: Service, tmp_path: Path, spoil: str) -> None:
    one(CREAM)
    path = next(tmp_path.rglob(kept.FILE))
    if spoil == "text":
        path.write_text("no database")
    elif spoil == "folder":
        path.unlink()
        path.mkdir()
    else:
        import sqlite3

        with sqlite3.connect(path) as book:
            book.execute("UPDATE responses SET value = ?", (spoil,))
        book.close()
    assert one(CREAM).origin == "web"


def test_the_resolve_chain(service: Service) -> None:
    """A pin goes before everything, and all that is missing is one request."""
    pinned = {"fdc:169655": table.food("01053")}
    found = library.find(["fdc:169655", f"fdc:{CREAM}", "fdc:99", "usda:1053", "water"], {}, pinned, Web(FAST).fetch)
    origins = [one.origin if isinstance(one, Found) else "none" for one in found.values()]
    assert origins == ["pin", "web", "none", "table", "table"]
    assert service.asked == [[CREAM, 99]]
