"""What a finding on the circuit advises is done, word for word: it goes, and nothing comes in its place.

An advice that leads to a worse circuit is the worst that a plan can give. What follows each is plain: the
same rules find nothing more.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from conductor_cases import AUTO, a_circuit_job, a_return, by_name, choose, fuse_of, supply_and_earth
from small_vehicle import a_conductor, a_profile, a_run, default_practice, terminals

from router.conductors import circuit_findings
from router.model.job import Fuse, Job, Run
from router.model.plan import Finding, Severity
from router.model.vehicle import Pole, Profile, Studs, TerminalKind

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


POSTS = {
    "second positive": (TerminalKind.BATTERY_POST, Pole.POSITIVE),
    "second negative": (TerminalKind.BATTERY_POST, Pole.NEGATIVE),
}
POLES = {"inv plus": (TerminalKind.UNIT, Pole.PLUS), "inv minus": (TerminalKind.UNIT, Pole.MINUS)}


def with_unit(poles: dict[str, tuple[TerminalKind, Pole]]) -> Profile:
    """Return a vehicle with the poles of one more unit or battery, measured apart."""
    named = {"battery positive": "M8", "rear earth stud": "M8"} | dict.fromkeys(poles, "M8")
    kinds = {"battery positive": (TerminalKind.BATTERY_POST, Pole.POSITIVE)}
    kinds |= {"rear earth stud": (TerminalKind.EARTH_POINT, None)} | poles  # type: ignore[dict-item]
    made = (
        replace(
            each,
            kind=kinds[each.name][0],
            pole=kinds[each.name][1],
            unit="one" if each.name in poles else None,
        )
        for each in terminals(**named)
    )
    return a_profile(terminals=tuple(made))


def pair(plus: str, minus: str, fuse: Fuse, *, says_load: bool = False) -> tuple[Run, Run]:
    """Return a supply that ends on `plus` and what leads from `minus` to the earth point."""
    back = a_conductor("earth", load_a=9.0) if says_load else a_return("earth", "supply")
    return (
        replace(SUPPLY, end=plus, fuse=fuse),
        a_run("earth", minus, "rear earth stud", conductors=(back,), fuse=AUTO if says_load else None),
    )


@pytest.mark.parametrize(
    ("poles", "fuse", "says_load", "kind", "words"),
    [
        (POLES, AUTO, False, "poles", "end supply on inv plus, and earth on inv minus"),
        (POSTS, BOTH, False, "dead short", "end supply on second positive, and earth on second negative"),
        (
            POSTS,
            BOTH,
            True,
            "dead short",
            'earth on second negative, with "returns: supply" in place of a load and fuse',
        ),
    ],
)
def test_crossed_poles_are_one_finding_and_swapping_them_leaves_none(
    poles: dict[str, tuple[TerminalKind, Pole]], fuse: Fuse, says_load: bool, kind: str, words: str
) -> None:
    plus, minus = poles
    (found,) = judged((a_circuit_job(*pair(minus, plus, fuse, says_load=says_load)), with_unit(poles)))
    assert (found.kind, found.severity) == (kind, Severity.MUST)
    assert f"supply ends on {minus}, which is a minus" in found.what
    assert words in found.what
    assert judged((a_circuit_job(*pair(plus, minus, fuse)), with_unit(poles))) == ()


def test_a_supply_alone_on_a_minus_is_told_to_end_on_the_plus() -> None:
    (found,) = judged((a_circuit_job(replace(SUPPLY, end="inv minus")), with_unit(POLES)))
    assert (found.kind, found.severity) == ("poles", Severity.MUST)
    assert "end it on inv plus" in found.what
    left = judged((a_circuit_job(replace(SUPPLY, end="inv plus")), with_unit(POLES)))
    assert [each.kind for each in left] == ["broken return"]  # nothing of the job brought it back before
    assert "from inv minus to an earth" in left[0].what


def test_a_supply_on_an_earth_is_told_to_end_on_a_plus_and_a_return_to_begin_on_a_minus() -> None:
    (found,) = judged((a_circuit_job(replace(SUPPLY, end="rear earth stud")), UNIT))
    assert "end supply on the plus of what it serves" in found.what
    assert 'a conductor to an earth that says "returns: supply"' in found.what
    assert judged((a_circuit_job(SUPPLY, EARTH), UNIT)) == ()
    (found,) = judged((a_circuit_job(*pair("inv plus", "inv plus", AUTO)), with_unit(POLES)))
    assert "take earth off one of its ends, or end it on the minus of what it serves" in found.what
    assert judged((a_circuit_job(*pair("inv plus", "inv minus", AUTO)), with_unit(POLES))) == ()


BUS = vehicle(bus=TerminalKind.STUD, unit=TerminalKind.UNIT)


def meeting(*fused: str, size: str = "4 mm2", feed: Fuse | None = None, thin: str = "1.5 mm2") -> Job:
    """Return supplies of 25 A each that meet on a stud, and a lamp of 10 A behind it."""
    joined = [
        a_run(
            name,
            "battery positive",
            "bus",
            conductors=(a_conductor(name, load_a=0.0, size=size),),
            fuse=Fuse(25.0, is_at_both_ends=name in fused),
        )
        for name in "abc"
    ]
    lamp = a_conductor("feed", load_a=10.0, fed_by="a", size=thin)
    return a_circuit_job(
        *joined,
        a_run("feed", "bus", "unit", conductors=(lamp,), fuse=feed),
        a_run("earth", "unit", "rear earth stud", conductors=(a_return("earth", "feed"),)),
        drop=0.2,
    )


def musts(job: Job) -> list[str]:
    found = choose(job, 500.0, profile=BUS).findings
    return [each.what for each in found if each.severity is not Severity.NOTE]


def test_a_fuse_behind_a_joint_and_one_at_both_ends_of_each_supply_put_it_right() -> None:
    """Three times 25 A on 1.5 mm2; a fault in one of the three is fed by the two others: 50 A on 4 mm2."""
    found = musts(meeting())
    behind = [each for each in found if "the fuses of a, b and c together let 75 A through to feed" in each]
    assert len(behind) == 1
    assert 'write "fuse: auto" in run "feed"' in behind[0]
    back = [each for each in found if 'write "fuse-at-both-ends: true" in run' in each]
    assert len(back) == 3
    assert len(found) == 4
    assert all("together let 50 A through" in each for each in back)
    assert len(musts(meeting(feed=AUTO))) == 3
    assert musts(meeting("a", "b", "c", feed=AUTO)) == []


def test_a_source_whose_minus_is_open_is_asked_for_it() -> None:
    """A charger of which one pole only is joined gives no current (Kirchhoff's current law)."""
    charger = replace(UNIT.terminal("unit"), studs=Studs("M6", "M6"), is_source=True)
    vehicle = with_unit(POSTS)
    vehicle = replace(vehicle, terminals=(*vehicle.terminals, charger))
    charge = a_conductor("charge", load_a=9.0)
    out = a_run("charge", "unit", "second positive", conductors=(charge,), fuse=BOTH)
    own = a_run("own", "second negative", "rear earth stud", conductors=(a_return("own", "charge"),))
    (found,) = judged((a_circuit_job(out, own), vehicle))
    assert (found.kind, found.severity) == ("no return", Severity.SHOULD)
    assert found.fact == "nothing is joined to the minus of unit, and it feeds charge"
    assert 'add a conductor from unit to an earth that says "returns: charge"' in found.what
    back = a_run("back", "unit", "rear earth stud", conductors=(a_return("back", "charge"),))
    assert judged((a_circuit_job(out, own, back), vehicle)) == ()


def test_an_earth_on_the_batterys_post_is_asked_to_go_to_the_body() -> None:
    post = replace(UNIT.terminal("rear earth stud"), name="battery negative", pole=Pole.NEGATIVE)
    post = replace(post, kind=TerminalKind.BATTERY_POST)
    with_post = replace(UNIT, terminals=(*UNIT.terminals, post))
    (found,) = judged((a_circuit_job(SUPPLY, replace(EARTH, end="battery negative")), with_post))
    assert (found.kind, found.severity) == ("earth on post", Severity.SHOULD)
    assert "end it on an earth point of the body" in found.what
    assert "body side" not in found.what
    assert judged((a_circuit_job(SUPPLY, EARTH), with_post)) == ()
    job = a_circuit_job(SUPPLY, replace(EARTH, end="battery negative"))
    named = replace(job, source=replace(job.source, negative_at="battery negative"))
    (found,) = judged((named, with_post))
    assert "a stud on the body side of the battery sensor" in found.what
    stud = replace(post, kind=TerminalKind.STUD, pole=None)
    assert judged((named, replace(with_post, terminals=(*UNIT.terminals, stud)))) == ()


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
