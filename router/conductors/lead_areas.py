"""Whether a trailer lead can be bought: a published one has its own areas, and so have its contacts."""

from __future__ import annotations

from collections.abc import Iterator

from router.conductors.limits import is_within
from router.conductors.question import ElectricalQuestion
from router.conductors.sizing import Sizing
from router.model.conductor_choice import SizeReason
from router.model.plan import Finding, FindingKind, Severity
from router.tables import lead_source

_GAIN = {
    SizeReason.FUSE: "the fuse before it asks for that. Feed it through smaller fuses, each for fewer lamps",
    SizeReason.DROP: "the voltage drop asks for that. Gain it before the lead: a thicker supply and "
    "earth, or the unit that feeds it nearer to the socket",
    SizeReason.AMPACITY: "the current asks for that. Let less lie on one pin",
    SizeReason.JOB: "the job names it. Leave the size out",
}


def lead_area_findings(question: ElectricalQuestion, sizings: tuple[Sizing, ...]) -> Iterator[Finding]:
    """Yield a finding for each published lead of which conductors are thicker than it has them."""
    by_run: dict[str, list[Sizing]] = {}
    for sizing in sizings:
        if _is_thicker(question, sizing):
            by_run.setdefault(sizing.carrier.run.name, []).append(sizing)
    for run, thicker in by_run.items():
        yield _finding_of(question, run, thicker)


def _is_thicker(question: ElectricalQuestion, sizing: Sizing) -> bool:
    """Return whether a conductor is thicker than the size of the series nearest to the lead's own area."""
    own_mm2 = question.lead_mm2(sizing.carrier)
    if own_mm2 is None:
        return False
    options = question.options(sizing.carrier)
    nearest = next((size for size in options if is_within(own_mm2, size.area_mm2)), options[-1])
    return not is_within(sizing.size.area_mm2, nearest.area_mm2)


def _finding_of(question: ElectricalQuestion, run: str, thicker: list[Sizing]) -> Finding:
    lead = thicker[0].carrier.run.lead or ""
    source, status = lead_source(lead)
    worst = max(thicker, key=lambda sizing: sizing.size.area_mm2)
    functions = ", ".join(str(sizing.carrier.conductor.function) for sizing in thicker)
    own_mm2 = sorted({question.lead_mm2(sizing.carrier) or 0.0 for sizing in thicker})
    has = " or ".join(f"{area_mm2:g} mm2" for area_mm2 in own_mm2)
    why = _GAIN.get(worst.decided_by, "another rule asks for so much copper")
    return Finding(
        FindingKind.CONDUCTOR,
        Severity.SHOULD,
        run,
        None,
        f"a {lead} cable has {has} for {functions}; this plan takes up to {worst.size.label}, which is not "
        "sold so and does not go into the contacts",
        f"; {why}",
        f"{has} ({source}, {status})",
        worst.size.label,
        None,
    )
