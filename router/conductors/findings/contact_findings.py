"""Conductors that do not go into the contacts of the connectors in which they end."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from router.conductors.limits import is_within
from router.conductors.question import ElectricalQuestion
from router.conductors.sizing import Sizing
from router.model.plan import Finding, FindingKind, Severity
from router.model.practice import Rule, Status
from router.tables import load_table


def contact_findings(question: ElectricalQuestion, sizings: Sequence[Sizing]) -> Iterator[Finding]:
    """Yield a must for each end that is too thick, or too thin, for the contact that it ends in."""
    families = {row["contact"]: row for row in load_table("terminals")["contacts"]["families"]}
    for sizing in sizings:
        run, conductor = sizing.carrier.run, sizing.carrier.conductor
        for name in (run.start, run.end):
            terminal = question.profile.terminal(name)
            if terminal.contact is not None and not _goes_in(sizing, families[terminal.contact]):
                fact = f"{conductor.name} of {sizing.size.label} does not go into the "
                fact += f"{terminal.contact} contact at {name}"
                yield _unfit(sizing, families[terminal.contact], fact)


def _goes_in(sizing: Sizing, family: Mapping[str, Any]) -> bool:
    area_mm2 = sizing.size.area_mm2
    return is_within(family["from_mm2"], area_mm2) and is_within(area_mm2, family["to_mm2"])


def _unfit(sizing: Sizing, family: Mapping[str, Any], fact: str) -> Finding:
    table = load_table("terminals")["contacts"]
    others = [row["contact"] for row in table["families"] if _goes_in(sizing, row)]
    more = "; no contact of the table takes it: end it on a stud"
    if others:
        more = f"; a connector with {' or '.join(others)} contacts takes it (contact: {others[0]})"
    return Finding(
        FindingKind.CONDUCTOR,
        Severity.MUST,
        sizing.carrier.run.name,
        None,
        fact,
        more,
        f"{family['from_mm2']:g} to {family['to_mm2']:g} mm2",
        f"{sizing.size.area_mm2:.4g} mm2",
        Rule("conductor", "contact", family["to_mm2"], "mm2", table["source"], Status(table["status"])),
    )
