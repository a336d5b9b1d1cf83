"""Laws of a change in place, on every shipped profile and job, judged by PyYAML alone.

What is read afterwards is what was asked for, every comment is there, and undone is the file before.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest
import yaml

from router.reading import Op, Splicing, patch_between, spliced

ROOT = Path(__file__).parents[2]
SHIPPED = sorted([*ROOT.glob("profiles/*.yaml"), *ROOT.glob("examples/*/job.yaml")])
LISTS = ("keep-outs", "runs", "steps")
TEXTS = (
    "40 mm", "battery positive", "no", "1:30", "012", "2026-03-14", "null", "~", "true", "=", "<<", "- a",
    "a: b", "a #b", "#a", "it's", '5\' 6 1/2"', "", " a ", "[a", "{a}", "a, b", "*a", "&a", "!a", "%a", "@a",
    "`a", "| a", "> a", "---", "...", "?", "? a", ":", "-", "1e3", "0x1f", "1_000", ".5", ".inf", "y", "on",
    "Straße 😀 ünï", "日本", "<script>alert(1)</script>", "a\\nb", "'", '"', "''", "a'b\"c", "x:", ":x",
    "1.", "+1", "-0", "a" * 300,
)  # fmt: skip


class Core(yaml.CSafeLoader):
    """PyYAML as it is, but for keys: `on` is the word, as in every file of ours."""


def _mapping(loader, node):
    return {key.value: loader.construct_object(value, deep=True) for key, value in node.value}


Core.add_constructor("tag:yaml.org,2002:map", _mapping)


def read(text):
    return yaml.load(text, Loader=Core)


def comments(text):
    """Every comment by PyYAML's tokens: what is between them and begins with a number sign."""
    found, at = [], 0
    for token in yaml.scan(text.removeprefix("\ufeff"), Loader=yaml.CSafeLoader):
        gap = text.removeprefix("\ufeff")[at : token.start_mark.index]
        found += [line[line.index("#") :].rstrip() for line in gap.splitlines() if "#" in line]
        at = token.end_mark.index
    return sorted(found)


def paths(data, path=()):
    """Every path of some data, the top's included."""
    yield path, data
    inner = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for step, each in inner:
        yield from paths(each, (*path, step))


def some_value(rng, depth=0):
    kind = rng.randrange(9 if depth < 3 else 5)
    if kind < 3:
        return rng.choice(TEXTS)
    if kind == 3:
        return rng.choice((0, -7, 1650, 12.5, 0.1 + 0.2, -1e-7, 410.0, 3e11))
    if kind == 4:
        return rng.random() < 0.5
    if kind == 5:
        return [[rng.randrange(-900, 900), rng.randrange(-900, 900)] for _ in range(rng.randrange(30))]
    if kind == 6:
        return [some_value(rng, depth + 1) for _ in range(rng.randrange(4))]
    return {rng.choice(TEXTS) or "k": some_value(rng, depth + 1) for _ in range(rng.randrange(5))}


def put(data, path, value):
    if not path:
        return value
    step, held = path[0], data
    if isinstance(held, list):
        return [put(each, path[1:], value) if n == step else each for n, each in enumerate(held)]
    return {**held, step: put(held.get(step), path[1:], value)}


def without(data, path):
    if len(path) > 1:
        return put(data, path[:1], without(data[path[0]], path[1:]))
    if isinstance(data, list):
        return [each for n, each in enumerate(data) if n != path[0]]
    return {key: each for key, each in data.items() if key != path[0]}


def some_change(rng, data):
    """A change and the data that it asks for."""
    every = list(paths(data))
    path, held = rng.choice(every)
    op = rng.choice(list(Op))
    if op is Op.REMOVE or (op is Op.ADD and not isinstance(held, dict | list)):
        path = path or (next(iter(data)),)
        return (Op.REMOVE, path, None), without(data, path)
    value = some_value(rng)
    if op is Op.SET and path:
        if rng.random() < 0.3 and isinstance(held, list) and held:
            value = [
                *held[: rng.randrange(len(held) + 1)],
                rng.choice(held),
                *held[rng.randrange(len(held) + 1) :],
            ]
        return (op, path, value), put(data, path, value)
    if isinstance(held, list):
        value = rng.choice((value, held[-1] if held else value))
        return (Op.ADD, path, value), put(data, path, [*held, value])
    key = next(
        key
        for key in (f"new {rng.randrange(99)}", "anew")
        if key not in (held if isinstance(held, dict) else data)
    )
    path = (*(path if isinstance(held, dict) else ()), key)
    return (Op.ADD, path, value), put(data, path, value)


def same(found, asked):
    """Whether two values are alike, of the same types; decimals to fifteen places."""
    if isinstance(asked, float) and isinstance(found, float):
        return abs(found - asked) <= 1e-15 * max(1, abs(asked))
    if type(found) is not type(asked):
        return False
    if isinstance(asked, dict):
        return found.keys() == asked.keys() and all(same(found[key], asked[key]) for key in asked)
    if isinstance(asked, list):
        return len(found) == len(asked) and all(map(same, found, asked))
    return found == asked


def judge_changes(text, rng, count):
    """Change a text over and over; the changes that were made, each judged."""
    made = 0
    start, undo = text, []
    for _ in range(count):
        data = read(text)
        if not isinstance(data, dict) or not data:
            break
        change, asked = some_change(rng, data)
        patch = spliced(text, *change)
        after = patch.applied_to(text)
        assert same(read(after), asked), change
        assert comments(after) == comments(text), change
        undo.append(patch_between(after, text))
        assert undo[-1].applied_to(after) == text, change
        text, made = after, made + 1
    for patch in reversed(undo):
        text = patch.applied_to(text)
    assert text == start
    return made


def judge_together(text, rng, count):
    """Make some changes at once; every other one writes over a scalar, as a drag does."""
    data, splicing = read(text), Splicing(text)
    for number in range(count):
        if not isinstance(data, dict) or not data:
            break
        change, asked = some_change(rng, data)
        if number % 2 and (
            scalars := [p for p, each in paths(data) if p and not isinstance(each, dict | list)]
        ):
            change = (Op.SET, rng.choice(scalars), rng.choice(TEXTS))
            asked = put(data, *change[1:])
        splicing.do(*change)
        data = asked
    after = splicing.result()
    assert same(read(after), data)
    assert comments(after) == comments(text)


@pytest.mark.parametrize("path", SHIPPED[:4], ids=lambda path: path.parent.name + "-" + path.stem)
def test_changes_made_together_are_all_there(path):
    rng = Random(path.name)
    text = path.read_text(encoding="utf-8")
    assert len(text) > 500
    for _ in range(3):
        judge_together(text, rng, 8)


def as_written(text, how):
    """A file as other editors leave it."""
    return {"lf": text, "crlf": text.replace("\n", "\r\n"), "cut": text.rstrip("\n"), "bom": "\ufeff" + text}[
        how
    ]


@pytest.mark.parametrize("how", ["lf", "crlf", "cut", "bom"])
@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.parent.name + "-" + path.stem)
def test_any_change_is_what_was_asked_for_and_keeps_every_comment(path, how):
    text = as_written(path.read_text(encoding="utf-8"), how)
    rng = Random(f"{path.name}{how}")
    assert sum(judge_changes(text, rng, 3) for _ in range(3)) > 0


@pytest.mark.study
@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.parent.name + "-" + path.stem)
def test_many_changes(path):
    rng = Random(path.name)
    text = path.read_text(encoding="utf-8")
    made = [
        judge_changes(as_written(text, rng.choice(["lf", "crlf", "cut", "bom"])), rng, 10) for _ in range(100)
    ]
    assert sum(made) > 500
