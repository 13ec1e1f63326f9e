"""YAML as text with lines."""

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from costing.shop import yaml_lines
from costing.shop.yaml_lines import Group, decode, line_at, parse


def plain(text):
    root, problems = parse(text)
    assert problems == ()
    return root.plain()


def problem(text):
    _, problems = parse(text)
    assert len(problems) == 1, problems
    return problems[0]


def test_every_scalar_stays_text():
    text = "a: 1\nb: 2026-03-02\nc: yes\nd: null\ne: 0x1F\nf: 1.50\ng: ~\nh: 1:30\ni: '2'\n"
    assert plain(text) == {
        "a": "1", "b": "2026-03-02", "c": "yes", "d": "null", "e": "0x1F", "f": "1.50", "g": "~", "h": "1:30", "i": "2",
    }  # fmt: skip


def test_lines_are_those_of_the_names():
    root, _ = parse("a:\n\n  - add: {x: 1 g,\n          y: 2 g}\n  - note: |\n      two\n      lines\nb: 3\n")
    assert line_at(root, ("a",)) == 1
    assert line_at(root, ("a", 0, "add", "x")) == 3
    assert line_at(root, ("a", 0, "add", "y")) == 4
    assert line_at(root, ("a", 1, "note")) == 5
    assert line_at(root, ("b",)) == 8
    assert line_at(root, ("a", 7, "x")) == 1
    assert root.line_of("nothing") == 1


def test_names_are_told_apart_as_people_see_them():
    # The same letters, composed and decomposed; an ordinary and a no-break space.
    root, problems = parse("cre\u0300me fraiche: 1 g\ncr\u00e8me\u00a0fraiche: 2 g\n")
    assert list(root.entries) == ["cr\u00e8me fraiche"]
    assert [(p.line, p.mend) for p in problems] == [(2, "keep one of them, or rename one")]


@pytest.mark.parametrize("name", ["🍦 'soft' \"serve\"", "a/b\\c", "=SUM(A1)", "+1", "@home", "-x", "日本"])
def test_names_may_be_anything(name):
    assert plain(yaml.safe_dump({name: {name: name}}, allow_unicode=True)) == {name: {name: name}}


def test_a_byte_order_mark_is_left_out():
    text, problems = decode(b"\xef\xbb\xbfname: x\n")
    assert (text, problems) == ("name: x\n", ())


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_utf_16_is_told(encoding):
    _, (found,) = decode("name: Crème\n".encode(encoding))
    assert found.line == 1
    assert "UTF-16" in found.what
    assert "save it as UTF-8" in found.mend


@pytest.mark.parametrize("encoding", ["latin-1", "cp1252"])
def test_latin_1_is_told_with_its_line(encoding):
    _, (found,) = decode("name: x\nlabel: crème\n".encode(encoding))
    assert found.line == 2
    assert "'è'" in found.what
    assert "save it as UTF-8" in found.mend


@pytest.mark.parametrize(
    ("text", "line", "what", "mend"),
    [
        ("", 1, "empty", "name: value"),
        ("# nothing\n\n", 1, "empty", "name: value"),
        ("- a\n- b\n", 1, "holds a list", "name: value"),
        ("hello\n", 1, "plain text", "name: value"),
        ("a: 1\nb: 2\na: 3\n", 3, "'a' stands here twice, first in line 1", "rename one"),
        ("x:\n  y: {a: 1,\n      a: 2}\n", 3, "'a' stands here twice, first in line 2", "rename one"),
        ("add:\n  {sugar: 1,5 kg}\n", 2, "'sugar: 1,5 kg' has a comma in its number", "write 1.5 kg with a point"),
        ("add: {sugar: 1,5 kg, milk: 3 g}\n", 1, "comma", "write 1.5 kg"),
        ("add: {sugar: 1,200 g}\n", 1, "comma", "1200 g without the comma, or 1.200 g"),
        ("cook: {loses: 2,5 %}\n", 1, "comma", "2.5 %"),
        ("add: {milk: 1,5 L to 2 L}\n", 1, "comma", "1.5 L to 2 L"),
        ("a:\n\tb: 1\n", 2, "tab", "spaces"),
        ("a: {b: 1\nc: 2\n", 1, "bracket that opens here", "{ }"),
        ("a: [x, , y]\n", 1, "comma is missing or too many", "[ ]"),
        ('a: "x\nb: 1\n', 1, "quotation mark", "close it"),
        ("a: 1\nb: x: y\n", 2, "second ':'", "in quotes"),
        ("a: 1\n   b: 2\n", 2, "indented too far", "one column"),
        ("a:\n  - x\n - y\n", 3, "does not fit", "one column"),
        ("a: 1\nb\nc: 2\n", 3, "':' is missing", "name: value"),
        ("a: 1\nb\n", 3, "':' is missing", "name: value"),
        ("a: @x\n", 1, "cannot begin with this sign", "in quotes"),
        ("a: 1\nb: &x 1\n", 2, "links inside the file", "write the entry out"),
        ("a: 1\nb: *x\n", 2, "links inside the file", "write the entry out"),
        ("a: !!python/object:os.system x\n", 1, "gives a type", "take it out"),
        ("a: 1\n---\nb: 2\n", 2, "second document", "one document"),
        ("? [a]\n: b\n", 1, "where a name should be", "name: value"),
        ("a: 1\nb: \x07\n", 2, "cannot stand in a text file", "take it out"),
        ("a: 1\n\x00", 2, "cannot stand in a text file", "take it out"),
        ("a:\n  - b\n  -\n", 3, "nothing after this '-'", "take it out"),
        ("'': 1\na: 2\n", 1, "no name", "name: value"),
    ],
)
def test_what_is_wrong_is_told_with_line_and_mend(text, line, what, mend):
    found = problem(text)
    assert found.line == line
    assert what in found.what
    assert mend in found.mend


@pytest.mark.parametrize(
    "text",
    [
        "x: " + "[" * 1000 + "]" * 1000,
        "[" * 100_000,
        "{a: " * 1000,
        "".join(f"{' ' * i}a{i}:\n" for i in range(1000)),
        "".join(f"{' ' * i}-\n" for i in range(1000)) + " " * 1000 + "- x\n",
        "x: " + "[" * 31 + "]" * 31,
    ],
)
def test_a_thousand_levels_are_refused(text):
    found = problem(text)
    assert "levels inside each other" in found.what


def test_thirty_levels_are_read():
    assert plain("x: " + "[" * 29 + "a" + "]" * 29)["x"]


def test_an_alias_bomb_goes_off_nowhere():
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 9)}]" for i in range(1, 20)]
    found = problem("\n".join(lines))
    assert (found.line, "links inside the file" in found.what) == (1, True)


def test_size_and_number_of_entries_are_bounded(monkeypatch):
    assert "larger than 2 MB" in problem("a: " + "x" * 2_000_000).what
    monkeypatch.setattr(yaml_lines, "MOST", 50)
    assert "more than 50 entries" in problem("\n".join(f"a{i}: 1" for i in range(100))).what


def test_every_problem_is_found_at_once():
    _, problems = parse("a: 1\na: 2\nb: {c: 1,5 g}\nb: 3\n")
    assert [p.line for p in problems] == [2, 3, 4]


_NAMES = (
    st.text("abcdefgh ij'🍦é=+-@", min_size=1, max_size=8)
    .map(str.strip)
    .filter(bool)
    .map(lambda s: " ".join(s.split()))
)
_TREES = st.recursive(
    st.text("abc 123.,%'\"🍦:#", max_size=10),
    lambda inner: st.lists(inner, min_size=1, max_size=4) | st.dictionaries(_NAMES, inner, min_size=1, max_size=4),
    max_leaves=12,
)


@given(st.dictionaries(_NAMES, _TREES, min_size=1, max_size=4), st.booleans())
def test_what_was_written_is_read(tree, flow):
    root, problems = parse(yaml.safe_dump(tree, allow_unicode=True, default_flow_style=flow, sort_keys=False))
    assert (root.plain(), problems) == (tree, ())


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_in_words(text):
    root, problems = parse(text)
    assert isinstance(root, Group)
    last = text.count("\n") + text.count("\r") + text.count("\x85") + text.count("\u2028") + text.count("\u2029") + 2
    for found in problems:
        assert 1 <= found.line <= last
        assert found.what
        assert found.mend


@given(st.binary(max_size=200))
def test_any_bytes_are_text_or_refused(raw):
    text, problems = decode(raw)
    assert problems or text == raw.decode("utf-8-sig")
