"""Whether a trailer lead can be bought: a published one has its own areas, and so have its contacts."""

from __future__ import annotations

from collections.abc import Iterator

from router.conductors.limits import is_within
from router.conductors.sizing import Sizing
from router.model.plan import Finding, FindingKind, Severity
from router.tables import lead_source, trailer_lead


def lead_area_findings(sizings: tuple[Sizing, ...]) -> Iterator[Finding]:
    """Yield a finding for each published lead of which the job wants conductors in another size."""
    by_run: dict[str, list[Sizing]] = {}
    for sizing in sizings:
        own_mm2 = _own_mm2(sizing)
        if own_mm2 is not None and not _is_that(own_mm2, sizing.size.area_mm2):
            by_run.setdefault(sizing.carrier.run.name, []).append(sizing)
    for run, others in by_run.items():
        yield _finding_of(run, others)


def _own_mm2(sizing: Sizing) -> float | None:
    run, function = sizing.carrier.run, sizing.carrier.conductor.function
    return trailer_lead(run.lead)[function].area_mm2 if run.lead and function else None


def _is_that(one_mm2: float, other_mm2: float) -> bool:
    return is_within(one_mm2, other_mm2) and is_within(other_mm2, one_mm2)


def _finding_of(run: str, others: list[Sizing]) -> Finding:
    lead = others[0].carrier.run.lead or ""
    source, status = lead_source(lead)
    functions = ", ".join(str(sizing.carrier.conductor.function) for sizing in others)
    own_mm2 = sorted({_own_mm2(sizing) or 0.0 for sizing in others})
    has = " or ".join(f"{area_mm2:g} mm2" for area_mm2 in own_mm2)
    wanted = " and ".join(dict.fromkeys(sizing.size.label for sizing in others))
    return Finding(
        FindingKind.CONDUCTOR,
        Severity.SHOULD,
        run,
        None,
        f"a {lead} cable has {has} for {functions}; the job names {wanted}, which is not sold so",
        "; leave the size out, and gain what it is to gain before the lead; else it is made of single "
        "conductors, and their contacts must take them",
        f"{has} ({source}, {status})",
        wanted,
        None,
    )
