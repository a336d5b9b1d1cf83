"""What differs between two revisions or variants of a vehicle, thing by thing."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import fields
from typing import Any

from router.model.comparison import Difference
from router.model.vehicle import Profile, Shape, Step

_SECTIONS = {
    "spaces": "space",
    "panels": "panel",
    "keep_outs": "keep-out",
    "members": "member",
    "supports": "support",
    "covers": "cover",
    "exposed": "exposed area",
    "openings": "opening",
    "terminals": "terminal",
}
"""By field of a profile: what one thing in it is called."""
_FACTS = ("revision", "measured_on", "tolerance_mm", "datum")


def compare_profiles(before: Profile, after: Profile) -> tuple[Difference, ...]:
    """Return what differs, in the order of a profile file; nothing where only their names do."""
    found = [
        Difference("profile", fact.removesuffix("_mm"), _from_to(getattr(before, fact), getattr(after, fact)))
        for fact in _FACTS
        if getattr(before, fact) != getattr(after, fact)
    ]
    for section, word in _SECTIONS.items():
        old = {each.name: each for each in getattr(before, section)}
        new = {each.name: each for each in getattr(after, section)}
        found += [
            Difference(word, name, "only in the first", before=old[name]) for name in old if name not in new
        ]
        found += [
            _difference(word, old[name], new[name]) for name in old if name in new and old[name] != new[name]
        ]
        found += [
            Difference(word, name, "only in the second", after=new[name]) for name in new if name not in old
        ]
    return tuple(found)


def _difference(word: str, old: Any, new: Any) -> Difference:
    places = ((getattr(old, field.name), getattr(new, field.name)) for field in fields(old))
    moves_mm = [mm for one, other in places if one != other and (mm := _moved_mm(one, other)) is not None]
    what = "; ".join(_changed(old, new))
    return Difference(word, old.name, what, old, new, max(moves_mm, default=None))


def _changed(old: Any, new: Any) -> Iterator[str]:
    """Yield each fact of a thing that is not the same, in words."""
    for field in fields(old):
        one, other = getattr(old, field.name), getattr(new, field.name)
        if one != other:
            name = field.name.removesuffix("_mm").removeprefix("is_").replace("_", " ")
            is_heights = field.name == "heights_mm"  # numbers, and no point
            yield (
                f"{name} {_heights(one)} -> {_heights(other)}"
                if is_heights
                else f"{name} {_from_to(one, other)}"
            )


def _from_to(one: object, other: object) -> str:
    moved_mm = _moved_mm(one, other)
    if moved_mm is not None:
        return f"moved by up to {moved_mm:.0f} mm"
    words = _words(one), _words(other)
    if _is_long(one) or _is_long(other) or words[0] == words[1]:
        return "measured anew"
    return f"{words[0]} -> {words[1]}"


def _moved_mm(one: object, other: object) -> float | None:
    """Return how far the points of two places lie apart at most; None where they do not pair."""
    if isinstance(one, Shape) and isinstance(other, Shape):
        is_alike = (one.kind, one.reach_mm) == (other.kind, other.reach_mm)
        return _moved_mm(one.points, other.points) if is_alike else None
    if _is_point(one) and _is_point(other):
        return math.dist(one, other)  # type: ignore[arg-type]  # seen to be points
    if not (isinstance(one, tuple) and isinstance(other, tuple) and one and len(one) == len(other)):
        return None
    if not all(_is_point(each) for each in (*one, *other)):
        return None
    return max(math.dist(a, b) for a, b in zip(one, other, strict=True))


def _heights(heights_mm: tuple[float, ...] | None) -> str:
    """Return the two heights of a keep-out, or those of a support at its points, in words."""
    if not heights_mm:
        return "all" if heights_mm is None else "level"
    listed = ", ".join(f"{each:g}" for each in heights_mm)
    return f"{heights_mm[0]:g} to {heights_mm[1]:g} mm" if len(heights_mm) == 2 else f"{listed} mm"


def _is_point(value: object) -> bool:
    return isinstance(value, tuple) and len(value) == 2 and all(isinstance(part, float) for part in value)


def _is_long(value: object) -> bool:
    return isinstance(value, Shape) or (isinstance(value, tuple) and any(isinstance(v, tuple) for v in value))


def _words(value: object) -> str:
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        heights = sorted(step.height_mm for step in value if isinstance(step, Step))
        return f"at {', '.join(f'{mm:g}' for mm in heights)} mm" if heights else "none"
    return f"{value:g}" if isinstance(value, float) else str(value)
