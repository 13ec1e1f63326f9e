"""A stand-in for the web service of FoodData Central on this computer, for tests.

It speaks the documented schema (FoodData Central API guide and its OpenAPI description, from memory): ``POST /v1/foods``
with ``{"fdcIds": [...], "format": "full"}`` and a key in ``X-Api-Key``; foods that it does not know are left out.
"""

from __future__ import annotations

import contextlib
import json
import threading
import time
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

from nutrition.foods import table
from nutrition.nutrients import nutrients


def sr_legacy(fdc_id: int, ndb: str, *, abridged: bool = False, **more: Any) -> dict[str, Any]:
    """A record of SR Legacy with the values that the embedded table (USDA SR28) has for an NDB number."""
    row = next(row for row in table.raw_rows() if row[0] == ndb)
    cell = dict(zip(table._columns(), row, strict=True))
    lines = []
    for one in nutrients():
        if not one.abbrev or not one.fdc or not cell.get(one.key):
            continue
        name = "Energy" if one.key == "energy" else NAMES.get(one.key, one.name)
        unit = {"mcg": "UG"}.get(one.unit, one.unit.upper())
        flat = {"number": one.usda, "name": name, "unitName": unit}
        amount = float(cell[one.key])
        nested = {"type": "FoodNutrient", "nutrient": {"id": int(one.fdc), **flat, "rank": 1}, "amount": amount}
        lines.append({**flat, "amount": amount} if abridged else nested)
    found: dict[str, Any] = {
        "fdcId": fdc_id,
        "dataType": "SR Legacy",
        "description": cell["name"],
        "publicationDate": "4/1/2019",
        "ndbNumber": int(ndb),
        "foodNutrients": lines,
    }
    if not abridged:
        found["foodCategory"] = {"id": 1, "code": cell["group"], "description": "group"}
        found["foodPortions"] = [
            {"amount": 1.0, "gramWeight": float(cell["measure_1_g"]), "modifier": "cup, fluid",
             "measureUnit": {"id": 9999, "name": "undetermined", "abbreviation": "undetermined"}},
        ]  # fmt: skip
    return found | more


NAMES = {
    "total_fat": "Total lipid (fat)",
    "saturated_fat": "Fatty acids, total saturated",
    "monounsaturated_fat": "Fatty acids, total monounsaturated",
    "polyunsaturated_fat": "Fatty acids, total polyunsaturated",
    "total_carbohydrate": "Carbohydrate, by difference",
    "dietary_fiber": "Fiber, total dietary",
    "total_sugars": "Total Sugars",
    "calcium": "Calcium, Ca",
    "iron": "Iron, Fe",
    "sodium": "Sodium, Na",
    "potassium": "Potassium, K",
    "vitamin_d": "Vitamin D (D2 + D3)",
    "vitamin_a": "Vitamin A, RAE",
    "vitamin_c": "Vitamin C, total ascorbic acid",
}

BRANDED: dict[str, Any] = {
    "fdcId": 534358,
    "dataType": "Branded",
    "description": "HAZELNUT PRALINE",
    "publicationDate": "2021-10-28",
    "brandOwner": "Brambleside Nut Works",
    "gtinUpc": "00850000000001",
    "servingSize": 30.0,
    "servingSizeUnit": "g",
    "householdServingFullText": "2 Tbsp",
    "ingredients": "HAZELNUTS, SUGAR, CHOCOLATE (SUGAR, COCOA BUTTER), CONTAINS 2% OR LESS OF: SALT.",
    "foodNutrients": [
        {"nutrient": {"id": 1004, "number": "204", "name": "Total lipid (fat)", "unitName": "g"}, "amount": 33.33},
        {"nutrient": {"id": 1003, "number": "203", "name": "Protein", "unitName": "g"}, "amount": 10.0},
        {"nutrient": {"id": 1093, "number": "307", "name": "Sodium, Na", "unitName": "mg"}, "amount": 67.0},
    ],
    "labelNutrients": {
        "fat": {"value": 10.0},
        "protein": {"value": 3.0},
        "calories": {"value": 160.0},
        "mood": {"value": 1},
    },
}
"""A packaged food, made up."""


class Service:
    """The stand-in.

    What it does is set by ``plan``, one word for each request to come: ``good``, a status (``429``), a status with
    how long to wait (``429 after 7``), ``slow``, ``cut``, ``html``, ``huge``, ``echo`` (sends the key back) or ``moved``.
    """

    def __init__(self, foods: list[dict[str, Any]]) -> None:
        self.foods = {one["fdcId"]: one for one in foods}
        self.plan: list[str] = []
        self.raw: bytes | None = None
        self.asked: list[list[int]] = []
        self.keys: list[str] = []
        self.delay = 0.8
        service = self

        class Handler(BaseHTTPRequestHandler):
            def do_POST(self) -> None:
                body = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
                assert self.path == "/fdc/v1/foods", self.path
                assert body["format"] == "full"
                assert len(body["fdcIds"]) <= 20
                service.asked.append(body["fdcIds"])
                service.keys.append(self.headers["X-Api-Key"])
                word, _, after = (service.plan.pop(0) if service.plan else "good").partition(" after ")
                with contextlib.suppress(BrokenPipeError, ConnectionResetError):
                    service.answer(self, word, after, body["fdcIds"])

            def log_message(self, *_: Any) -> None:
                pass

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.server.daemon_threads = True
        self.url = f"http://127.0.0.1:{self.server.server_address[1]}/fdc"

    def answer(self, to: BaseHTTPRequestHandler, word: str, after: str, ids: list[int]) -> None:
        status = int(word) if word.isdigit() else 302 if word == "moved" else 200
        good = json.dumps([self.foods[one] for one in ids if one in self.foods]).encode()
        body = {
            "html": b"<html>please log in</html>",
            "echo": json.dumps([self.foods.get(ids[0], {}) | {"scientificName": self.keys[-1]}]).encode(),
            "huge": b"[" + b" " * 200_000 + b"]",
        }.get(word, good if self.raw is None else self.raw)
        if status != 200:
            body = json.dumps({"error": {"code": "REFUSED", "message": f"the key was {self.keys[-1]}"}}).encode()
        if word == "slow":
            time.sleep(self.delay)
        to.send_response(status)
        to.send_header("Content-Type", "application/json")
        to.send_header("Content-Length", str(len(body)))
        if after:
            to.send_header("Retry-After", after)
        if word == "moved":
            to.send_header("Location", self.url + "/elsewhere")
        to.end_headers()
        to.wfile.write(body[: len(body) // 2] if word == "cut" else body)
        if word == "cut":
            to.close_connection = True


@contextlib.contextmanager
def running(foods: list[dict[str, Any]]) -> Iterator[Service]:
    """A service that runs while the block does."""
    service = Service(foods)
    thread = threading.Thread(target=service.server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
    thread.start()
    try:
        yield service
    finally:
        service.server.shutdown()
        service.server.server_close()
        thread.join(5)
