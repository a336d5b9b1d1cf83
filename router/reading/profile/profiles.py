"""Profiles: from a file, checked as first measured and in every variant, to the record of one of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path as FilePath
from typing import Any, TypeVar

from router.errors import Fault, UnreadableError
from router.model.vehicle import (
    Cover,
    ExposedArea,
    Faces,
    Fix,
    KeepOut,
    Member,
    Opening,
    OverPass,
    Panel,
    Point,
    Profile,
    Shape,
    ShapeKind,
    Space,
    Step,
    Studs,
    Support,
    Terminal,
    ThroughPass,
)
from router.reading.files import is_file, library_folder, shut_out
from router.reading.profile.contradictions import contradictions
from router.reading.profile.lines_never_touched import keep_outs_of_lines
from router.reading.profile.names_in_profile import name_faults, unknown, variant_faults
from router.reading.profile.on_members import on_member
from router.reading.profile.profile_file import (
    CoverFile,
    ExposedFile,
    KeepOutFile,
    MemberFile,
    OpeningFile,
    PanelFile,
    PassFile,
    ProfileFile,
    SpaceFile,
    SupportFile,
    TerminalFile,
)
from router.reading.profile.shapes import level_panel_at, shape_faults
from router.reading.profile.vehicles import Vehicle, base_vehicle, brought, variant_vehicle
from router.reading.yaml.documents import Document, read_document
from router.reading.yaml.fields import FILE_UNITS, FileModel
from router.reading.yaml.structure import item_or_none, structure_faults
from router.units import parse_quantity

_Item = TypeVar("_Item", bound=FileModel)


def library() -> tuple[tuple[str, FilePath], ...]:
    """Return the library: each profile's name in it with its file, by name."""
    return tuple((path.stem, path) for path in sorted(library_folder().glob("*.yaml")))


def find_profile(named: str, folder: FilePath, *, trusts_paths: bool) -> FilePath | str:
    """Return the file that a name or path means, seen from a folder; or the words why there is none.

    A name of the library means that; any other the file NAME.yaml in the folder.
    """
    beside, own = folder / named, folder / f"{named}.yaml"
    for path in (beside, own):
        if words := shut_out(path, folder, trusts_paths=trusts_paths):
            return f'"{named}" {words}'
    if named.endswith((".yaml", ".yml")) or is_file(beside):
        return beside
    books = dict(library())
    if named not in books and is_file(own):
        return own
    return books.get(named) or unknown("profile", named, books)


def read_profile(named: str | FilePath, variant: str | None = None) -> Profile:
    """Return one vehicle, as first measured or one variant of it.

    Parameters
    ----------
    named : str or pathlib.Path
        A path, or a name in the library.
    variant : str, optional
        The name of a variant in the file.

    Raises
    ------
    UnreadableError
        Every fault of the file, in whichever variant it shows.
    """
    found = find_profile(str(named), FilePath(), trusts_paths=True)
    if isinstance(found, str):
        raise UnreadableError((Fault(str(named), 1, 1, "", found),))
    document = read_profile_document(found)
    if variant is not None and (words := unknown_variant(document, variant)):
        raise UnreadableError((Fault(document.file, 1, 1, "", words),))
    return make_profile(document, found.stem, variant)


def unknown_variant(document: Document, variant: str) -> str | None:
    """Return the words for a variant that the file has not, or None where it has it."""
    known = tuple(document.data.get("variants", {}))
    return None if variant in known else unknown("variant", variant, known)


def read_profile_document(path: FilePath) -> Document:
    """Return a profile file that has no fault; UnreadableError with all of them where it has."""
    document = read_document(path)
    _refuse_other_kinds(document)
    if faults := profile_faults(document):
        raise UnreadableError(faults)
    return document


def _refuse_other_kinds(document: Document) -> None:
    """Refuse a file of another kind in one line, in place of every key that it has or lacks."""
    kind = next(iter(document.data), "")
    if str(document.data.get("format")).startswith("plan/"):
        kind, told = "format", "plan"
    elif kind in ("job", "route", "fleet", "practice") and "spaces" not in document.data:
        told = kind
    else:
        return
    words = f"this is a {told}; a profile is wanted here, a file or a name in the library"
    named = document.data.get("profile")
    if told == "job" and isinstance(named, str):
        words += f"; this job's is {named}"
    raise UnreadableError((document.fault((kind,), words, of_key=True),))


def profile_faults(document: Document) -> tuple[Fault, ...]:
    """Return every fault of a profile file, in its order."""
    found = [*document.faults, *structure_faults(document, ProfileFile)]
    file = item_or_none(ProfileFile, document.data)
    base = base_vehicle(document.data, file)
    found += _vehicle_faults(document, base)
    variants = document.data.get("variants")
    for name, raw in variants.items() if isinstance(variants, dict) else ():
        found += variant_faults(document, base, name, raw, brought("replace", name, raw, file))
        known = set(found)
        for fault in _vehicle_faults(document, variant_vehicle(base, name, raw, file), base):
            if fault not in known:
                found.append(_in_variant(fault, name))
    return tuple(sorted(set(found)))


def make_profile(document: Document, key: str, variant: str | None = None) -> Profile:
    """Return the record of a profile file without faults, as first measured or in one variant."""
    head = ProfileFile.model_validate(document.data)
    base = base_vehicle(document.data, head)
    vehicle = variant_vehicle(base, variant, document.data["variants"][variant], head) if variant else base
    make = _Maker(vehicle, mm_per_unit_of(document))
    keep_outs = tuple(make.keep_out(item) for item in make.items("keep-outs", KeepOutFile))
    supports = tuple(make.support(item) for item in make.items("supports", SupportFile))
    never = [
        (support, item.hazard)
        for support, item in zip(supports, make.items("supports", SupportFile), strict=True)
        if support.fix is Fix.NEVER
    ]
    return Profile(
        key=key,
        name=head.profile,
        revision=head.revision,
        measured_on=head.measured.on,
        tolerance_mm=head.measured.tolerance,
        datum=head.datum,
        unit=head.unit,
        variant=variant,
        variants=tuple(head.variants),
        spaces=make.spaces,
        panels=tuple(make.panel(item) for item in make.items("panels", PanelFile)),
        keep_outs=(*keep_outs, *keep_outs_of_lines(never, keep_outs)),
        members=tuple(make.member(item) for item in make.items("members", MemberFile)),
        supports=supports,
        covers=tuple(
            Cover(item.name, item.space, make.points(item.area), item.fasteners, item.assumed)
            for item in make.items("covers", CoverFile)
        ),
        exposed=tuple(
            ExposedArea(item.name, item.space, make.points(item.area))
            for item in make.items("exposed", ExposedFile)
        ),
        openings=tuple(make.opening(item) for item in make.items("openings", OpeningFile)),
        terminals=tuple(
            make_terminal(item, make.point(item.at)) for item in make.items("terminals", TerminalFile)
        ),
    )


def make_terminal(item: TerminalFile, at: Point, *, is_place: bool = False) -> Terminal:
    """Return the record of a terminal, of a vehicle or brought along by a job.

    Parameters
    ----------
    item : TerminalFile
        Without faults.
    at : Point
        Where it is. [mm]
    is_place : bool
        Whether a job brings it along.
    """
    return Terminal(
        name=item.name,
        space=item.space,
        at=at,
        height_mm=item.height,
        stud=item.stud,
        faces=item.faces or Faces.UP,
        kind=item.kind,
        pole=item.pole,
        studs=Studs(item.studs.plus, item.studs.minus) if item.studs else None,
        is_place=is_place,
        unit=item.unit,
        is_source=item.source,
        wire=item.wire,
        contact=item.contact,
        short_circuit_a=item.short_circuit,
        assumed_mm=item.assumed,
    )


class _Maker:
    """Turns a vehicle's things as written into records in mm."""

    def __init__(self, vehicle: Vehicle, mm_per_unit: float) -> None:
        self._vehicle = vehicle
        self._mm_per_unit = mm_per_unit
        self.spaces = tuple(
            Space(
                str(entry.name),
                space.height,
                self.points(space.outline),
                space.kind,
                tuple(Step(self.points(step.area), step.height, step.assumed) for step in space.steps),
                space.assumed,
            )
            for entry in vehicle["spaces"]
            for space in (entry.item,)
            if isinstance(space, SpaceFile)
        )
        self._heights_mm: Mapping[str, float] = {space.name: space.height_mm for space in self.spaces}

    def items(self, section: str, model: type[_Item]) -> list[_Item]:
        return [entry.item for entry in self._vehicle[section] if isinstance(entry.item, model)]

    def point(self, point: Point) -> Point:
        return point[0] * self._mm_per_unit, point[1] * self._mm_per_unit

    def points(self, points: list[Point]) -> tuple[Point, ...]:
        return tuple(self.point(point) for point in points)

    def keep_out(self, item: KeepOutFile) -> KeepOut:
        heights = (item.heights[0], item.heights[1]) if item.heights else None
        return KeepOut(
            name=item.name,
            space=item.space,
            hazard=item.hazard,
            shape=self._shape(item),
            heights_mm=heights,
            is_shielded=item.shielded,
            clearance_mm=item.clearance,
            is_guide=item.guide,
            assumed_mm=item.assumed,
        )

    def panel(self, item: PanelFile) -> Panel:
        ends = (self.point(item.along[0]), self.point(item.along[1])) if item.along else None
        area = self.points(item.area) if item.area else None
        between = item.between[0], item.between[1]
        return Panel(item.name, between, item.height, ends, area, item.drill, item.screw, item.assumed)

    def _shape(self, item: KeepOutFile) -> Shape:
        if item.disc is not None:
            return Shape(ShapeKind.DISC, (self.point(item.disc.centre),), item.disc.radius)
        if item.area is not None:
            return Shape(ShapeKind.AREA, self.points(item.area), 0.0)
        assert item.along is not None and item.width is not None  # checked: one of the three is given
        return Shape(ShapeKind.LINE, self.points(item.along), item.width / 2)

    def member(self, item: MemberFile) -> Member:
        along = self.points(item.along)
        passes = tuple(self._pass(each, along, item.width) for each in item.passes)
        return Member(item.name, item.space, along, item.width, passes, item.assumed)

    def _pass(self, item: PassFile, along: tuple[Point, ...], width_mm: float) -> OverPass | ThroughPass:
        if item.over is not None:
            assert item.rise is not None  # checked
            start, end = (on_member(self.point(point), along, width_mm) for point in item.over)
            return OverPass(start, end, item.rise, item.assumed)
        assert item.through is not None and item.bore is not None and item.edge is not None  # checked
        at = on_member(self.point(item.through), along, width_mm)
        return ThroughPass(at, item.bore, item.edge, item.assumed)

    def support(self, item: SupportFile) -> Support:
        height_mm = self._heights_mm[item.space] if item.height is None else item.height
        heights_mm = tuple(item.heights or ())
        if heights_mm:
            height_mm = heights_mm[0]
            heights_mm = heights_mm if len(set(heights_mm)) > 1 else ()
        along = self.points(item.along)
        return Support(item.name, item.space, item.kind, along, height_mm, item.fix, heights_mm, item.assumed)

    def opening(self, item: OpeningFile) -> Opening:
        first, second = item.joins
        height_mm = item.height
        if height_mm is None:
            panel = level_panel_at(self.items("panels", PanelFile), item.joins, item.at)
            half_way_mm = (self._heights_mm[first] + self._heights_mm[second]) / 2
            height_mm = half_way_mm if panel is None or panel.height is None else panel.height
        at = self.point(item.at)
        joins = first, second
        return Opening(item.name, joins, at, height_mm, item.bore, item.edge, item.moves, item.assumed)


def _vehicle_faults(document: Document, vehicle: Vehicle, before: Vehicle | None = None) -> list[Fault]:
    mm_per_unit = mm_per_unit_of(document)
    return [
        *name_faults(document, vehicle),
        *shape_faults(document, vehicle, mm_per_unit, before),
        *contradictions(document, vehicle, mm_per_unit),
    ]


def mm_per_unit_of(document: Document) -> float:
    """Return the file's unit in mm; 1 where it names none that is known, which is a fault of its own."""
    unit: Any = document.data.get("unit")
    return parse_quantity(f"1 {unit}", "length") if unit in FILE_UNITS else 1.0


def _in_variant(fault: Fault, variant: str) -> Fault:
    if fault.where.startswith("variant "):
        return fault
    return replace(fault, where=f'in variant "{variant}", {fault.where}')
