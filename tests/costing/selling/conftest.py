"""The example shop with every way of selling in it."""

from __future__ import annotations

from pathlib import Path

import pytest

WAYS = """\
  town grocers: {chain: [{distributor: 25 %}, {grocer: 35 %}], shelf price: 12.99, target margin: 20 %,
    returns: 3 %, samples: 2 %, sells: 40 %}
  saturday market: {price: 10.00, fees: 2.6 % + 0.10, stall fee: 60 per day, sells 80, deposit: 0.25, sells: 60 %}
  dipping cabinet: {container: half-gallon, fees: 2.9 % + 0.10, target margin: 60 %,
    scoops: {weight: 70 g, price: 4.50, waste: 5 %, cone: small lid}}
"""


@pytest.fixture
def ways(quillfeather: Path) -> Path:
    """A copy of the example shop that sells in six ways."""
    file = quillfeather / "shop.yaml"
    text = file.read_text(encoding="utf-8")
    head, section, rest = text.partition("\nchannels:")
    assert section, "the example sells its ice cream"
    first, *others = rest.split("\n")
    end = next((at for at, line in enumerate(others) if line and not line.startswith(" ")), len(others))
    channels = "\n".join([first, *(line for line in others[:end] if line)])
    file.write_text(f"{head}{section}{channels}\n{WAYS}\n" + "\n".join(others[end:]), encoding="utf-8")
    return quillfeather
