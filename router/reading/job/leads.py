"""Trailer leads in a job file: what a conductor's function says of it, and the faults of functions.

Works on what was written, so that a fault elsewhere in a run does not hide a fault here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from router.errors import Fault
from router.reading.job.lamp_words import LEADS
from router.reading.profile.names_in_profile import unknown
from router.reading.yaml.documents import Document
from router.reading.yaml.wording import Path
from router.tables import LeadConductor, trailer_lead
from router.units import nearest


def lead_conductor(run: Mapping[str, Any], conductor: Mapping[str, Any]) -> LeadConductor | None:
    """Return what the run's lead says of a conductor's function, None where it has none there."""
    if run.get("lead") not in LEADS:
        return None
    return trailer_lead(run["lead"]).get(str(conductor.get("function")))


def returns_of(run: Mapping[str, Any], conductor: Mapping[str, Any]) -> list[str]:
    """Return whom a conductor brings back: as written, else those of its run whose function says so."""
    if "returns" in conductor:
        held = conductor["returns"]
        return [each for each in (held if isinstance(held, list) else [held]) if isinstance(each, str)]
    lead = lead_conductor(run, conductor)
    functions = lead.returns if lead else ()
    others = run.get("conductors")
    return [
        str(other.get("name"))
        for other in (others if isinstance(others, list) else [])
        if isinstance(other, dict) and other.get("function") in functions
    ]


def lead_faults(document: Document) -> Iterator[Fault]:
    """Yield a fault for each function that the run's lead does not have, or that it has twice."""
    runs = document.data.get("runs")
    for number, run in enumerate(runs if isinstance(runs, list) else []):
        held = run.get("conductors") if isinstance(run, dict) else None
        conductors: list[tuple[Path, Mapping[str, Any]]] = [
            (("runs", number, "conductors", index), each)
            for index, each in enumerate(held if isinstance(held, list) else [])
            if isinstance(each, dict)
        ]
        yield from _of_run(document, run, conductors)


def _of_run(
    document: Document, run: Mapping[str, Any], conductors: list[tuple[Path, Mapping[str, Any]]]
) -> Iterator[Fault]:
    used: dict[str, str] = {}
    for path, raw in conductors:
        for key, words in (("lamps", "lamps stand"), ("inverter", "inverter stands")):
            if key in raw and ("load" in raw or (key == "inverter" and "lamps" in raw)):
                yield document.fault((*path, key), f"{words} beside a load; keep one of the two", of_key=True)
        function = raw.get("function")
        if not isinstance(function, str):
            if "colour" not in raw and nearest("colour", tuple(map(str, raw))) is None:
                yield document.fault((*path, "colour"), 'key "colour" is missing; write e.g. colour: red')
            continue
        inner = (*path, "function")
        if "lead" not in run:
            words = (
                "function is one of a lead, and the run has none; give it e.g. lead: 13-pin, or leave it out"
            )
            yield document.fault(inner, words, of_key=True)
        elif run["lead"] in LEADS:
            known = list(trailer_lead(run["lead"]))
            if function not in known:
                yield document.fault(inner, unknown("function", function, known, most=len(known)))
            elif function in used:
                yield document.fault(inner, f'"{function}" is the function of "{used[function]}" already')
            used.setdefault(function, str(raw.get("name")))
