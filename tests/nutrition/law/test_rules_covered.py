"""Every paragraph that a retail pint must heed is cited by a module or a table of the law, or by the panel or the safety checks.

The list is what a label preparer works through, paragraph by paragraph; a citation of the whole (101.9(c)) is none of a
part (101.9(c)(3)).
"""

from __future__ import annotations

import functools
import re
from pathlib import Path

import pytest

import costing
import nutrition
from nutrition import resources

PARAGRAPHS = (
    # rounding and daily values
    "101.9(c)(1)", "101.9(c)(2)", "101.9(c)(3)", "101.9(c)(4)", "101.9(c)(6)", "101.9(c)(6)(iv)", "101.9(c)(7)",
    "101.9(c)(8)(iii)", "101.9(c)(8)(iv)", "101.9(c)(9)", "101.9(d)(7)(ii)", "Appendix H",
    # servings
    "101.9(b)", "101.9(b)(5)", "101.9(b)(6)", "101.9(b)(7)", "101.9(b)(8)", "101.9(b)(12)(i)", "101.12(b)",
    # calories and added sugars
    "101.9(c)(1)(i)(A)", "101.9(c)(1)(i)(B)", "101.9(c)(1)(i)(C)", "101.9(c)(1)(i)(F)", "101.9(c)(6)(iii)",
    "101.9(g)(10)", "101.30(h)(1)",
    # forms of the list of lines
    "101.9(f)",
    # ingredient statement
    "101.4(a)(2)", "101.4(b)(2)", "101.4(b)(3)", "101.4(b)(4)", "101.4(b)(6)", "101.4(b)(7)", "101.4(b)(8)",
    "101.4(b)(9)", "101.4(b)(10)", "101.4(b)(11)", "101.4(b)(12)", "101.4(b)(14)", "101.4(b)(20)", "101.4(c)",
    "101.2(c)", "101.22(a)(2)", "101.22(h)(1)", "101.22(i)", "101.22(j)", "101.22(k)", "101.100(a)(4)", "135.110(g)",
    "403(k)",
    # allergens
    "201(qq)", "403(w)", "403(w)(4)", "201(qq)(2)(A)",
    # name of the food
    "101.3", "130.10", "135.3", "58.635", "135.110(a)(1)", "135.110(a)(2)", "135.110(b)", "135.110(f)(1)",
    "135.110(f)(2)", "135.115", "135.130(a)", "135.140(a)", "135.140(b)", "135.160", "90 FR 33334",
    # net quantity, panel, business, exemption, compliance
    "101.1", "101.5", "101.7", "101.9(d)", "101.9(e)", "101.9(j)(13)", "(d)(1)(iv)", "101.9(d)(11)",
    "101.9(e)(6)(ii)", "101.9(j)(1)", "101.9(j)(2)", "101.9(j)(18)", "101.9(g)",
    # cautions
    "402(d)(2)", "9 CFR 381.15", "7 CFR 66", "3-501.14", "Handbook 133", "101.65(d)",
)  # fmt: skip
PLACES = ("nutrition/law", "nutrition/panel", "nutrition/whole_label", "costing/safety", "costing/evidence")


@functools.cache
def cited() -> str:
    """Everything that modules and tables of the law say, in one piece."""
    packages = {name: Path(module.__path__[0]) for name, module in (("nutrition", nutrition), ("costing", costing))}
    found = []
    for place in PLACES:
        package, _, below = place.partition("/")
        found += [path.read_text(encoding="utf-8") for path in sorted((packages[package] / below).rglob("*.py"))]
    for folder in ("law/us", "kitchen"):
        home = Path(str(resources.data(*folder.split("/"))))
        found += [path.read_text(encoding="utf-8") for path in sorted(home.rglob("*.csv"))]
    return _whole("\n".join(found))


def _whole(text: str) -> str:
    """Citations that go on after a comma are written out: ``101.9(g)(10), (11)`` holds ``101.9(g)(11)`` too."""
    return re.sub(r"\s+", " ", text)


@pytest.mark.parametrize("paragraph", PARAGRAPHS)
def test_the_paragraph_is_cited(paragraph: str) -> None:
    # "101.1" is not cited by "101.12".
    assert re.search(re.escape(paragraph) + r"(?![0-9])", cited()), paragraph


def test_a_paragraph_that_nobody_heeds_would_be_seen() -> None:
    assert not re.search(re.escape("101.9(c)(99)"), cited())
