"""Words for faults: which part of a file a path means, and what was found there."""

from __future__ import annotations

from typing import Any, TypeAlias

Path: TypeAlias = tuple[str | int, ...]
"""The path to a value from the top of a file: keys and indexes, e.g. ("keep-outs", 3, "width")."""

_NOUNS = {
    "spaces": "space",
    "steps": "step",
    "panels": "panel",
    "keep-outs": "keep-out",
    "members": "member",
    "passes": "pass",
    "supports": "support",
    "covers": "cover",
    "exposed": "exposed area",
    "openings": "opening",
    "terminals": "terminal",
    "places": "place",
    "variants": "variant",
    "runs": "run",
    "conductors": "conductor",
    "way": "stretch",
    "fixings": "fixing",
    "loops": "loop",
    "near": "keep-out",
    "used": "thing",
    "vehicles": "vehicle",
    "stock": "stock",
    "reels": "reel",
}
_LISTS_OF_POINTS = ("outline", "along", "area", "over", "points")
_NAME_KEYS = ("name", "run", "keep-out", "item")


def noun(section: str) -> str:
    """Return what one thing of a section is called: "keep-out" for "keep-outs"."""
    return _NOUNS[section]


def describe_path(path: Path, data: object) -> tuple[str, str]:
    """Return the place a path means, and the key at its end where it ends in one.

    >>> describe_path(("keep-outs", 0, "width"), {"keep-outs": [{"name": "prop shaft"}]})
    ('keep-out "prop shaft"', 'width')
    """
    parts: list[str] = []
    node, rest = data, path
    while rest:
        if len(rest) > 1 and rest[0] in _NOUNS:
            section, step = str(rest[0]), rest[1]
            node, rest = _child(_child(node, section), step), rest[2:]
            parts.append(f"{_NOUNS[section]} {_name(node, step)}")
        elif len(rest) == 1 and isinstance(rest[0], str):
            return ", ".join(parts), rest[0]
        elif len(rest) > 1 and rest[0] in _LISTS_OF_POINTS:
            return ", ".join([*parts, str(rest[0])]), f"point {int(rest[1]) + 1}"
        else:
            step = rest[0]
            node, rest = _child(node, step), rest[1:]
            parts.append(step if isinstance(step, str) else f"item {step + 1}")
    return ", ".join(parts), ""


def describe_value(value: object) -> str:
    """Return what was found, in a few words: `"40"`, a list, nothing."""
    if value is None:
        return "nothing"
    if isinstance(value, dict | list | tuple):
        return "a list" if not isinstance(value, dict) else "keys and values"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{value}"' if len(value) <= 40 and value.isprintable() else "a long text"
    return str(value)


def _child(node: object, step: str | int) -> Any:
    if isinstance(node, dict):
        return node.get(step)
    if isinstance(node, list) and isinstance(step, int) and step < len(node):
        return node[step]
    return None


def _name(node: object, step: str | int) -> str:
    if isinstance(step, str):
        return f'"{step}"'
    named = node if isinstance(node, dict) else {}
    names = [named[key] for key in _NAME_KEYS if isinstance(named.get(key), str)]
    return f'"{names[0]}"' if names else str(step + 1)
