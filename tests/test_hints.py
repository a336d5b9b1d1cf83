"""What a job leaves out is told with the words that put it right; those words are then tried."""

from __future__ import annotations

from dataclasses import replace

from conductor_cases import a_circuit_job, a_return, by_name, choose, fuse_of, supply_and_earth
from hand_made import a_conductor, a_run

from router.model.job import Fuse, Job, Run, Series
from router.model.plan import Electrical, Finding, Severity


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
