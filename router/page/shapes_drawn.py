"""The parts of a profile and the places of a job as shapes to draw, each with its path in the file.

What cannot be read of a part is left out of it, and the part is said to be there only in part: a slip in one
value takes nothing else off the drawing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, TypeAlias

from router.reading import OpenFile, parts_written
from router.units import parse_quantity

Raw: TypeAlias = Mapping[str, Any]
Path: TypeAlias = Sequence[str | int]
Shape: TypeAlias = dict[str, Any]

_FORMS = ("outline", "area", "along", "over", "at", "through")
_AREAS, _LINES = ("outline", "area"), ("along", "over")
_PARTS = {
    "spaces": "space",
    "panels": "panel",
    "keep-outs": "keep-out",
    "members": "member",
    "supports": "support",
    "covers": "cover",
    "exposed": "exposed",
    "openings": "opening",
    "terminals": "terminal",
}


def shapes_of_profile(file: OpenFile, variant: str | None) -> Iterator[Shape]:
    """Yield the shapes of a profile, steps after their space and passes after their member."""
    for section, entry in parts_written(file, variant):
        raw = entry.raw
        if not isinstance(raw, dict):
            continue
        draw = _Drawing("profile", file.mm_per_unit)
        name = entry.name or ""
        space = name if section == "spaces" else raw.get("space")
        yield from draw.shape(_PARTS[section], entry.path, name, space, raw)
        for key, part in (("steps", "step"), ("passes", "pass")):
            inner = raw.get(key)
            for index, each in enumerate(inner if isinstance(inner, list) else []):
                if isinstance(each, dict):
                    yield from draw.shape(part, (*entry.path, key, index), name, space, each)


def shape_of_place(path: Path, raw: Raw, mm_per_unit: float) -> Shape | None:
    """Return the shape of a place that a job brings along, whose points are in the profile's unit."""
    name = raw.get("name")
    draw = _Drawing("job", mm_per_unit)
    return next(draw.shape("place", path, name if isinstance(name, str) else "", raw.get("space"), raw), None)


class _Drawing:
    """Makes shapes of one file."""

    def __init__(self, file: str, mm_per_unit: float) -> None:
        self._file, self._mm_per_unit = file, mm_per_unit

    def shape(self, part: str, path: Path, name: str, space: object, raw: Raw) -> Iterator[Shape]:
        form, points, is_whole = self._form(raw)
        heights = raw.get("heights")
        height_list = [_length_mm(each) for each in heights] if isinstance(heights, list) else []
        heights_mm = [each for each in height_list if each is not None]
        is_measured = len(heights_mm) >= 2 and len(heights_mm) == len(height_list)
        disc = raw.get("disc")
        yield {
            "file": self._file,
            "path": list(path),
            "part": part,
            "name": name,
            "space": _text(space),
            "spaces": _spaces(raw),
            "hazard": _text(raw.get("hazard")),
            "kind": _text(raw.get("kind")),
            "fix": _text(raw.get("fix")),
            "form": form,
            "points": points,
            "partly": not is_whole,
            "width_mm": _length_mm(raw.get("width")),
            "radius_mm": _length_mm(disc.get("radius")) if isinstance(disc, dict) else None,
            "bore_mm": _length_mm(raw.get("bore")),
            "heights_mm": heights_mm if is_measured else None,
            "height_mm": _length_mm(raw.get("height")),
            "rise_mm": _length_mm(raw.get("rise")),
            "assumed_mm": _length_mm(raw.get("assumed")),
            "shielded": raw.get("shielded") is True,
            "pole": _text(raw.get("pole")),
        }

    def _form(self, raw: Raw) -> tuple[str | None, list[list[float]], bool]:
        """Return the form, the points that can be read, in mm, and whether these are all of them."""
        disc = raw.get("disc")
        if isinstance(disc, dict):
            points, is_whole = self._points([disc.get("centre")])
            return "disc", points, is_whole
        for key in _FORMS:
            if key in raw:
                written = raw[key]
                if key in _AREAS + _LINES:
                    points, is_whole = self._points(written if isinstance(written, list) else [None])
                    return "area" if key in _AREAS else "along", points, is_whole
                points, is_whole = self._points([written])
                return "at", points, is_whole
        return None, [], True

    def _points(self, written: Sequence[object]) -> tuple[list[list[float]], bool]:
        read = [self._point(each) for each in written]
        return [each for each in read if each is not None], None not in read

    def _point(self, written: object) -> list[float] | None:
        if not isinstance(written, list) or len(written) != 2 or not all(map(_is_number, written)):
            return None
        return [float(each) * self._mm_per_unit for each in written]


def _spaces(raw: Raw) -> list[str]:
    named = raw.get("between") if "between" in raw else raw.get("joins")
    return [each for each in named if isinstance(each, str)] if isinstance(named, list) else []


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _text(value: object) -> str | None:
    return value if isinstance(value, str) else None


def _length_mm(value: object) -> float | None:
    if not isinstance(value, str):
        return None
    try:
        return parse_quantity(value, "length")
    except ValueError:
        return None
