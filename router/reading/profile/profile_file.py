"""The shape of a profile file; a description here is what an editor shows beside the key."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from router.reading.yaml.fields import (
    Area,
    EdgeWord,
    FacesWord,
    FileModel,
    FileUnit,
    FixWord,
    Flag,
    HazardWord,
    Height,
    IsoDate,
    Length,
    Line,
    Point,
    PoleWord,
    SpaceKindWord,
    Stud,
    SupportKindWord,
    TerminalKindWord,
    Text,
    WholeNumber,
    Width,
)


class MeasuredFile(FileModel):
    """When and how well the vehicle was measured."""

    on: IsoDate
    tolerance: Length = Field(description="how far a measured point may be off")


class SpaceFile(FileModel):
    """One sheet of the vehicle in plan."""

    kind: SpaceKindWord | None = Field(
        None, description="what it is; without it the most careful rule of all kinds stands"
    )
    height: Height = Field(description="where a cable lies in this space")
    outline: Area = Field(description="where the loom's centre line may lie")


class DiscFile(FileModel):
    """A round place."""

    centre: Point
    radius: Width


class KeepOutFile(FileModel):
    """A place to stay away from: a line with a width, an area or a disc."""

    name: Text
    space: Text
    hazard: HazardWord
    along: Line | None = Field(None, description="the middle line of something long; needs a width")
    width: Width | None = Field(None, description="the whole width of a line")
    area: Area | None = None
    disc: DiscFile | None = None
    heights: Annotated[list[Height], Field(min_length=2, max_length=2)] | None = Field(
        None, description="lowest and highest; without them the whole height of the space"
    )
    shielded: Flag = False
    clearance: Length | None = Field(None, description="its own clearance, in place of the practice's")


class PassFile(FileModel):
    """A place where a member is passed: over its top (with rise) or through a hole (with bore and edge)."""

    over: Annotated[list[Point], Field(min_length=2, max_length=2)] | None = Field(
        None, description="its top may be crossed anywhere between these two points"
    )
    rise: Length | None = None
    through: Point | None = Field(None, description="the middle of a hole")
    bore: Width | None = None
    edge: EdgeWord | None = None


class MemberFile(FileModel):
    """A crossmember, passed only where it says so."""

    name: Text
    space: Text
    along: Line
    width: Width
    passes: list[PassFile] = Field([])


class SupportFile(FileModel):
    """A line to fix to."""

    name: Text
    space: Text
    kind: SupportKindWord = Field(description="what it is; the clip that it takes goes by it")
    along: Line
    height: Height | None = Field(None, description="without it, the height of its space")
    fix: FixWord = Field(description="what it may carry: a tie round it, only a clip on it, or nothing")


class CoverFile(FileModel):
    """A panel that shelters what runs above it."""

    name: Text
    space: Text
    area: Area
    fasteners: WholeNumber


class ExposedFile(FileModel):
    """Where spray, stones or kerbs reach the loom."""

    name: Text
    space: Text
    area: Area


class OpeningFile(FileModel):
    """A hole from one space into another."""

    name: Text
    joins: Annotated[list[Text], Field(min_length=2, max_length=2)]
    at: Point
    height: Height | None = Field(None, description="without it, the mean of its two spaces' heights")
    bore: Width
    edge: EdgeWord
    moves: Length = Field(0.0, description="how far its two spaces move against each other")


class TerminalFile(FileModel):
    """Where a run begins or ends."""

    name: Text
    space: Text
    kind: TerminalKindWord | None = Field(
        None, description="what it is; without it the most careful rule of all kinds stands"
    )
    pole: PoleWord | None = Field(None, description="of a battery post, which always has one")
    at: Point
    height: Height
    stud: Stud | None = None
    faces: FacesWord | None = Field(None, description="where its connector faces; up by default")


class SectionsFile(FileModel):
    """Everything that was measured, by section."""

    spaces: dict[Text, SpaceFile] = Field({})
    keep_outs: list[KeepOutFile] = Field([])
    members: list[MemberFile] = Field([])
    supports: list[SupportFile] = Field([])
    covers: list[CoverFile] = Field([])
    exposed: list[ExposedFile] = Field([])
    openings: list[OpeningFile] = Field([])
    terminals: list[TerminalFile] = Field([])


class VariantFile(FileModel):
    """What differs in a sister model."""

    remove: list[Text] = Field([], description="names of things that this variant does not have")
    replace: SectionsFile | None = None
    add: SectionsFile | None = None


class ProfileFile(SectionsFile):
    """One vehicle model as the shop measured it."""

    profile: Text = Field(description="the vehicle's name")
    revision: WholeNumber
    measured: MeasuredFile
    unit: FileUnit = Field(description="the unit of all points")
    datum: Text = Field(description="where x, y and z are 0")
    spaces: Annotated[dict[Text, SpaceFile], Field(min_length=1)]
    variants: dict[Text, VariantFile] = Field({})


SECTIONS: dict[str, type[FileModel]] = {
    "spaces": SpaceFile,
    "keep-outs": KeepOutFile,
    "members": MemberFile,
    "supports": SupportFile,
    "covers": CoverFile,
    "exposed": ExposedFile,
    "openings": OpeningFile,
    "terminals": TerminalFile,
}
