"""Any drawing, any table of lengths, broken anywhere: read, or refused with its place; nothing else."""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from router.drawing import draw_map
from router.errors import UnreadableError
from router.model.job import Job
from router.model.vehicle import Profile
from router.planning import make_plan
from router.reading import read_question, read_route, read_used_lengths

LINE = re.compile(r"[^\n]+:[1-9][0-9]*:[1-9][0-9]*: [^\n]+")
SVG = "http://www.w3.org/2000/svg"
USED = "vehicle,run,used\n17,supply,5.42 m\n18,supply,5.5 m\n18,earth,1 ft 6 in\n"
VALUES = (
    "",
    " ",
    "0",
    "-1",
    "nan",
    "inf",
    "1e999",
    "-1e308 1e308",
    "1e-320",
    "x",
    "100%",
    "0 0",
    "0 0 0 0",
    "9" * 400,
    "M",
    "M 1",
    "z",
    "L 1 1",
    "M 0 0 L",
    "M 0 0 L nan nan",
    "M 1 1 A 0 0 0 0 0 1 1",
    "M 10,10 C 1 1",
    "1,1 2,2 3",
    "M 0 0 m 1 1 z z z l 2 2",
    "M1e400 0L0 1e400",
    "A 1 1 0 1 1 5 5",
    "m 5 5 h 1e400",
    "10 10, 20 20",
    "url(#a)",
    "matrix(0 0 0 0 0 0)",
    "matrix(1e999 0 0 1 0 0)",
    "scale(0)",
    "rotate()",
    "translate(1",
    "skewX(90)",
    "foo(1)",
    "matrix(1 2)",
    "rotate(1 2)",
    "scale(1e200) scale(1e200)",
    "draw-underfloor",
    "space-underfloor",
    "sheet-1",
    "12mm",
    "5 parsecs",
    "1em",
    "é\u2028",
    "a&b",
)
NAMES = (
    "d",
    "points",
    "transform",
    "viewBox",
    "width",
    "height",
    "x",
    "y",
    "cx",
    "r",
    "rx",
    "x1",
    "id",
    "style",
    "class",
    "href",
    "display",
    "preserveAspectRatio",
    "data-number",
)


PROFILE = """\
profile: Bare
revision: 1
measured: {on: 2026-03-14, tolerance: 5 mm}
unit: mm
datum: front axle, workshop floor
spaces:
  underfloor: {height: 400 mm, outline: [[0, -600], [3000, -600], [3000, 600], [0, 600]]}
  load area: {height: 700 mm, outline: [[2400, -500], [4000, -500], [4000, 500], [2400, 500]]}
members:
  - {name: beam, space: underfloor, along: [[1700, -600], [1700, 600]], width: 80 mm,
     passes: [{through: [1700, 200], bore: 30 mm, edge: rolled}]}
supports:
  - {name: flange, space: underfloor, kind: flange, along: [[300, 0], [1300, 0]], height: 420 mm, fix: tie}
openings:
  - {name: plug, joins: [underfloor, load area], at: [2500, 200], height: 550 mm, bore: 30 mm, edge: rubber}
terminals:
  - {name: post, space: underfloor, at: [100, -200], height: 400 mm, stud: M6}
  - {name: lamp, space: load area, at: [3800, 300], height: 700 mm}
"""
JOB = """\
job: Lamp
profile: bare.yaml
source: {nominal: 12 V, resting: 12.6 V, at: post}
runs:
  - {run: feed, from: post, to: lamp, conductors: [{name: feed, colour: red, load: 2 A}], fuse: auto}
"""


@pytest.fixture(scope="module")
def asked(tmp_path_factory) -> tuple[Job, Profile, str]:
    """Return a job, its vehicle, and a drawing of its run over the blank map."""
    folder = tmp_path_factory.mktemp("bare")
    (folder / "bare.yaml").write_text(PROFILE)
    (folder / "job.yaml").write_text(JOB)
    question = read_question(folder)
    blank = draw_map(make_plan(question.job, question.profile, question.practice), is_blank=True)
    views = {view["space"]: view for view in json.loads(blank.split("metadata>")[1][:-2])["views"]}

    def paper(space: str, *places: tuple[float, float]) -> str:
        (left, top), scale, sense = (views[space][key] for key in ("origin_mm", "scale", "y_sense"))
        return " ".join(f"{left + x / scale:.3f},{top + sense * y / scale:.3f}" for x, y in places)

    at = paper("underfloor", (700, 0)).replace(",", '" cy="')
    drawn = (
        f'<g id="layer1"><path id="feed" d="M {paper("underfloor", (100, -200), (290, 0), (1300, 0))} '
        f"{paper('underfloor', (1600, 200))} "
        f'C {paper("underfloor", (1700, 200), (1800, 200), (2500, 200))}"/>'
        f'<g id="draw-load-area" transform="translate(3 4) translate(-3 -4)"><polyline id="feed" '
        f'points="{paper("load area", (2500, 200), (2560, 300), (3800, 300))}"/></g>'
        f'<circle cx="{at}" r="0.5"/></g></svg>'
    )
    return question.job, question.profile, blank.replace("</svg>", drawn)


def broken_drawing(text: str, rng: Random) -> bytes:
    """Return a drawing with a few of its attributes, elements or letters broken."""
    if rng.random() < 0.2:
        return _garbled(text.encode(), rng)
    root = ET.fromstring(text)
    around = {child: parent for parent in root.iter() for child in parent}
    drawn = [each for each in root.iter() if _is_read(each, around)]
    for _ in range(rng.choice([1, 1, 2, 4])):
        _break(rng.choice(drawn), around, rng)
    return ET.tostring(root)


def _is_read(element: ET.Element, around: dict[ET.Element, ET.Element]) -> bool:
    """Tell whether an element is of those that the reader looks into: outlines, metadata, what was drawn."""
    if element not in around or "metadata" in element.tag:
        return True
    while element in around:
        if element.get("id", "").startswith(("space-", "layer", "draw-")):
            return True
        element = around[element]
    return False


def _break(element: ET.Element, around: dict[ET.Element, ET.Element], rng: Random) -> None:
    way = rng.randrange(5)
    if way == 0 and element in around and element in list(around[element]):
        around[element].remove(element)
    elif way == 1:
        element.tag = f"{{{SVG}}}" + rng.choice(
            ["path", "line", "circle", "rect", "g", "svg", "use", "text", "a"]
        )
    elif "metadata" in element.tag:
        numbers = re.findall(r"-?[0-9.]+", element.text or "0")
        put = rng.choice(["0", "-1", "NaN", "Infinity", "null", '"x"', "[]", "1e-300", "1e300", "[" * 5000])
        element.text = (element.text or "").replace(rng.choice(numbers or ["0"]), put)
    else:
        element.set(rng.choice([*element.attrib, *NAMES]), rng.choice(VALUES))


def _garbled(content: bytes, rng: Random) -> bytes:
    held = bytearray(content)
    for _ in range(rng.choice([1, 3, 10])):
        at = rng.randrange(len(held)) if held else 0
        if held and rng.random() < 0.5:
            held[at] = rng.choice(b'<>/"&;\x00\xff\xed 0-e[]{}:,\n')
        else:
            del held[at : at + rng.randrange(1, 60)]
    return bytes(held)


def _judge(read: Callable[[], object], what: str) -> None:
    try:
        read()
    except UnreadableError as error:
        lines = str(error).split("\n")
        assert lines and all(LINE.fullmatch(line) for line in lines), f"{what}\n{error}"
    except Exception as error:
        raise AssertionError(f"{what}: {type(error).__name__}: {error}") from error


def _judge_drawing(path: Path, asked: tuple[Job, Profile, str], seed: int) -> None:
    job, profile, text = asked
    path.write_bytes(broken_drawing(text, Random(seed)))
    _judge(lambda: read_route(path, job, profile), f"drawing, seed {seed}")


def _judge_lengths(path: Path, seed: int) -> None:
    path.write_bytes(_garbled(USED.encode(), Random(seed)))
    _judge(lambda: read_used_lengths(path, ("supply", "earth")), f"lengths, seed {seed}")


def test_the_drawing_itself_is_read(asked, tmp_path):
    job, profile, text = asked
    (tmp_path / "drawn.svg").write_text(text)
    assert [run.route.run for run in read_route(tmp_path / "drawn.svg", job, profile).runs] == ["feed"]


def test_groups_in_groups_without_end_are_refused(asked, tmp_path):
    job, profile, text = asked
    path = tmp_path / "drawn.svg"
    path.write_text(text.replace("</svg>", "<g>" * 5000 + "</g>" * 5000 + "</svg>"))
    with pytest.raises(UnreadableError, match=r"svg:1:1: has elements in each other more than 100 deep"):
        read_route(path, job, profile)


def test_a_broken_drawing_is_read_or_refused(asked, tmp_path):
    for seed in range(40):
        _judge_drawing(tmp_path / "drawn.svg", asked, seed)


def test_a_broken_table_of_lengths_is_read_or_refused(tmp_path):
    for seed in range(300):
        _judge_lengths(tmp_path / "used.csv", seed)


@pytest.mark.study
def test_many_broken_drawings_are_read_or_refused(asked, tmp_path):
    for seed in range(5000):
        _judge_drawing(tmp_path / "drawn.svg", asked, seed)
        _judge_lengths(tmp_path / "used.csv", seed)
