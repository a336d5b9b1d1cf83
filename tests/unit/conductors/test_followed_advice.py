"""What a finding on the circuit advises is done, word for word: it goes, and nothing comes in its place.

An advice that leads to a worse circuit is the worst that a plan can give. What follows each is plain: the
same rules find nothing more.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from conductor_cases import a_circuit_job, a_return, by_name, choose, fuse_of, supply_and_earth
from small_vehicle import a_conductor, a_profile, a_run, default_practice, terminals

from router.conductors import circuit_findings
from router.model.job import Fuse, Job, Run
from router.model.plan import Finding, Severity
from router.model.vehicle import Pole, Profile, TerminalKind

BOTH = Fuse(None, is_at_both_ends=True)
Case = tuple[Job, Profile]


def vehicle(**kinds: TerminalKind | None) -> Profile:
    """Return a vehicle with a battery, an earth and connectors or posts of these kinds."""
    named = {"battery positive": "M8", "rear earth stud": "M8"}
    posts = (TerminalKind.BATTERY_POST, TerminalKind.STUD)
    named |= {name: "M8" if kind in posts else None for name, kind in kinds.items()}  # type: ignore[misc]
    kinds |= {"battery positive": TerminalKind.BATTERY_POST, "rear earth stud": TerminalKind.EARTH_POINT}
    made = [
        replace(each, kind=kinds[each.name], pole=Pole.POSITIVE if kinds[each.name] is posts[0] else None)
        for each in terminals(**named)
    ]
    return a_profile(terminals=tuple(made))


def judged(case: Case) -> tuple[Finding, ...]:
    job, profile = case
    return circuit_findings(job, profile, default_practice(), {run.name: 3000.0 for run in job.runs})


def with_fuse(run: Run, fuse: Fuse | None) -> Run:
    return replace(run, fuse=fuse)


UNIT = vehicle(unit=TerminalKind.UNIT)
TWO = vehicle(unit=TerminalKind.UNIT, other=TerminalKind.UNIT)
SECOND = vehicle(unit=TerminalKind.BATTERY_POST)
SUPPLY, EARTH = supply_and_earth()
BARE = with_fuse(SUPPLY, None)
PAIR = replace(SUPPLY, conductors=(*SUPPLY.conductors, a_conductor("second", load_a=2.0)))
EARTH_OF_PAIR = replace(EARTH, conductors=(a_return("earth", "supply", "second"),))
OWN_RUN = a_run("second", conductors=(a_conductor("second", load_a=2.0),), fuse=Fuse(None))
SPARE = a_run("spare", "battery positive", "other", conductors=(a_conductor("spare", load_a=0.0),))
LAMP = a_run("lamp", "unit", "other", conductors=(a_conductor("lamp", load_a=1.0, fed_by="supply"),))
LAMP_BACK = a_run("lamp back", "other", "rear earth stud", conductors=(a_return("lamp back", "lamp"),))
NEW = replace(UNIT, terminals=tuple(replace(t, is_place=t.name == "unit") for t in UNIT.terminals))
FROM_NEW = replace(SUPPLY, start="unit", end="battery positive")


@pytest.mark.parametrize(
    ("before", "kind", "words", "after"),
    [
        (((BARE, EARTH), UNIT), "no fuse", 'write "fuse: auto" in run "supply"', ((SUPPLY, EARTH), UNIT)),
        (
            ((SUPPLY, EARTH, SPARE), TWO),
            "no fuse",
            'write "fuse: auto" in run "spare"',
            ((SUPPLY, EARTH, with_fuse(SPARE, Fuse(None))), TWO),
        ),
        (
            ((SUPPLY,), SECOND),
            "no fuse",
            'write "fuse-at-both-ends: true" in run "supply"',
            ((with_fuse(SUPPLY, BOTH),), SECOND),
        ),
        (
            ((BARE,), SECOND),
            "no fuse",
            'write "fuse: auto" and "fuse-at-both-ends: true" in run "supply"',
            ((with_fuse(SUPPLY, BOTH),), SECOND),
        ),
        (
            ((PAIR, EARTH_OF_PAIR), UNIT),
            "no fuse",
            'give second a run of its own with "fuse: auto"',
            ((SUPPLY, OWN_RUN, EARTH_OF_PAIR), UNIT),
        ),
        (((SUPPLY,), UNIT), "no return", "add a run from unit to an earth", ((SUPPLY, EARTH), UNIT)),
        (
            ((SUPPLY, replace(EARTH, start="other")), TWO),
            "broken return",
            'add a conductor from unit to other that says "returns: supply"',
            (
                (
                    SUPPLY,
                    replace(EARTH, start="other"),
                    a_run("added", "unit", "other", conductors=(a_return("added", "supply"),)),
                ),
                TWO,
            ),
        ),
        (
            ((SUPPLY, replace(EARTH, end="battery positive")), UNIT),
            "poles",
            "end it on an earth point",
            ((SUPPLY, EARTH), UNIT),
        ),
        (
            ((SUPPLY, EARTH, replace(LAMP, start="rear earth stud"), LAMP_BACK), TWO),
            "no feed",
            "begin or end both at one terminal",
            ((SUPPLY, EARTH, LAMP, LAMP_BACK), TWO),
        ),
    ],
)
def test_what_is_advised_puts_it_right(
    before: tuple[tuple[Run, ...], Profile], kind: str, words: str, after: tuple[tuple[Run, ...], Profile]
) -> None:
    found = judged((a_circuit_job(*before[0]), before[1]))
    of_kind = [each.what for each in found if each.kind == kind]
    assert any(words in each for each in of_kind), [each.what for each in found]
    left = judged((a_circuit_job(*after[0]), after[1]))
    assert kind not in [each.kind for each in left]
    new = {each.kind for each in left} - {each.kind for each in found}
    assert not {each.kind for each in left if each.severity is Severity.MUST and each.kind in new}


def test_a_fuse_at_both_ends_is_two_holders_two_fuses_and_two_more_joints() -> None:
    """Each holder has a splice on either side; the second is as near to its source as the first.

    A joint on 1.5 mm2 (12.7 mohm/m): 0.1 mohm and 0.12 m x 12.7 mohm/m.
    """
    one = choose(a_circuit_job(SUPPLY, EARTH, drop=0.2), 3000.0)
    two = choose(a_circuit_job(with_fuse(SUPPLY, BOTH), EARTH, drop=0.2), 3000.0)
    assert fuse_of(one).stations_mm == (80.0,)
    assert fuse_of(two).stations_mm == (80.0, 3000.0 - 80.0)
    assert fuse_of(two).rating_a == fuse_of(one).rating_a
    more_v = by_name(two)["supply"].own_drop_v - by_name(one)["supply"].own_drop_v
    assert by_name(two)["supply"].size == by_name(one)["supply"].size == "1.5 mm2"
    assert more_v == pytest.approx(2 * (0.0001 + 0.12 * 0.0127) * 9.0, rel=1e-6)


def test_a_holder_sits_at_the_end_that_its_source_is_at_however_the_run_is_written() -> None:
    turned = replace(SUPPLY, start="unit", end="battery positive")
    assert fuse_of(choose(a_circuit_job(turned, EARTH, drop=0.2), 3000.0)).station_mm == 3000.0 - 80.0
