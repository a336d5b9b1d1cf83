"""The shape of a route file; a description here is what an editor shows beside the key."""

from __future__ import annotations

from typing import Annotated, Any, Literal, TypeAlias

from pydantic import BeforeValidator, Field, WithJsonSchema

from router.model.fixing import FixingKind
from router.reading.yaml.fields import (
    FileModel,
    FileUnit,
    Height,
    IsoDate,
    Length,
    Text,
    WholeNumber,
    Width,
    one_of,
)
from router.reading.yaml.wording import describe_value

FORMAT = "route/1"
FURTHEST_MM = 50_000.0

_PLACE_SCHEMA: dict[str, Any] = {
    "type": "array",
    "items": {"type": "number"},
    "minItems": 2,
    "maxItems": 3,
    "description": "x rearward, y to the vehicle's right and, where it matters, z up, in the file's unit",
}


def _place(value: object) -> tuple[float, float, float | None]:
    if not isinstance(value, list) or len(value) not in (2, 3):
        found = f"a list of {len(value)}" if isinstance(value, list) else describe_value(value)
        raise ValueError(f"is {found}; write two or three numbers, e.g. [600, 180] or [600, 180, 410]")
    for number in value:
        if isinstance(number, bool) or not isinstance(number, int | float):
            found = describe_value(number)
            raise ValueError(f"has {found} for a number; write plain numbers in the file's unit")
        if not abs(number) <= FURTHEST_MM:
            raise ValueError(f"has {number:g}, which is on no vehicle; check it")
    x, y, *z = (float(number) for number in value)
    return x, y, z[0] if z else None


PointFile: TypeAlias = Annotated[
    tuple[float, float, float | None], BeforeValidator(_place), WithJsonSchema(_PLACE_SCHEMA)
]
KindWord: TypeAlias = Annotated[FixingKind, BeforeValidator(one_of(tuple(each.value for each in FixingKind)))]
FormatWord: TypeAlias = Annotated[Literal["route/1"], BeforeValidator(one_of((FORMAT,)))]


class StretchFile(FileModel):
    """Some points of a run in one space, all pieces between them along one support or along none."""

    space: Text
    along: Text | None = Field(None, description="the support that every piece of this stretch follows")
    height: Height | None = Field(None, description="of points without z; else the support's, or the space's")
    points: Annotated[list[PointFile], Field(min_length=1)]


class RouteFixingFile(FileModel):
    """What holds the loom at a station, or at the station nearest to a place."""

    station: Length | None = Field(None, description="from the start of the run, along the loom")
    at: PointFile | None = Field(
        None, description="in place of a station: a place within 50 mm of the loom, held where it is nearest"
    )
    kind: KindWord
    support: Text | None = Field(None, description="what it is on; leave it out for a P-clip on a panel")


class PassFile(FileModel):
    """A member or an opening that a run passes; one of the three names."""

    over: Text | None = Field(None, description="a member, over its top")
    through: Text | None = Field(None, description="a member, through a hole in it")
    opening: Text | None = None
    station: Length | None = Field(None, description="where; left out, anywhere on the route")


class LoopFile(FileModel):
    """Length left loose on the route."""

    station: Length = Field(description="from the start of the run, along the loom")
    spare: Length = Field(description="how much longer the loom is than the route there")


class RouteRunFile(FileModel):
    """The route of one run."""

    run: Text
    loom: Width | None = Field(None, description="outside of its loom; else that of its own conductors")
    way: Annotated[list[StretchFile], Field(min_length=1)]
    passes: list[PassFile] = Field([], description="members and openings that it passes, in any order")
    fixings: list[RouteFixingFile] = Field([], description="in any order")
    loops: list[LoopFile] = Field([], description="length left loose, in any order")


class NearFile(FileModel):
    """A keep-out as it was when the route was approved."""

    keep_out: Text
    run: Text
    required: Length
    margin: Height
    mark: Text = Field(description="differs where the keep-out differs")


class UsedFile(FileModel):
    """A thing of the vehicle that the route used when it was approved."""

    run: Text
    what: Annotated[
        Literal["member", "opening", "support", "terminal"],
        BeforeValidator(one_of(("member", "opening", "support", "terminal"))),
    ]
    name: Text
    mark: Text = Field(description="differs where the thing differs")


class ApprovedFile(FileModel):
    """What makes a route a standard route."""

    by: Text
    on: IsoDate
    revision: WholeNumber = Field(description="of the profile")
    fingerprint: Text = Field(description="of the route, the vehicle, the rules and the job")
    near: list[NearFile] = Field([], description="what was near the route, and how near")
    used: list[UsedFile] = Field([], description="what the route passes, follows, is fixed to and ends at")


class RouteFile(FileModel):
    """Routes of a job's runs, planned or drawn by hand."""

    route: Text = Field(description="the route's name")
    format: FormatWord
    job: Text | None = Field(None, description="the job's file or folder, seen from this file")
    unit: FileUnit = "mm"
    approved: ApprovedFile | None = Field(None, description="who approved it; makes it a standard route")
    runs: Annotated[list[RouteRunFile], Field(min_length=1)]
