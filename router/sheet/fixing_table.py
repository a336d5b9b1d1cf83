"""The table of fixings: where each is on the vehicle, and why it is there."""

from __future__ import annotations

from router.model.fixing import Fixing
from router.model.plan import Plan, RunPlan
from router.model.vehicle import Screw
from router.sheet.figures import nearest_mm, station
from router.sheet.markup import Html, folded, joined, table
from router.sheet.trunk_text import fixing_label

_SCREWS = {
    Screw.NUT: "screw and nut",
    Screw.RIVET_NUT: "screw in a rivet nut",
    Screw.SELF_CUTTING: "self-cutting screw",
}


def fixings_table(plan: Plan) -> Html:
    """Return a folded table of every fixing of every run."""
    tables = (
        table(
            f"Fixings of {run.name}",
            ("No.", "Station, m", "Kind", "On", "Space", "Loom at x, y, z (mm)", "Why there"),
            [_row(plan, run, fixing) for fixing in run.fixings],
        )
        for run in plan.runs
    )
    return folded(f"Every fixing: its place from {plan.profile.datum}, and why it is there", joined(tables))


def _row(plan: Plan, run: RunPlan, fixing: Fixing) -> tuple[str, ...]:
    place = (fixing.x_mm, fixing.y_mm, fixing.z_mm)
    return (
        fixing_label(plan, run, fixing),
        station(fixing.station_mm),
        f"{fixing.kind}, {_SCREWS[fixing.hole.screw]}" if fixing.hole else str(fixing.kind),
        _on(plan, fixing),
        fixing.space,
        ", ".join(f"{nearest_mm(value):.0f}" for value in place),
        fixing.why,
    )


def _on(plan: Plan, fixing: Fixing) -> str:
    """Return what a fixing goes on, and how much higher or lower than the loom that lies.

    At the foot of the step up to a support the loom is still at its space's height, yet in reach of it.
    """
    if fixing.support is None:
        return fixing.on
    above_mm = nearest_mm(
        plan.profile.support(fixing.support).height_at((fixing.x_mm, fixing.y_mm))
    ) - nearest_mm(fixing.z_mm)
    if not above_mm:
        return fixing.on
    return f"{fixing.on}, {abs(above_mm):.0f} mm {'higher' if above_mm > 0 else 'lower'}"
