"""The legend: just what is there, and the names of the keep-outs behind their tags."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import shapely

from router.drawing.labels.labelling import draw_fuse_frame
from router.drawing.layers.hazards import HAZARD_STYLES, draw_hazard
from router.drawing.layers.member_passes import draw_over_sample
from router.drawing.layers.vehicle_layer import ASSUMED_MARK, LARGE, MIDDLE, SMALL, View
from router.drawing.paper import inks, symbols
from router.drawing.paper.frame import Box
from router.drawing.paper.letters import wrap
from router.drawing.paper.pen import Ink, Pen
from router.facts import HAZARD_LETTERS, AssumedPart, assumed_parts, spaces_of
from router.model.fixing import FixingKind
from router.model.plan import BillItem, BillLine, Plan
from router.model.vehicle import Fix, Hazard, KeepOut, Member, Opening, OverPass, Panel, Space, ThroughPass

LINE_MM = 3.95
NEXT_LINE_MM = 3.4
SAMPLE_MM = 9.0
COLUMN_MM = 62.0
HOLDS_OR_COVERS = (
    BillItem.LOOM,
    BillItem.HEAT_SLEEVE,
    BillItem.TAPE,
    BillItem.GROMMET,
    BillItem.EDGE_GUARD,
    BillItem.TIE,
    BillItem.CLIP,
    BillItem.P_CLIP,
    BillItem.SCREW,
)
"""Items of the bill that the map lists too; the sheet and the bill itself have all."""

Sample = Callable[[Pen, Box], None]


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing in the legend: a sample of what is drawn, and lines of words. A heading has no sample."""

    lines: tuple[str, ...]
    sample: Sample | None = None
    is_of_route: bool = False
    """Whether it explains what only a map with its routes has."""

    @property
    def height_mm(self) -> float:
        """Return its height on paper. [mm]"""
        return LINE_MM + (len(self.lines) - 1) * NEXT_LINE_MM


def sign_entries(view: View, plan: Plan | None) -> tuple[Entry, ...]:
    """Return what the lines, shapes and hatches mean, without the names of the keep-outs."""
    hazards = [hazard for hazard in HAZARD_STYLES if _of_hazard(view, hazard)]
    return (
        *(_run_entries(plan) if plan else ()),
        *_thing_entries(view),
        *(_clearance_entries() if plan else ()),
        *(_other_way_entries(plan) if plan else ()),
        Entry(("Keep-outs",)),
        *(_entry(f"{HAZARD_LETTERS[hazard]} {hazard}", _hazard_sample(hazard)) for hazard in hazards),
    )


def name_entries(view: View) -> tuple[Entry, ...]:
    """Return the names of the keep-outs behind their tags, by hazard."""
    entries = [Entry(("Names of the keep-outs",))]
    for hazard in HAZARD_STYLES:
        of_it = sorted(_of_hazard(view, hazard), key=lambda keep_out: int(view.tags[keep_out.name][1:]))
        if of_it:
            names = "; ".join(f"{view.tags[keep_out.name]} {_with_shield(keep_out)}" for keep_out in of_it)
            entries.append(_entry(f"{str(hazard).upper()}: {names}", _hazard_sample(hazard)))
    return tuple(entries)


def bill_entries(plan: Plan) -> tuple[Entry, ...]:
    """Return what holds and covers the looms, of the bill: how many or how much of each, and its kind."""
    lines = [line for line in plan.bill if line.item in HOLDS_OR_COVERS]
    entries = [
        _entry(f"{line.item}: {line.spec}", _quantity_sample(line), is_of_route=True) for line in lines
    ]
    return (Entry(("Bill of ties and loom",), is_of_route=True), *entries) if entries else ()


def legend_entries(view: View, plan: Plan | None) -> tuple[Entry, ...]:
    """Return the whole legend for what this view shows, hazards and names together."""
    signs = sign_entries(view, plan)
    before = signs[: signs.index(Entry(("Keep-outs",)))]
    return (*before, *name_entries(view))


def filled(
    first: tuple[Entry, ...], later: tuple[Entry, ...], height_mm: float
) -> tuple[tuple[Entry, ...], tuple[Entry, ...]]:
    """Return both parts, those entries of the later one moved that the first one's columns hold."""
    if not later:
        return first, later
    columns = len(columns_of(first, height_mm))
    heading, *entries = later
    moved: list[Entry] = []
    for entry in entries:
        if len(columns_of((*first, heading, *moved, entry), height_mm)) <= columns:
            moved.append(entry)
    left = tuple(entry for entry in entries if entry not in moved)
    return (*first, *((heading, *moved) if moved else ())), ((heading, *left) if left else ())


def columns_of(entries: Sequence[Entry], height_mm: float) -> tuple[tuple[Entry, ...], ...]:
    """Return the entries in columns no higher than this; a heading never ends a column."""
    columns: list[list[Entry]] = [[]]
    left = height_mm
    for number, entry in enumerate(entries):
        needed = entry.height_mm
        if entry.sample is None and number + 1 < len(entries):
            needed += entries[number + 1].height_mm
        if needed > left and columns[-1]:
            columns.append([])
            left = height_mm
        columns[-1].append(entry)
        left -= entry.height_mm
    return tuple(tuple(column) for column in columns)


def least_height_mm(entries: Sequence[Entry], columns: int) -> float:
    """Return the least height at which the entries fit a number of columns."""
    even = sum(entry.height_mm for entry in entries) / columns
    height = max(even, LINE_MM + max(entry.height_mm for entry in entries))
    while len(columns_of(entries, height)) > columns:
        height += 1.0
    return height


def fits(entries: Sequence[Entry], width_mm: float, height_mm: float) -> bool:
    """Return whether the entries fit a box of whole columns."""
    columns = int(width_mm / COLUMN_MM)
    return columns > 0 and least_height_mm(entries, columns) <= height_mm


def draw_legend(pen: Pen, box: Box, entries: Sequence[Entry], name: str = "Legend") -> None:
    """Draw the legend in columns, from the box's upper left corner."""
    with pen.group(name, name):
        for number, column in enumerate(columns_of(entries, box.height)):
            y = box.y
            for entry in column:
                _draw_entry(pen, entry, Box(box.x + number * COLUMN_MM, y, COLUMN_MM - 2, entry.height_mm))
                y += entry.height_mm


def _draw_entry(pen: Pen, entry: Entry, box: Box) -> None:
    foot = box.y + 2.95
    if not any(entry.lines):  # of the route, on a blank map
        return
    if entry.sample is None:
        pen.text((box.x, foot), entry.lines[0], size_mm=LARGE, is_bold=True)
        return
    entry.sample(pen, Box(box.x, box.y, SAMPLE_MM, LINE_MM))
    for number, line in enumerate(entry.lines):
        pen.text((box.x + SAMPLE_MM + 1.5, foot + number * NEXT_LINE_MM), line, size_mm=MIDDLE)


def without_route(entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """Return the same entries, each in its place, with nothing in those that explain a route."""
    return tuple(
        replace(entry, lines=("",) * len(entry.lines)) if entry.is_of_route else entry for entry in entries
    )


def _entry(words: str, sample: Sample, *, is_of_route: bool = False) -> Entry:
    return Entry(wrap(words, COLUMN_MM - SAMPLE_MM - 3.5, MIDDLE), sample, is_of_route)


def _run_entries(plan: Plan) -> tuple[Entry, ...]:
    entries = [Entry(("Runs",))]
    for number, run in enumerate(plan.runs):
        prefix = f", fixings {number + 1}-1, …" if number else ""
        entries.append(
            _entry(f"{run.name}: {run.start} to {run.end}{prefix}", _line_sample(inks.run_ink(number)))
        )
    kinds = {fixing.kind for run in plan.runs for fixing in run.own_fixings}
    fused = any(run.fuse for run in plan.runs)
    fuse = (_entry("fuse holder, with its rating", _fuse, is_of_route=True),) if fused else ()
    return (*entries, *fixing_entries(kinds), *fuse)


def line_entry(words: str, ink: Ink) -> Entry:
    """Return an entry for a line."""
    return _entry(words, _line_sample(ink))


def numbered_entry(number: int | None, words: str) -> Entry:
    """Return an entry that has a number for a sample; without one, a place for it."""

    def draw(pen: Pen, box: Box) -> None:
        if number is not None:
            pen.text((box.x, box.y + 2.75), str(number), size_mm=MIDDLE, is_bold=True)

    return _entry(words, draw)


def fixing_entries(kinds: Iterable[FixingKind]) -> tuple[Entry, ...]:
    """Return an entry for each kind of fixing."""
    words = {
        FixingKind.TIE: "tie round a support",
        FixingKind.CLIP: "clip on a support",
        FixingKind.P_CLIP: "P-clip: drill and screw",
    }
    return tuple(_entry(words[kind], _fixing_sample(kind), is_of_route=True) for kind in sorted(kinds))


def _thing_entries(view: View) -> tuple[Entry, ...]:
    profile = view.profile
    fixes = {support.fix for support in profile.supports if view.shows(support.space)}
    entries = [Entry(("Vehicle",))]
    words = {
        Fix.TIE: "support: may be tied to",
        Fix.CLIP: "support: clips only",
        Fix.NEVER: "line: never a fixing",
    }
    entries += [_entry(words[fix], _line_sample(inks.SUPPORTS[fix])) for fix in Fix if fix in fixes]
    if any(view.shows(space.name) and space.steps for space in view.profile.spaces):
        entries.append(_entry("step: looms lie higher or lower inside", _line_sample(inks.STEP)))
    if any(panel.along and any(map(view.shows, panel.between)) for panel in view.profile.panels):
        entries.append(_entry("upright panel between spaces", _line_sample(inks.PANEL)))
    if any(view.shows(member.space) for member in profile.members):
        entries.append(_entry("crossmember", _area_sample(inks.MEMBER)))
        entries += _pass_entries([member for member in profile.members if view.shows(member.space)])
    if any(view.shows(cover.space) for cover in profile.covers):
        entries.append(_entry("cover, to be taken down", _area_sample(inks.COVER)))
    if any(view.shows(exposed.space) for exposed in profile.exposed):
        entries.append(_entry("exposed to spray and stones", _area_sample(inks.EXPOSED)))
    if any(view.shows(space) for opening in profile.openings for space in opening.joins):
        entries.append(
            _entry("opening between spaces, bore", lambda pen, box: symbols.draw_opening(pen, _middle(box)))
        )
    entries.append(_entry("terminal; black: a run ends there" if view.used else "terminal", _terminals))
    if any(terminal.is_place and view.shows(terminal.space) for terminal in profile.terminals):
        entries.append(_entry("new: the job brings it along", _place))
    if any(any(map(view.shows, _spaces_with(part, view))) for part in assumed_parts(profile)):
        meaning = f"two dots in a line, {ASSUMED_MARK} at a name: assumed, not measured"
        entries.append(_entry(meaning, _assumed))
    return tuple(entries)


def _spaces_with(part: AssumedPart, view: View) -> tuple[str, ...]:
    """Return the spaces in whose plan a part is drawn; none for a level panel."""
    record = part.of or part.record
    if isinstance(record, Space):
        return (record.name,)
    if isinstance(record, Panel):
        return record.between if record.along else ()
    if isinstance(record, KeepOut):
        return spaces_of(view.profile, record)
    if isinstance(record, Opening):
        return record.joins
    return (str(getattr(record, "space", "")),)


def _assumed(pen: Pen, box: Box) -> None:
    pen.line([(box.x, box.y + 1.8), (box.right, box.y + 1.8)], inks.as_assumed(inks.OUTLINE))


def _pass_entries(members: Sequence[Member]) -> Iterator[Entry]:
    passes = [pass_ for member in members for pass_ in member.passes]
    if any(isinstance(pass_, OverPass) for pass_ in passes):
        yield _entry("may be passed over here", _over)
    if any(isinstance(pass_, ThroughPass) for pass_ in passes):
        yield _entry("hole in a crossmember, bore", lambda pen, box: symbols.draw_hole(pen, _middle(box)))


def _over(pen: Pen, box: Box) -> None:
    draw_over_sample(pen, (box.x, box.y + 0.7), box.width, box.height - 1.6)


def _clearance_entries() -> tuple[Entry, ...]:
    return (
        _entry("limit for the loom's middle", _line_sample(inks.CLEARANCE), is_of_route=True),
        _entry("a to e: tightest places, mm (least)", _line_sample(inks.DIMENSION), is_of_route=True),
    )


def _other_way_entries(plan: Plan) -> tuple[Entry, ...]:
    if not any(run.alternatives for run in plan.runs):
        return ()
    words = "other route: see the sheet for why not"
    return (_entry(words, _line_sample(inks.ALTERNATIVE), is_of_route=True),)


def _of_hazard(view: View, hazard: Hazard) -> list[KeepOut]:
    return [
        keep_out
        for keep_out in view.profile.keep_outs
        if keep_out.hazard is hazard and any(map(view.shows, spaces_of(view.profile, keep_out)))
    ]


def _with_shield(keep_out: KeepOut) -> str:
    return f"{keep_out.name} (shielded)" if keep_out.is_shielded else keep_out.name


def _middle(box: Box) -> tuple[float, float]:
    return box.x + box.width / 2, box.y + box.height / 2 - 0.1


def _line_sample(ink: Ink) -> Sample:
    def draw(pen: Pen, box: Box) -> None:
        pen.line([(box.x, box.y + 1.8), (box.right, box.y + 1.8)], ink)

    return draw


def _area_sample(ink: Ink) -> Sample:
    return lambda pen, box: pen.box(box.x, box.y + 0.5, box.width, box.height - 1.2, ink)


def _hazard_sample(hazard: Hazard) -> Sample:
    def draw(pen: Pen, box: Box) -> None:
        draw_hazard(pen, shapely.box(box.x, box.y + 0.3, box.right, box.bottom - 0.5), hazard)

    return draw


def sample_entry(words: str, sample: Sample) -> Entry:
    """Return an entry with a sample of its own."""
    return _entry(words, sample)


def _quantity_sample(line: BillLine) -> Sample:
    words = f"{line.quantity:g} m" if line.unit == "m" else f"{line.quantity:g}"
    return lambda pen, box: pen.text((box.right, box.y + 2.75), words, size_mm=MIDDLE, anchor="end")


def _fixing_sample(kind: FixingKind) -> Sample:
    return lambda pen, box: symbols.draw_fixing(pen, _middle(box), kind)


def _fuse(pen: Pen, box: Box) -> None:
    draw_fuse_frame(pen, Box(box.x + 1.0, box.y + 0.4, box.width - 2.0, 2.8))
    pen.text((box.x + box.width / 2, box.y + 2.7), "A", size_mm=SMALL, is_bold=True, anchor="middle")


def _place(pen: Pen, box: Box) -> None:
    symbols.draw_terminal(pen, _middle(box), is_end=True, is_place=True)


def _terminals(pen: Pen, box: Box) -> None:
    x, y = _middle(box)
    symbols.draw_terminal(pen, (x - 2.2, y), is_end=False)
    symbols.draw_terminal(pen, (x + 2.2, y), is_end=True)
