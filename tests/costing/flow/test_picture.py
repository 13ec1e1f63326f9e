"""The picture: bands in proportion, words that never overlap, and files that any program reads."""

from __future__ import annotations

import io
import itertools
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from costing.desk import Shop
from costing.flow import Flow, draw, palette, png
from costing.flow.gather import MOST_PURCHASES, gathered
from costing.flow.graph import Edge, Graph, Node
from costing.flow.picture import Picture, Shape, broken, cut, plain, width
from costing.workbook import look
from nutrition.resources import tree
from tests.costing.flow.flows import made

SHOPS = {name: Shop.open(str(tree("examples") / name)) for name in ("quillfeather", "starter")}
FLOWS = {(name, key): draw(shop, key) for name, shop in SHOPS.items() for key in shop.model.recipes}
BOTH = [(*which, by) for which in FLOWS for by in ("value", "mass")]
SVG = "{http://www.w3.org/2000/svg}"

Box = tuple[float, float, float, float]


def flow_of(name: str, key: str, by: str) -> Flow:
    found = FLOWS[name, key]
    return found if by == "value" else found.weighed


def overlap(a: Box, b: Box) -> bool:
    return a[0] < b[2] - 0.01 and b[0] < a[2] - 0.01 and a[1] < b[3] - 0.01 and b[1] < a[3] - 0.01


def frame(shape: Shape) -> Box:
    points = [point for step in shape.path for point in step]
    return (min(x for x, _ in points), min(y for _, y in points), max(x for x, _ in points), max(y for _, y in points))


def boxes(picture: Picture) -> list[Box]:
    """The boxes of parts and containers and the bars of purchases: shapes of four corners."""
    return [frame(s) for s in picture.shapes if len(s.path) == 4 and all(len(step) == 1 for step in s.path)]


def check(picture: Picture) -> None:
    """No text overlaps another or a box that it does not lie in; everything lies inside the picture."""
    room = (0.0, 0.0, picture.width, picture.height)
    texts = [text for text in picture.texts if text.text]
    for one, other in itertools.combinations(texts, 2):
        assert not overlap(one.box, other.box), (one, other)
    found = boxes(picture)
    for first, second in itertools.combinations(found, 2):
        assert not overlap(first, second)
    for text in texts:
        left, top, right, bottom = text.box
        assert room[0] <= left, text
        assert room[1] <= top, text
        assert right <= room[2], text
        assert bottom <= room[3], text
        for box in found:
            inside = box[0] <= left and right <= box[2] and box[1] <= top and bottom <= box[3]
            assert inside or not overlap(text.box, box), (text, box)
    for shape in picture.shapes:
        left, top, right, bottom = frame(shape)
        assert min(left, top) >= 0
        assert right <= room[2]
        assert bottom <= room[3]


@pytest.mark.parametrize(("name", "key", "by"), BOTH)
def test_words_never_overlap_and_stay_inside(name: str, key: str, by: str) -> None:
    check(flow_of(name, key, by).picture)


@pytest.mark.parametrize(("name", "key", "by"), BOTH)
def test_bands_are_as_thick_as_what_they_carry(name: str, key: str, by: str) -> None:
    flow = flow_of(name, key, by)
    graph, _ = gathered(flow.graph, flow.by)
    bands = [s for s in flow.picture.shapes if s.said and any(len(step) == 3 for step in s.path)]
    thick = sorted(_thickness(s) for s in bands)
    drawn = [e for e in graph.edges if by == "mass" or e.target != "vapour"]
    whole = flow.graph.totals(grams=by == "mass").bought
    amounts = sorted(max(0.8, 250.0 * (e.grams if by == "mass" else e.value) / whole) for e in drawn)
    assert thick == pytest.approx(amounts)


def _thickness(shape: Shape) -> float:
    """Of a band between columns at its left end; of one that turns, where it leaves its box."""
    return abs(shape.path[0][0][1] - shape.path[-1][-1][1])


@pytest.mark.parametrize(("name", "key", "by"), BOTH)
def test_every_end_says_what_it_is_without_colour(name: str, key: str, by: str) -> None:
    flow = flow_of(name, key, by)
    graph, _ = gathered(flow.graph, flow.by)
    said = [text.text for text in flow.picture.texts]
    for kind, word in (("lost", "lost: "), ("saved", "saved: "), ("vapour", "boiled off: ")):
        ends = [e for e in graph.edges if graph.node(e.target).kind == kind and (by == "mass" or kind != "vapour")]
        assert sum(text.startswith(word) for text in said) == len(ends)


def test_what_is_lost_falls_and_what_is_saved_or_boiled_off_rises() -> None:
    picture = FLOWS["quillfeather", "quince"].weighed.picture
    middle = [(box[1] + box[3]) / 2 for box in boxes(picture)]
    for text in picture.texts:
        if text.text.startswith("lost: "):
            assert text.y > max(middle)
        elif text.text.startswith(("saved: ", "boiled off: ")):
            assert text.y < min(middle)


def test_the_head_says_the_sums() -> None:
    picture = FLOWS["quillfeather", "quince"].picture
    words = [text.text for text in picture.texts]
    # 15.4985 + 5.5820 + 6.5046 = 27.5851: each rounded by itself they are a cent short, and that is said.
    assert "$27.59 bought = $15.50 in containers (56.2%) + $5.58 saved (20.2%) + $6.50 lost (23.6%)" in words
    assert any(text.endswith("Figures are rounded one by one.") for text in words)
    plum = " ".join(text.text for text in FLOWS["quillfeather", "plum"].picture.texts)
    assert "$39.97 bought = $25.61 in containers (64.1%) + $14.36 lost (35.9%)" in plum
    assert "rounded one by one" not in plum


def luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_words_stand_out_from_their_ground() -> None:
    # WCAG 2.1, success criterion 1.4.3: 4.5 to 1 for text
    for flow in FLOWS.values():
        picture = flow.picture
        for text in picture.texts:
            ground = "FFFFFF"
            for shape in picture.shapes:
                box = frame(shape)
                if len(shape.path) == 4 and overlap(text.box, box):
                    ground = shape.fill
            light, dark = sorted((luminance(text.colour), luminance(ground)), reverse=True)
            assert (light + 0.05) / (dark + 0.05) >= 4.5, text


def test_the_colours_are_those_of_the_workbook() -> None:
    for name in ("INK", "QUIET", "PINE", "MIST", "PALE", "LINE", "CREAM", "RUST", "WHITE"):
        assert getattr(palette, name) == getattr(look, name)


# what cannot be foreseen


def wide_graph(purchases: int, parts: int, name: str = "thing") -> Graph:
    """Many purchases into a row of parts, each of which loses, saves and boils something off."""
    nodes = [Node(f"buy:{n}", "purchase", f"{name} {n}") for n in range(purchases)]
    edges: list[Edge] = []
    carried = 0.0
    for n in range(parts):
        mine = [p for p in range(purchases) if p % parts == n]
        edges += [Edge(f"buy:{p}", f"part:{n}", 10.0 + p, 1.0 + p) for p in mine]
        grams = carried + sum(10.0 + p for p in mine)
        nodes += [Node(f"part:{n}", "part", f"{name} {n}", "r"), Node(f"saved:{n}", "saved", f"{name} {n}", "r")]
        for k, target in enumerate(("lost", "lost", f"saved:{n}", "vapour")):
            edges.append(Edge(f"part:{n}", target, grams * 0.05, grams * 0.004 * (k != 3), f"{name} {k}", k, "lose"))
        carried = grams * 0.8
        edges.append(Edge(f"part:{n}", f"part:{n + 1}" if n + 1 < parts else "fill:cup", carried, carried * 0.1))
    nodes += [Node("fill:cup", "containers", name, count=7), Node("lost", "lost", "lost")]
    nodes += [Node("vapour", "vapour", "boiled off")]
    return Graph("r", name, tuple(nodes), tuple(edges))


@pytest.mark.parametrize(("purchases", "parts"), [(1, 1), (2, 2), (45, 3), (60, 20)])
@pytest.mark.parametrize("by", ["value", "mass"])
def test_any_number_of_things_stays_readable(purchases: int, parts: int, by: Any) -> None:
    picture = Flow(wide_graph(purchases, parts), "USD", "en_US", by).picture
    check(picture)
    named = [text for text in picture.texts if text.anchor == "end"]
    assert len(named) <= 2 * MOST_PURCHASES


HOSTILE = [
    "x" * 3000,
    "word " * 400,
    "<script>alert(1)</script>&amp;]]>",
    "\x00\x01\x1b[31mred\u202e\u0007",
    "🍑🍦 pêche Ærø",
    "日本語の名前",
    "\ud800",
    "",
]


@pytest.mark.parametrize("name", HOSTILE)
@pytest.mark.parametrize("by", ["value", "mass"])
def test_hostile_names_are_words_and_nothing_more(name: str, by: Any) -> None:
    flow = Flow(wide_graph(9, 3, name), "USD", "en_US", by)
    check(flow.picture)
    root = ET.fromstring(flow.svg.encode())
    assert {element.tag.removeprefix(SVG) for element in root.iter()} == {
        "svg", "title", "desc", "rect", "path", "g", "text",
    }  # fmt: skip
    assert flow.png(36.0).startswith(b"\x89PNG")


def test_small_purchases_stand_together_and_the_graph_keeps_them() -> None:
    graph = FLOWS["quillfeather", "prune"].graph
    small, others = gathered(graph, "value")
    assert others == ("water", "guar gum", "locust bean gum")
    assert small.totals().bought == pytest.approx(graph.totals().bought)
    assert small.totals(grams=True).bought == pytest.approx(graph.totals(grams=True).bought)
    assert {"water", "guar gum", "locust bean gum"} <= {node.name for node in graph.of("purchase")}
    assert any(
        text.text.startswith("3 others: water, guar gum") for text in FLOWS["quillfeather", "prune"].picture.texts
    )


def test_a_missing_price_draws_weight_and_says_so() -> None:
    graph = made(
        {"pot": [{"add": {"cream": "1 kg", "sugar": "100 g"}}, {"lose": "10 g"}, {"fill": {"container": "cup"}}]},
        unpriced="sugar",
    )
    flow = Flow(graph, "USD", "en_US")
    assert flow.drawn_by == "mass"
    check(flow.picture)
    words = " ".join(text.text for text in flow.picture.texts)
    assert "a price is missing, so no money is drawn" in words
    assert "price unknown" in words
    assert "nan" not in words + flow.svg


def test_a_batch_of_water_has_a_picture() -> None:
    graph = made({"pot": [{"add": {"water": "1 kg"}}, {"fill": {"container": "cup"}}]})
    flow = Flow(graph, "USD", "en_US")
    assert flow.drawn_by == "mass"
    check(flow.picture)


# files


@pytest.mark.parametrize(("name", "key", "by"), BOTH)
def test_svg_says_all_that_the_picture_says(name: str, key: str, by: str) -> None:
    flow = flow_of(name, key, by)
    root = ET.fromstring(flow.svg.encode())
    texts = list(root.iter(f"{SVG}text"))
    assert [element.text for element in texts] == [text.text for text in flow.picture.texts]
    for element, text in zip(texts, flow.picture.texts, strict=True):
        # fitted to the width that was laid out, whatever type the viewer has
        assert float(element.get("textLength", "0")) == pytest.approx(text.width, abs=0.006)
    paths = list(root.iter(f"{SVG}path"))
    assert len(paths) == len(flow.picture.shapes)
    assert root.find(f"{SVG}title").text == flow.picture.title  # type: ignore[union-attr]


def test_the_same_batch_gives_the_same_files() -> None:
    again = draw(SHOPS["quillfeather"], "quince")
    assert again.svg == FLOWS["quillfeather", "quince"].svg
    assert again.png(72.0) == FLOWS["quillfeather", "quince"].png(72.0)


def test_png_has_the_size_and_the_colours_of_the_picture() -> None:
    from PIL import Image

    flow = FLOWS["quillfeather", "quince"]
    for dots in (72.0, 144.0):
        image = Image.open(io.BytesIO(flow.png(dots)))
        assert image.size == (round(flow.picture.width * dots / 72), round(flow.picture.height * dots / 72))
        assert image.info["dpi"][0] == pytest.approx(dots, abs=0.1)
    plain_image = image.convert("RGB")
    colours = {colour for _, colour in plain_image.getcolors(1 << 20) or ()}
    assert plain_image.getpixel((2, 2)) == (255, 255, 255)
    for colour in (palette.PINE, palette.LOST[0], palette.SAVED[0], palette.BOUGHT[0], palette.MADE[0], palette.PALE):
        assert tuple(int(colour[i : i + 2], 16) for i in (0, 2, 4)) in colours


def test_an_enormous_picture_is_drawn_smaller() -> None:
    from PIL import Image

    image = Image.open(io.BytesIO(FLOWS["quillfeather", "quince"].png(5000.0)))
    assert image.size[0] * image.size[1] * png.SMOOTH**2 <= png.LARGEST * 1.01


def test_words_that_do_not_fit_are_cut_where_it_shows() -> None:
    assert cut("smoke", 1000.0, 10.0) == "smoke"
    assert width(cut("w" * 500, 50.0, 10.0), 10.0) <= 50.0
    lines = broken("one " * 200, 60.0, 10.0, most=3)
    assert len(lines) == 3
    assert all(width(line, 10.0) <= 60.0 for line in lines)
    assert lines[-1].endswith("…")
    assert plain("\ud800a\nb") == "?a b"
