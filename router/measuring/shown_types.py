"""Types as they are shown to a person: words, pictures, what is asked and where the tape goes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

import yaml

from router.measuring.expressions import Expression, value_of
from router.measuring.made_profiles import profile_text
from router.measuring.pictures import Body, Spot, TapeDrawn, draw_tape
from router.measuring.type_file import Seen
from router.measuring.type_reader import Asked, TypeRead, shipped_types
from router.measuring.vehicle_parts import parts_of

PICTURE_MM = (84.0, 42.0)
_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_SOME_DAY = date(2000, 1, 1)


@dataclass(frozen=True, slots=True)
class Measurement:
    """One length that is asked for."""

    name: str
    ask: str
    from_where: str
    to_where: str
    usual_mm: float
    least_mm: float
    most_mm: float
    is_needed: bool
    """Nothing can be planned well without it."""
    picture: str
    """SVG."""


@dataclass(frozen=True, slots=True)
class VehicleType:
    """A kind of vehicle to start from."""

    key: str
    name: str
    says: str
    picture: str
    """SVG."""
    measurements: tuple[Measurement, ...]


@cache
def vehicle_types() -> tuple[VehicleType, ...]:
    """Return every shipped type, by key."""
    return tuple(shown_type(each) for each in shipped_types())


def shown_type(found: TypeRead) -> VehicleType:
    """Return one type with its pictures, at its usual measurements."""
    body = body_of(found, {})
    return VehicleType(
        found.key,
        found.name,
        found.says,
        draw_tape(body, Seen.SIDE, None, found.name, PICTURE_MM),
        tuple(_shown(found, body, each) for each in found.measurements),
    )


def body_of(found: TypeRead, answers_mm: Mapping[str, float]) -> Body:
    """Return what is drawn of a type with some measurements."""
    values = found.values(answers_mm)
    data: Any = yaml.load(profile_text(found, answers_mm, "any", _SOME_DAY), _Loader)
    return Body(
        side=tuple((value_of(x, values), value_of(z, values)) for x, z in found.side),
        tyre_mm=value_of(found.tyre, values),
        axles_mm=(0.0, values["wheelbase"]),
        parts=parts_of(data),
    )


def tape_of(found: TypeRead, asked: Asked, answers_mm: Mapping[str, float]) -> TapeDrawn:
    """Return where the tape goes for a measurement of a type. [mm]"""
    values = found.values(answers_mm)
    return TapeDrawn(_spot(asked.tape.start, values), _spot(asked.tape.end, values))


def _spot(expressions: tuple[Expression, ...], values: Mapping[str, float]) -> Spot:
    x, y, z = (value_of(each, values) for each in expressions)
    return x, y, z


def _shown(found: TypeRead, body: Body, asked: Asked) -> Measurement:
    title = f"{asked.name}: from {asked.from_where} to {asked.to_where}"
    picture = draw_tape(body, asked.tape.seen, tape_of(found, asked, {}), title, PICTURE_MM)
    return Measurement(
        asked.name,
        asked.ask,
        asked.from_where,
        asked.to_where,
        asked.usual_mm,
        asked.least_mm,
        asked.most_mm,
        asked.is_needed,
        picture,
    )
