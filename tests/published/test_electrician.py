"""What a careful electrician says of a job, sane or mad, is what is found: the table in electrician.yaml.

Sources: 33 CFR 183.455 (overcurrent protection of boats) and 183.425 Table 5; ISO 11446-1 and ISO 1724
(trailer leads); ABYC E-11 as quoted in trade literature; the laws of Ohm and Kirchhoff; else a rule of the
trade, which the table names. The expectations are written by hand.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import yaml
from conductor_cases import straight
from small_vehicle import a_passage

from router.conductors import choose_conductors
from router.errors import NoConductorError, UnreadableError
from router.facts import bundles_of
from router.model.plan import Electrical, PassageKind, Severity
from router.reading import read_question
from router.units import parse_quantity

JOBS = yaml.safe_load((Path(__file__).parent / "electrician.yaml").read_text(encoding="utf-8"))
BATTERY = (
    {"name": "battery positive", "kind": "battery post", "pole": "positive", "stud": "M8"},
    {"name": "battery negative", "kind": "battery post", "pole": "negative", "stud": "M8"},
    {"name": "earth point", "kind": "earth point", "stud": "M8"},
)
FACE = {
    "revision": 1, "measured": {"on": "2026-05-01", "tolerance": "1 mm"}, "unit": "mm",
    "datum": "bench end, centre line, floor",
    "spaces": {
        "underfloor": {
            "kind": "underfloor", "height": "400 mm", "outline": [[0, 0], [9000, 0], [9000, 800], [0, 800]],
        }
    },
}  # fmt: skip


def placed(terminals: list[dict[str, Any]], y: float) -> list[dict[str, Any]]:
    return [
        {"space": "underfloor", "at": [100 + 100 * number, y], "height": "400 mm", **each}
        for number, each in enumerate(terminals)
    ]


def files_of(case: dict[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return a case as a job file and a profile file."""
    profile = {"profile": "Bench", **FACE, "terminals": placed([*BATTERY, *case["terminals"]], 100.0)}
    source = {"nominal": "12 V", "resting": "12.6 V", "at": "battery positive", **case.get("source", {})}
    limits = {"drop": "10 %", "ambient": {"underfloor": "30 degC"}, **case.get("limits", {})}
    job = {"job": case["job"], "profile": "bench", "source": source, "runs": case["runs"], "limits": limits}
    job |= {key: case[key] for key in ("series", "insulation", "practice") if key in case}
    profile |= {key: case[key] for key in ("spaces", "supports") if key in case}
    if "places" in case:
        job["places"] = placed(case["places"], 300.0)
    return job, profile


def answer_to(case: dict[str, Any]) -> Electrical:
    """Return what the conductors trade says of a case, on straight routes."""
    job_file, profile_file = files_of(case)
    asked = read_question(job_file, vehicle=profile_file)
    lengths = {run.name: 3000.0 for run in asked.job.runs}
    lengths |= {run: parse_quantity(words, "length") for run, words in case.get("lengths", {}).items()}
    routes, cut = straight(asked.job, lengths)
    for run, words in case.get("passes", {}).items():
        station_mm = parse_quantity(words, "length")
        hole = a_passage(PassageKind.OPENING, "bulkhead", station_mm, station_mm)
        routes = tuple(replace(each, passages=(hole,)) if each.run == run else each for each in routes)
    return choose_conductors(asked.job, asked.profile, asked.practice, routes, bundles_of(routes), cut)


def test_there_are_jobs_and_each_says_why() -> None:
    assert len(JOBS) >= 25
    names = [case["job"] for case in JOBS]
    assert len(set(names)) == len(names)
    assert all(case["why"] and ("finds" in case) is not ("refused" in case) for case in JOBS)


@pytest.mark.parametrize("case", JOBS, ids=[case["job"] for case in JOBS])
def test_it_is_judged_as_an_electrician_would(case: dict[str, Any]) -> None:
    if "refused" in case:
        with pytest.raises((UnreadableError, NoConductorError), match=case["refused"]):
            answer_to(case)
        return
    answer = answer_to(case)
    found = [each for each in answer.findings if each.severity is not Severity.NOTE]
    said = sorted((each.severity.value, each.kind.value) for each in found)
    assert said == sorted((severity, kind) for severity, kind, _ in case["finds"]), [f.what for f in found]
    for severity, kind, words in case["finds"]:
        of_kind = [each.what for each in found if (each.severity, each.kind) == (severity, kind)]
        assert any(words in each for each in of_kind), of_kind
    fuses = {fuse.run: fuse.rating_a for fuse in answer.fuses}
    assert {run: fuses.get(run) for run in case.get("fuses", {})} == case.get("fuses", {})
    sizes = {choice.name: choice.size for choice in answer.conductors}
    assert {name: sizes.get(name) for name in case.get("sizes", {})} == case.get("sizes", {})
