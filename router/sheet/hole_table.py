"""The holes to drill: where each is, into what and how deep, what lies behind it, and how it is done."""

from __future__ import annotations

from collections.abc import Iterator

from router.facts import heading_words, tolerance_of
from router.model.fixing import Fixing, Hole
from router.model.plan import Plan, RunPlan
from router.model.vehicle import Screw
from router.sheet.figures import count_of, nearest_mm, station, to_side
from router.sheet.markup import Html, table, tick
from router.sheet.trunk_text import fixing_label

_SCREWS = {
    Screw.NUT: "",
    Screw.RIVET_NUT: ", rivet nut",
    Screw.SELF_CUTTING: ", self-cutting",
}


def hole_steps(plan: Plan) -> list[str]:
    """Return what is done about the holes, in its order; nothing where none is drilled."""
    if not plan.holes:
        return []
    count = count_of(len(plan.holes), "hole")
    profile, drilled = plan.profile, {hole.panel for hole in plan.holes}
    good_to_mm = max(
        (tolerance_of(panel, profile) for panel in profile.panels if panel.name in drilled),
        default=profile.tolerance_mm,
    )
    return [
        f"{count} for P-clips marked by the table, which is good to {good_to_mm:g} mm. None "
        "into a member, a rail or high-strength steel.",
        "Behind each mark looked at by eye before drilling: nothing there that the table does not name, and "
        "nothing nearer.",
        "Collar on the drill set to the depth in the table, and not moved.",
        "Each hole deburred, its swarf taken away, its bare metal primed; sealed with its screw in, and a "
        "grommet wherever anything goes through.",
    ]


def hole_table(plan: Plan) -> Html:
    """Return a table of all holes, their places measured from the vehicle's datum."""
    rows = [
        _row(plan, run, fixing, fixing.hole)
        for run in plan.runs
        for fixing in run.own_fixings
        if fixing.hole is not None
    ]
    caption = (
        f"Holes to drill, mm from: {plan.profile.datum}. Stations in m. Depth from the panel's face, at most"
    )
    heads = ("No.", "Run", "Station", "Panel", "Along", "Across", "Height", "Drill", "Behind it")
    return table(caption, heads, rows, prose=(8,))


def _row(plan: Plan, run: RunPlan, fixing: Fixing, hole: Hole) -> tuple[object, ...]:
    x_mm, y_mm, z_mm = hole.start
    return (
        tick(fixing_label(plan, run, fixing)),
        run.name,
        station(fixing.station_mm),
        hole.panel,
        to_side(x_mm, "behind", "ahead"),
        to_side(y_mm, "right", "left"),
        f"{nearest_mm(z_mm):.0f}",
        f"{hole.diameter_mm:g} {_direction(hole)}, {hole.depth_mm:.0f} deep{_SCREWS[hole.screw]}",
        ", ".join(_behind(hole)) or "nothing measured near",
    )


def _direction(hole: Hole) -> str:
    ahead = [(end - start) / hole.depth_mm for start, end in zip(hole.start, hole.end, strict=True)]
    if abs(ahead[2]) > max(abs(ahead[0]), abs(ahead[1])):
        return "up" if ahead[2] > 0 else "down"
    return heading_words((ahead[0], ahead[1], ahead[2]))


def _behind(hole: Hole) -> Iterator[str]:
    """Yield what lies behind a hole, the nearest first; distances rounded down, never up."""
    for each in hole.behind:
        asked = f"{each.required_mm:.0f} mm asked"
        yield f"{each.keep_out} ({each.hazard}) {int(each.actual_mm)} mm away, {asked}"
