"""Any file of any kind, broken anywhere: read, or refused with the place of every fault; never anything else.

The shipped files are broken node by node, by seeded chance: something of another kind in its place, a key
written twice or left out, two nodes exchanged.
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from random import Random

import pytest

from router.errors import UnreadableError
from router.reading import check_file, read_question
from router.reading.yaml.documents import LONGEST_TEXT, read_document

ROOT = Path(__file__).parents[3]
LINE = re.compile(r"[^\n]+:[1-9][0-9]*:[1-9][0-9]*: [^\n]+")
FILES = (
    *sorted(f"profiles/{path.name}" for path in (ROOT / "profiles").glob("*.yaml")),
    *sorted(f"examples/{path.parent.name}/job.yaml" for path in (ROOT / "examples").glob("*/job.yaml")),
    "examples/marram-bay-fleet/fleet.yaml",
    "routes/drawn.yaml",
    "routes/standard.yaml",
    "house.yaml",
    "rules.yaml",
)
HOUSE = """
practice: House rules
based-on: law
clearance: {hot: {value: 200 mm, source: our list, status: common practice}, fuel: 60 mm}
factor: {open: 1, warm: {value: 1.4}}
spacing: {underfloor: 300 mm}
"""
RULES = """
job: Lamp under house rules
profile: ../profiles/dunlin-lwb.yaml
practice: house.yaml
series: awg
limits: {drop: 3 %, ambient: {underfloor: 50 degC}}
source: {nominal: 12 V, resting: 12.6 V, at: battery positive, negative-at: battery negative, body: 0.002 ohm}
runs:
  - run: tail
    from: battery positive
    to: trailer socket
    lead: 13-pin
    fuse: auto
    fuse-at: 200 mm
    via: [left load floor plug]
    avoid: rear crossmember
    apart-from: {more: 40 mm}
    conductors:
      - {name: stop, function: stop, lamps: [2 P21W, P21/5W dim], never-with: [more]}
      - {name: minus, function: return for pins 1 to 8, returns: [stop, more]}
  - run: more
    from: battery positive
    to: refrigerator unit
    conductors: [{name: more, colour: red, load: 9 A, size: 2.5 mm2, fed-by: stop}]
"""


ROUTE = """
route: Everything that a route may say
format: route/1
job: ../examples/fridge-supply
unit: mm
runs:
  - run: supply
    loom: 11.8 mm
    way:
      - {space: engine bay, height: 640 mm, points: [[-460, -490], [-370, -430, 630]]}
      - {space: engine bay, along: left wing loom, points: [[-370, -430, 630], [130, -455, 630]]}
      - {space: engine bay, points: [[130, -455], [440, 590]]}
      - {space: underfloor, points: [[440, 590], [720, 700]]}
    passes: [{opening: right toe-board grommet}, {over: rear crossmember, station: 900 mm}]
    fixings: [{station: 250 mm, kind: tie, support: left wing loom}, {at: [0, -440], kind: clip}]
    loops: [{station: 300 mm, spare: 40 mm}]
"""
APPROVED = """
approved:
  by: A. Warden
  "on": 2026-03-14
  revision: 3
  fingerprint: abc
  near: [{keep-out: exhaust mid pipe, run: supply, required: 50 mm, margin: 3 mm, mark: abc}]
  used: [{run: supply, what: support, name: left wing loom, mark: abc}]
"""


class Pairs(list):
    """A mapping as its keys and values, in which a key may stand twice."""


IN_PLACE = (
    Pairs(),
    Pairs([["a", 1]]),
    Pairs([["name", Pairs([["name", []]])]]),
    [],
    [1, "x"],
    [[]],
    [None],
    [Pairs()],
    None,
    0,
    -1,
    3.5,
    10**14,
    True,
    "",
    " ",
    "x",
    "a" * 201,
    "a" * (LONGEST_TEXT + 1),
    "nan mm",
    "0 mm",
    "40",
    "auto",
    "12 V",
    "9 A",
    "ä°²",
    "..",
    "/",
    "~",
    "a\x00b",
    "[",
    "1 1/2 in",
    "mm",
    "default",
    "2026-02-30",
)


@pytest.fixture(scope="module")
def shop(tmp_path_factory) -> Path:
    """Return a folder with a copy of every shipped file, and of the kinds that are not shipped."""
    folder = tmp_path_factory.mktemp("shop")
    shutil.copytree(ROOT / "profiles", folder / "profiles")
    shutil.copytree(ROOT / "examples", folder / "examples")
    (folder / "routes").mkdir()
    (folder / "routes/drawn.yaml").write_text(ROUTE)
    (folder / "routes/standard.yaml").write_text(ROUTE + APPROVED)
    (folder / "house.yaml").write_text(HOUSE)
    (folder / "rules.yaml").write_text(RULES)
    return folder


def broken(document: object, rng: Random) -> str:
    """Return a file's text with up to three of its nodes broken."""
    tree = _as_pairs(document)
    for _ in range(rng.choice([1, 1, 1, 2, 3])):
        rng.choice(_WAYS)(tree, rng)
    return _written(tree)


def _put_something(tree: list, rng: Random) -> None:
    holder, place = rng.choice(list(_slots(tree)))
    holder[place] = rng.choice(IN_PLACE)


def _put_another(tree: list, rng: Random) -> None:
    (holder, place), (other, there) = (rng.choice(list(_slots(tree))) for _ in range(2))
    holder[place] = _copy(other[there])


def _swap(tree: list, rng: Random) -> None:
    (holder, place), (other, there) = (rng.choice(list(_slots(tree))) for _ in range(2))
    mine, its = _copy(holder[place]), _copy(other[there])
    holder[place], other[there] = its, mine


def _leave_out(tree: list, rng: Random) -> None:
    around = rng.choice([each for each in _lists(tree) if each])
    del around[rng.randrange(len(around))]


def _write_twice(tree: list, rng: Random) -> None:
    around = rng.choice([each for each in _lists(tree) if each])
    around.insert(rng.randrange(len(around) + 1), _copy(rng.choice(around)))


def _rename(tree: list, rng: Random) -> None:
    mappings = [each for each in _lists(tree) if isinstance(each, Pairs) and each]
    keys = [pair[0] for each in mappings for pair in each]
    rng.choice(rng.choice(mappings))[0] = rng.choice(
        [*keys, "", " ", "nothing", "x" * 300, "x" * 2000, "a\nb"]
    )


_WAYS = (
    _put_something,
    _put_something,
    _put_something,
    _put_another,
    _swap,
    _leave_out,
    _write_twice,
    _rename,
)


def _lists(node: object) -> Iterator[list]:
    """Give every mapping and list below a node, itself among them."""
    if isinstance(node, Pairs):
        yield node
        for _, value in node:
            yield from _lists(value)
    elif isinstance(node, list):
        yield node
        for value in node:
            yield from _lists(value)


def _slots(tree: list) -> Iterator[tuple[list, int]]:
    """Give every place where a value stands: the list (or the pair) that holds it, and where in it."""
    for each in _lists(tree):
        for number, held in enumerate(each):
            yield (held, 1) if isinstance(each, Pairs) else (each, number)


def _as_pairs(node: object) -> object:
    if isinstance(node, dict):
        return Pairs([key, _as_pairs(value)] for key, value in node.items())
    return [_as_pairs(each) for each in node] if isinstance(node, list) else node


def _copy(node: object) -> object:
    if isinstance(node, Pairs):
        return Pairs([key, _copy(value)] for key, value in node)
    return [_copy(each) for each in node] if isinstance(node, list) else node


def _written(node: object) -> str:
    """Return a node in YAML's flow style, a line a value, so that places differ."""
    if isinstance(node, Pairs):
        return "{" + ",\n".join(f"{json.dumps(key)}: {_written(value)}" for key, value in node) + "}"
    if isinstance(node, list):
        return "[" + ",\n".join(map(_written, node)) + "]"
    return json.dumps(node, ensure_ascii=False)


def _judge(shop: Path, name: str, seed: int) -> None:
    """Break one file, and read it and what names it: each is read, or refused line by line."""
    path = shop / name
    kept = path.read_text()
    path.write_text(broken(_whole(path), Random(f"{name} {seed}")))
    asked = [path]
    if name.startswith("profiles/"):
        asked += [shop / "examples/fridge-supply/job.yaml"] * ("dunlin" in name)
    if name == "house.yaml":
        asked.append(shop / "rules.yaml")
    try:
        for each in asked:
            for read in (check_file, read_question):
                _read(read, each, f"{name}, seed {seed}: {read.__name__}({each.name})")
    finally:
        path.write_text(kept)


@cache
def _whole(path: Path) -> object:
    """Return what is in a file before it is broken."""
    return read_document(path).data


def _read(read: object, path: Path, what: str) -> None:
    try:
        read(path)
    except UnreadableError as error:
        lines = str(error).split("\n")
        assert lines and all(LINE.fullmatch(line) for line in lines), f"{what}\n{error}"
    except Exception as error:
        raise AssertionError(f"{what}: {type(error).__name__}: {error}") from error


def test_that_nothing_is_broken_before(shop):
    assert len(FILES) > 4
    for name in FILES:
        assert name == "rules.yaml" or check_file(shop / name)


@pytest.mark.parametrize("name", FILES)
def test_a_broken_file_is_read_or_refused(shop, name):
    for seed in range(25):
        _judge(shop, name, seed)


@pytest.mark.study
@pytest.mark.parametrize("name", FILES)
def test_many_broken_files_are_read_or_refused(shop, name):
    for seed in range(3000):
        _judge(shop, name, seed)
