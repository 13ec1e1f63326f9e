"""Money in six locales against ICU, which reads the Unicode CLDR by itself and has nothing in common with Babel.

The table was printed by ``Intl.NumberFormat(locale, {style: "currency", currency})`` of Node.js 20.20.2, which has ICU 78.2
and CLDR 48. It is kept as it was printed: another release of ICU may write otherwise, and the run leans on no program that
it does not install. A price that ICU wrote is also read back as a supplier's price.
"""

from __future__ import annotations

import pytest

from costing import money
from costing.prices.intake import money_cells

AMOUNTS = (1234567.5, 0.07, 58.8, -12.345)
TABLE = (
    ("en_US", "USD", ("$1,234,567.50", "$0.07", "$58.80", "-$12.35")),
    ("de_DE", "EUR", ("1.234.567,50\u00a0€", "0,07\u00a0€", "58,80\u00a0€", "-12,35\u00a0€")),
    ("fr_FR", "EUR", ("1\u202f234\u202f567,50\u00a0€", "0,07\u00a0€", "58,80\u00a0€", "-12,35\u00a0€")),
    ("ja_JP", "JPY", ("\uffe51,234,568", "\uffe50", "\uffe559", "-\uffe512")),
    ("en_IN", "INR", ("₹12,34,567.50", "₹0.07", "₹58.80", "-₹12.35")),
    ("pt_BR", "BRL", ("R$\u00a01.234.567,50", "R$\u00a00,07", "R$\u00a058,80", "-R$\u00a012,35")),
)  # fmt: skip


@pytest.mark.parametrize(("locale", "currency", "texts"), TABLE)
def test_babel_and_icu_write_the_same(locale: str, currency: str, texts: tuple[str, ...]) -> None:
    assert tuple(money.show(amount, currency, locale) for amount in AMOUNTS) == texts


@pytest.mark.parametrize(("locale", "currency", "texts"), TABLE)
def test_what_icu_writes_is_read_as_a_price(locale: str, currency: str, texts: tuple[str, ...]) -> None:
    decimals = "comma" if money.number(0.5, locale, 1)[1] == "," else "point"
    digits = money.digits_of(currency)
    found = money_cells.read(texts[:3], decimals, "USD")  # type: ignore[arg-type]
    wanted = [float(money.rounded(amount, digits)) or None for amount in AMOUNTS[:3]]
    assert found.values == wanted
    # What is nothing in yen is no price.
    assert [code for code, value in zip(found.currencies, wanted, strict=True) if value] == [
        currency for value in wanted if value
    ]
