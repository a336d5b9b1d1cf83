"""What a job leaves out is told with the words that put it right; those words are then tried."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from conductor_cases import a_circuit_job, a_return, by_name, choose, fuse_of, supply_and_earth
from small_vehicle import a_conductor, a_run

from router.conductors.cable_sizes import ordinary_sizes
from router.errors import NoConductorError
from router.model.job import Fuse, Job, Run, Series
from router.model.plan import Electrical, Finding, FindingKind, Severity


def of_kind(found: Electrical, kind: str) -> list[Finding]:
    return [finding for finding in found.findings if finding.kind == kind]


def with_lamp(*, fed_by: str | None = "supply", fuse: Fuse | None = None) -> Job:
    """Return an 18 A supply with its earth (a 25 A fuse by 18 x 1.25), and a lamp of 1 A from the unit on."""
    lamp = a_conductor("lamp", load_a=1.0, fed_by=fed_by)
    runs: tuple[Run, ...] = (
        *supply_and_earth(17.0),
        a_run("lamp", "unit", "lamp", conductors=(lamp, a_return("lamp earth", "lamp")), fuse=fuse),
    )
    return a_circuit_job(*runs, series=Series.AWG, drop=0.2, ambient_c={"underfloor": 50.0})


def test_a_load_that_nothing_returns_is_told_and_the_words_put_it_right() -> None:
    """Current flows in a circuit (elementary): a supply alone has none, but through the unit's own body."""
    supply, earth = supply_and_earth()
    (finding,) = of_kind(choose(a_circuit_job(supply, drop=0.05)), "no return")
    assert (finding.severity, finding.run) == (Severity.SHOULD, "supply")
    assert '"returns: supply"' in finding.what
    assert "earthed by its own body" in finding.what
    assert not of_kind(choose(a_circuit_job(supply, earth, drop=0.05)), "no return")


def test_loads_of_one_run_are_told_together() -> None:
    cores = tuple(a_conductor(name, load_a=1.0) for name in ("left", "right"))
    (finding,) = of_kind(choose(a_circuit_job(a_run("lamps", conductors=cores), drop=0.05)), "no return")
    assert '"returns: [left, right]"' in finding.what


def test_an_earth_of_the_feeder_does_not_return_what_lies_beyond_it() -> None:
    """The supply's earth begins at the unit; from the lamp to the unit there is no way back."""
    job = with_lamp()
    bare = replace(job.runs[2], conductors=job.runs[2].conductors[:1])
    without = replace(job, runs=(*job.runs[:2], bare))
    assert [f.run for f in of_kind(choose(without, 1000.0), "no return")] == ["lamp"]
    from_lamp = replace(job.runs[1], start="lamp")
    assert not of_kind(choose(replace(without, runs=(job.runs[0], from_lamp, bare)), 1000.0), "no return")


def test_a_branch_thick_for_its_fuse_is_told_what_a_fuse_of_its_own_would_give() -> None:
    """16 AWG may carry 25 A x sqrt(55 / 75) = 21.4 A (33 CFR 183.425 Table 5), less than 25 A."""
    found = choose(with_lamp(), 1000.0)
    assert (fuse_of(found).rating_a, by_name(found)["lamp"].size) == (25.0, "14 AWG")
    (finding,) = of_kind(found, "own fuse")
    assert finding.severity is Severity.NOTE
    assert '"fuse: auto" in run "lamp"' in finding.what
    assert finding.required == "18 AWG"  # the least in a sheath: 33 CFR 183.425
    tried = choose(with_lamp(fuse=Fuse(None)), 1000.0)
    assert not of_kind(tried, "own fuse")
    assert by_name(tried)["lamp"].size == finding.required
    assert f"{fuse_of(tried, 'lamp').rating_a:g} A" in finding.what


@pytest.mark.parametrize(("length_m", "size"), [(1, "18 AWG"), (50, "16 AWG")])
def test_the_size_told_is_what_the_branch_gets_behind_its_own_fuse(length_m: float, size: str) -> None:
    """Behind a small fuse a long branch is as thick as its drop wants it, not as thin as the fuse allows."""
    lengths_mm = {"supply": 1000.0, "earth": 1000.0, "lamp": 1000.0 * length_m}
    (finding,) = of_kind(choose(with_lamp(), lengths_mm), "own fuse")
    tried = choose(with_lamp(fuse=Fuse(None)), lengths_mm)
    assert finding.required == by_name(tried)["lamp"].size == size


def test_the_way_back_of_a_fused_branch_is_behind_its_own_fuse_alone() -> None:
    found = choose(with_lamp(fuse=Fuse(None)), 1000.0)
    assert by_name(found)["lamp earth"].size == "18 AWG"
    assert not any("25 A" in reason.what for reason in by_name(found)["lamp earth"].reasons)
    assert any("the fuse before it is 25 A" in reason.what for reason in by_name(found)["earth"].reasons)


def test_a_branch_without_a_fuse_is_told_how_to_say_what_feeds_it() -> None:
    (finding,) = of_kind(choose(with_lamp(fed_by=None), 1000.0), "no fuse")
    assert '"fed-by: supply"' in finding.what
    assert '"fuse: auto"' in finding.what
    assert not of_kind(choose(with_lamp(), 1000.0), "no fuse")
    assert not of_kind(choose(with_lamp(fed_by=None, fuse=Fuse(None)), 1000.0), "no fuse")


def test_a_run_that_carries_several_out_is_not_told_of_one_fuse() -> None:
    """A run's fuse sits in its first conductor: the others would stay behind the 25 A fuse."""
    job = with_lamp()
    second = a_conductor("second lamp", load_a=1.0, fed_by="supply")
    both = replace(job.runs[2], conductors=(*job.runs[2].conductors, second))
    assert not of_kind(choose(replace(job, runs=(*job.runs[:2], both)), 1000.0), "own fuse")


LARGE_JOINTS = {("conductor", "connection"): 0.001, ("conductor", "crimp length"): 0.0}


def test_resistances_that_nobody_measured_are_told_where_they_take_most_of_the_drop() -> None:
    """By hand: 20 A through six joints of 1 mohm (two ends each, two at the holder) and a body of 5 mohm.

    20 x (6 x 0.001 + 0.005) is 0.22 V, more than half of 3 % of 12 V, 0.36 V.
    """
    supply, earth = supply_and_earth(20.0)
    job = a_circuit_job(supply, earth)
    (finding,) = of_kind(choose(job, 2000.0, practice=LARGE_JOINTS), FindingKind.ASSUMED_RESISTANCE)
    assert finding.severity is Severity.NOTE
    for words in ("0.22 V of the 0.36 V", "source: joint and body", "source: negative-at"):
        assert words in finding.what
    assert not of_kind(
        choose(a_circuit_job(supply, earth, drop=0.05), 2000.0, practice=LARGE_JOINTS),
        FindingKind.ASSUMED_RESISTANCE,
    )  # 0.30 V are half
    measured = replace(job, source=replace(job.source, joint_ohm=0.001, body_ohm=0.005))
    assert not of_kind(choose(measured, 2000.0, practice=LARGE_JOINTS), FindingKind.ASSUMED_RESISTANCE)
    half = replace(job, source=replace(job.source, joint_ohm=0.001))  # 0.10 V by the body are not half
    assert not of_kind(choose(half, 2000.0, practice=LARGE_JOINTS), FindingKind.ASSUMED_RESISTANCE)


def test_what_those_words_say_makes_the_cable_thinner() -> None:
    supply, earth = supply_and_earth(20.0)
    job = a_circuit_job(supply, earth)
    thick = by_name(choose(job, 2000.0, practice=LARGE_JOINTS))["supply"].area_mm2
    measured = replace(job, source=replace(job.source, joint_ohm=0.0003, body_ohm=0.001))
    to_minus = replace(job, source=replace(job.source, negative_at="rear earth stud"))
    for better in (measured, to_minus):
        assert by_name(choose(better, 2000.0, practice=LARGE_JOINTS))["supply"].area_mm2 < thick


def test_cables_that_drop_does_not_decide_are_not_thick_for_it() -> None:
    sizes = supply_and_earth(20.0, size="25 mm2", earth_size="25 mm2")
    assert not of_kind(choose(a_circuit_job(*sizes), 2000.0), FindingKind.ASSUMED_RESISTANCE)


def test_a_named_fuse_larger_than_its_load_needs_is_a_note_with_the_one_that_would_do() -> None:
    """20 A continuous x 1.25 is 25 A (NEC 210.20(A), from memory), a standard rating; 30 A is the next.

    A careful shop takes either (common practice, no source).
    """
    for rating_a, told in ((60.0, True), (35.0, True), (30.0, False), (25.0, False), (20.0, False)):
        runs = supply_and_earth(20.0, size="25 mm2", earth_size="25 mm2", fuse=Fuse(rating_a))
        found = of_kind(choose(a_circuit_job(*runs, drop=0.2), 2000.0), "large fuse")
        assert [(f.severity, f.required) for f in found] == ([(Severity.NOTE, "25 or 30 A")] if told else [])


def test_a_conductor_that_is_called_as_its_run_is_named_once() -> None:
    """46 CFR 183.340 asks for 16 AWG alone in its loom; 0.75 mm2 is thinner."""
    runs = supply_and_earth(1.0, size="0.75 mm2", earth_size="1.5 mm2")
    alike = of_kind(choose(a_circuit_job(*runs), 500.0), FindingKind.LEAST_SIZE)
    assert [f.fact for f in alike] == ["0.75 mm2 is thinner than a conductor may be here"]
    feed = replace(runs[0].conductors[0], name="feed")
    earth = replace(runs[1], conductors=(a_return("earth", "feed", size="1.5 mm2"),))
    other = of_kind(
        choose(a_circuit_job(replace(runs[0], conductors=(feed,)), earth), 500.0), FindingKind.LEAST_SIZE
    )
    assert [f.fact for f in other] == ["feed: 0.75 mm2 is thinner than a conductor may be here"]


def test_a_refusal_for_drop_names_the_size_that_would_do_and_it_does() -> None:
    """The size that it names is tried: with it there is an answer, with the next thinner one none."""
    thin = a_circuit_job(*supply_and_earth(20.0, size="2.5 mm2"), drop=0.04)
    with pytest.raises(NoConductorError) as refused:
        choose(thin, 4000.0)
    (named,) = re.findall(r"What would do: supply at (\S+ mm2) in place of 2.5 mm2", str(refused.value))
    marks = [size.label for size in ordinary_sizes(Series.METRIC)]
    thinner = marks[marks.index(named) - 1]
    choose(a_circuit_job(*supply_and_earth(20.0, size=named), drop=0.04), 4000.0)
    with pytest.raises(NoConductorError):
        choose(a_circuit_job(*supply_and_earth(20.0, size=thinner), drop=0.04), 4000.0)
