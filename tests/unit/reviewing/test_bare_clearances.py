"""Rules that let a loom touch what burns, cuts or goes off."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_vehicle import a_profile, practice_with

from router.model.plan import Severity
from router.model.vehicle import Hazard, KeepOut, Shape, ShapeKind
from router.reviewing import review_rules

HARM = ("hot", "moving", "fuel", "high-voltage", "airbag")


def body(name: str, hazard: Hazard, own_mm: float | None = None, *, is_shielded: bool = False) -> KeepOut:
    return KeepOut(
        name, "underfloor", hazard, Shape(ShapeKind.DISC, ((0.0, 0.0),), 50.0), None, is_shielded, own_mm
    )


def found(keep_outs: tuple[KeepOut, ...], **changes: float) -> list[tuple[str, Severity]]:
    practice = practice_with({("clearance", key.replace("_", " ")): value for key, value in changes.items()})
    profile = a_profile(keep_outs=keep_outs, tolerance_mm=10.0)
    return [(finding.what, finding.severity) for finding in review_rules(profile, practice)]


@pytest.mark.parametrize("hazard", list(Hazard))
def test_a_clearance_of_0_is_a_must_where_touching_does_harm_whoever_wrote_it(hazard):
    own = found((body("thing", hazard, 0.0),))
    assert [severity for _, severity in own] == [Severity.MUST] * (hazard in HARM)
    assert not found((body("thing", hazard, 0.1), body("other", hazard)))
    by_rule = found((body("one", hazard), body("two", hazard)), **{hazard.value: 0.0})
    assert len(by_rule) == (hazard in HARM)
    assert all("one" in what and "1 more" in what for what, _ in by_rule)


def test_what_is_assumed_is_no_clearance_either():
    thing = replace(body("thing", Hazard.HOT, 0.0), assumed_mm=60.0)
    ((what, _),) = found((thing,))
    assert "its own clearance is 0 mm, so nothing keeps the loom away from thing (hot)" in what
    assert not found((replace(thing, clearance_mm=0.1),))


def test_a_shield_has_a_rule_of_its_own():
    pipes = (body("bare pipe", Hazard.HOT), body("shielded pipe", Hazard.HOT, is_shielded=True))
    assert not found(pipes, sharp=0.0)
    ((what, _),) = found(pipes, hot_shielded=0.0)
    assert "shielded pipe" in what and "hot shielded" in what
