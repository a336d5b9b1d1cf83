"""No label lies on another, on a route or on a foreign keep-out: all examples, papers and views."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from functools import cache

import pytest
from example_plans import EXAMPLES, example_map, example_plan
from shapely import STRtree
from shapely.geometry import LineString, Polygon, box
from svg_reading import SVG, Word, group, has_group, points, words_of

from router.drawing.paper.frame import PAPERS
from router.errors import NoRouteError

NAMES = tuple(sorted(path.name for path in EXAMPLES.iterdir() if (path / "job.yaml").is_file()))
QUICK = [("a4", "below"), ("a3", "above"), ("letter", "above"), ("tabloid", "below")]
LONG = [("a4", "above"), ("a3", "below"), ("letter", "below"), ("tabloid", "above")]
VIEWS = [*QUICK, *(pytest.param(*view, marks=pytest.mark.study) for view in LONG)]
"""Every paper and both views every time; every paper from either side with `-m study`."""


@cache
def planned(name):
    try:
        return example_plan(name)
    except NoRouteError:
        return None


def pictures(paper, seen_from):
    for name in NAMES:
        plan = planned(name)
        if plan is not None:
            yield name, plan, example_map(name, paper, seen_from)


def box_of(word: Word):
    return box(word.x0, word.y0, word.x1, word.y1)


def label_groups(root: ET.Element) -> list[tuple[ET.Element, ET.Element]]:
    """Return every group of labels with the group that holds it and what it was drawn over."""
    return [
        (holder, child)
        for holder in root.iter(f"{SVG}g")
        for child in holder.findall(f"{SVG}g")
        if re.search(r"(^|-)labels(-|$)", child.get("id", ""))
    ]


def hits(words, shapes):
    """Return (word, number of a shape) wherever one lies on the other."""
    tree = STRtree(shapes)
    boxes = [box_of(word) for word in words]
    return [(words[a], b) for a, b in zip(*tree.query(boxes, predicate="intersects"), strict=True)]


def lines_of(holder: ET.Element) -> list[Polygon]:
    """Return every route in a picture, as wide as it is drawn."""
    named = [g for g in holder.iter(f"{SVG}g") if re.search(r"(^|-)(runs|shared-routes)$", g.get("id", ""))]
    own = [] if named else [holder]  # a strip's route lies in the strip's own group
    lines = [line for g in (*named, *own) for line in (g.iter if named else g.findall)(f"{SVG}polyline")]
    bold = [line for line in lines if float(line.get("stroke-width")) >= 1.0 and line.get("stroke") != "#fff"]
    inlaid = [
        line for g in named if g.get("id").endswith("shared-routes") for line in g.iter(f"{SVG}polyline")
    ]
    return [LineString(points(line)).buffer(0.5, cap_style="flat") for line in (*bold, *inlaid)]


def keep_outs_of(holder: ET.Element, plan) -> list[tuple[str, str, Polygon]]:
    found = []
    for element in holder.iter(f"{SVG}g"):
        tagged = re.match(r"(?:detail-[abc]-)?keep-out-([a-z]\d+)-", element.get("id", ""))
        if tagged:
            title = element.find(f"{SVG}title").text
            outline = element.find(f"{SVG}path").get("d").split("Z")[0]
            numbers = [float(number) for number in re.findall(r"-?[\d.]+", outline)]
            ring = list(zip(numbers[::2], numbers[1::2], strict=True))
            name = title.split(" ", 1)[1].rsplit(":", 1)[0]
            found.append((tagged.group(1).upper(), name, Polygon(ring)))
    return found


@pytest.mark.parametrize(("paper", "seen_from"), VIEWS)
def test_labels_lie_on_no_other_label_no_route_and_no_foreign_keep_out(paper, seen_from):
    count = 0
    for name, plan, root in pictures(paper, seen_from):
        tightest = dict(zip("abcde", (check.keep_out for check in plan.tightest()), strict=False))
        for holder, labels in label_groups(root):
            where = f"{name} on {paper} from {seen_from}: {labels.get('id')}"
            words = words_of(labels)
            count += len(words)
            assert [
                (a.words, b.words) for n, a in enumerate(words) for b in words[n + 1 :] if a.overlaps(b)
            ] == [], where
            assert [word.words for word, _ in hits(words, lines_of(holder))] == [], where
            kept = keep_outs_of(holder, plan)
            on = [(word.words, *kept[number][:2]) for word, number in hits(words, [k[2] for k in kept])]
            foreign = [
                (said, tag)
                for said, tag, keep_out in on
                if said.split()[0] != tag and tightest.get(said.split(":")[0]) != keep_out
            ]
            assert foreign == [], where
    assert count > 300


def test_every_paper_and_every_example_is_looked_at():
    assert {paper for paper, _ in QUICK} == {paper for paper, _ in LONG} == set(PAPERS)
    assert {seen_from for _, seen_from in QUICK} == {"below", "above"}
    assert sum(planned(name) is not None for name in NAMES) >= 4


def test_the_judge_of_overlaps_sees_a_label_that_is_pushed_onto_others():
    root = example_map("work-lamp-rear-battery")
    labels = group(root, "labels")
    words = words_of(labels)
    holder = next(holder for holder, child in label_groups(root) if child is labels)
    route = lines_of(holder)[0].representative_point()
    moved = Word("moved", route.x - 1, route.y - 1, route.x + 1, route.y + 1)
    assert hits([moved], lines_of(holder))
    assert Word("again", words[0].x0, words[0].y0, words[0].x1, words[0].y1).overlaps(words[0])
    tag, _, shape = max(keep_outs_of(holder, None), key=lambda each: each[2].area)
    inner = shape.representative_point()
    assert hits([Word("foreign", inner.x, inner.y, inner.x + 1, inner.y + 1)], [shape])
    assert has_group(root, "keep-outs") and tag
