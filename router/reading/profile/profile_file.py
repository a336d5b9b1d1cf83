"""The shape of a profile file; a description here is what an editor shows beside the key."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from router.model.vehicle import Drill, Screw
from router.reading.yaml.fields import (
    Area,
    Assumed,
    Current,
    DrillWord,
    EdgeWord,
    FacesWord,
    FileModel,
    FileUnit,
    FixWord,
    Flag,
    GivenSize,
    HazardWord,
    Height,
    IsoDate,
    Length,
    Line,
    Point,
    PoleWord,
    ScrewWord,
    SideWord,
    SpaceKindWord,
    Stud,
    SupportKindWord,
    TerminalKindWord,
    Text,
    WholeNumber,
    Width,
)
from router.reading.yaml.part_words import ContactWord

ASSUMED = "how far it may be off where nobody measured it yet, in place of the profile's tolerance"


class MeasuredFile(FileModel):
    """When and how well the vehicle was measured."""

    on: IsoDate
    tolerance: Length = Field(description="how far a measured point may be off")


class StepFile(FileModel):
    """A part of a space where a loom that follows no support lies higher or lower."""

    area: Area
    height: Height = Field(description="where a loom lies there")
    assumed: Assumed | None = Field(None, description=ASSUMED)


class SpaceFile(FileModel):
    """One sheet of the vehicle in plan."""

    kind: SpaceKindWord | None = Field(
        None, description="what it is; without it the most careful rule of all kinds stands"
    )
    height: Height = Field(description="where a cable lies in this space")
    outline: Area = Field(description="where the loom's centre line may lie")
    steps: list[StepFile] = Field([], description="where it lies higher or lower, as over the axle")
    assumed: Assumed | None = Field(None, description=ASSUMED)


class PanelFile(FileModel):
    """Metal between two spaces: level with a height (a floor), or upright along a line (a bulkhead)."""

    name: Text
    between: Annotated[list[Text], Field(min_length=2, max_length=2)]
    height: Height | None = Field(None, description="of a level panel")
    area: Area | None = Field(
        None, description="where a level panel is; without it, wherever its two spaces are"
    )
    along: Annotated[list[Point], Field(min_length=2, max_length=2)] | None = Field(
        None, description="the two ends of an upright panel"
    )
    drill: DrillWord = Field(Drill.NEVER, description="whether holes may be made in it; never by default")
    screw: ScrewWord = Field(
        Screw.NUT,
        description="what holds in it where it is drilled: a nut where its back can be reached, a rivet nut "
        "where it cannot, a self-cutting screw in wood or in metal of 2 mm and more; a nut by default",
    )
    assumed: Assumed | None = Field(None, description=ASSUMED)


class DiscFile(FileModel):
    """A round place."""

    centre: Point
    radius: Width


class KeepOutFile(FileModel):
    """A place to stay away from: a line with a width, an area or a disc."""

    name: Text
    space: Text | None = Field(None, description="needed only where it has no heights")
    hazard: HazardWord
    along: Line | None = Field(None, description="the middle line of something long; needs a width")
    width: Width | None = Field(None, description="the whole width of a line")
    area: Area | None = None
    disc: DiscFile | None = None
    heights: Annotated[list[Height], Field(min_length=2, max_length=2)] | None = Field(
        None, description="lowest and highest; without them the whole height of its space"
    )
    shielded: Flag = False
    clearance: Length | None = Field(None, description="its own clearance, in place of the practice's")
    guide: Flag = Field(False, description="a line that a loom may follow at its clearance, with along")
    assumed: Assumed | None = Field(None, description=ASSUMED)


class PassFile(FileModel):
    """A place where a member is passed: over its top (with rise) or through a hole (with bore and edge)."""

    over: Annotated[list[Point], Field(min_length=2, max_length=2)] | None = Field(
        None, description="its top may be crossed anywhere between these two points"
    )
    rise: Length | None = None
    through: Point | None = Field(None, description="the middle of a hole")
    bore: Width | None = None
    edge: EdgeWord | None = None
    assumed: Assumed | None = Field(None, description=ASSUMED)


class MemberFile(FileModel):
    """A crossmember, passed only where it says so."""

    name: Text
    space: Text
    along: Line
    width: Width
    passes: list[PassFile] = Field([])
    assumed: Assumed | None = Field(None, description=ASSUMED)


class SupportFile(FileModel):
    """A line to fix to."""

    name: Text
    space: Text
    kind: SupportKindWord = Field(description="what it is; the clip that it takes goes by it")
    along: Line
    height: Height | None = Field(None, description="without it, the height of its space")
    heights: Annotated[list[Height], Field(min_length=2)] | None = Field(
        None, description="one for each point of along, in place of height, where it rises or falls"
    )
    fix: FixWord = Field(description="what it may carry: a tie round it, only a clip on it, or nothing")
    hazard: HazardWord | None = Field(
        None, description="of a line with fix: never, which is kept away from; fuel by default"
    )
    assumed: Assumed | None = Field(None, description=ASSUMED)


class CoverFile(FileModel):
    """A panel that shelters what runs above it."""

    name: Text
    space: Text
    area: Area
    fasteners: WholeNumber
    assumed: Assumed | None = Field(None, description=ASSUMED)


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
    height: Height | None = Field(None, description="needed where no level panel of its two spaces is")
    bore: Width
    edge: EdgeWord
    moves: Length = Field(0.0, description="how far its two spaces move against each other")
    assumed: Assumed | None = Field(None, description=ASSUMED)


class StudsFile(FileModel):
    """The two studs of a unit, one for each pole."""

    plus: Stud = Field(description="what carries current in ends on it")
    minus: Stud = Field(description="what returns current ends on it")


class TerminalFile(FileModel):
    """Where a run begins or ends."""

    name: Text
    space: Text
    kind: TerminalKindWord | None = Field(
        None, description="what it is; without it the most careful rule of all kinds stands"
    )
    pole: PoleWord | None = Field(
        None, description="positive or negative of a battery post; plus or minus of a terminal with unit"
    )
    at: Point
    height: Height
    stud: Stud | None = None
    studs: StudsFile | None = Field(None, description="in place of stud: one for each pole")
    unit: Text | None = Field(
        None, description="the unit or battery of which it is one pole, where its poles are measured apart"
    )
    source: Flag = Field(False, description="whether it can feed what is joined to it, as a charger does")
    short_circuit: Current | None = Field(
        None, description="of a source that limits its own current: the most that it drives into a short"
    )
    faces: FacesWord | None = Field(None, description="where its connector faces; up by default")
    side: SideWord | None = Field(None, description="of the vehicle: left or right; held against its y")
    stands_on: Text | None = Field(None, description="the keep-out that it stands on, such as its battery")
    wire: GivenSize | None = Field(
        None, description="the size of the conductor that is there already and is joined, e.g. 1.5 mm2"
    )
    contact: ContactWord | None = Field(None, description="the family of its connector's contacts")
    assumed: Assumed | None = Field(None, description=ASSUMED)


class SectionsFile(FileModel):
    """Everything that was measured, by section."""

    spaces: dict[Text, SpaceFile] = Field({})
    panels: list[PanelFile] = Field([])
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
    needed: list[Text] = Field(
        [],
        description="lengths of its type that nobody measured and without which nothing can be planned well",
    )


SECTIONS: dict[str, type[FileModel]] = {
    "spaces": SpaceFile,
    "panels": PanelFile,
    "keep-outs": KeepOutFile,
    "members": MemberFile,
    "supports": SupportFile,
    "covers": CoverFile,
    "exposed": ExposedFile,
    "openings": OpeningFile,
    "terminals": TerminalFile,
}
