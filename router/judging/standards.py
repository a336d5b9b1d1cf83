"""Standard routes: a route approved for a model, and what changed under it since."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import replace
from typing import TypeAlias

from router.model.job import Job, Run
from router.model.practice import Practice
from router.model.review import (
    Approval,
    ApprovedClearance,
    ApprovedUse,
    ChangeKind,
    DrawnRoute,
    DrawnRun,
    JudgedRun,
    Judgement,
    RouteChange,
)
from router.model.vehicle import Member, Opening, Profile, Support, Terminal

WORTH_TELLING_MM = 0.5
"""A margin that changed by less is not reported."""
Usable: TypeAlias = Member | Opening | Support | Terminal


def approve(judgement: Judgement, by: str, on: str) -> DrawnRoute:
    """Return a judged route as a standard route: who approved it, on which day, and against what.

    Parameters
    ----------
    judgement : Judgement
        The judged route.
    by : str
        Name of the person who approves it.
    on : str
        Day of the approval, as YYYY-MM-DD.

    Raises
    ------
    ValueError
        Where a must-rule is broken; nobody can approve that.
    """
    if not judgement.stands:
        raise ValueError("a must-rule is broken; put the route right first")
    near = tuple(
        (
            run.drawn.route.run,
            tuple(
                ApprovedClearance(
                    check.keep_out,
                    round(check.required_mm, 3),
                    round(check.margin_mm, 3),
                    _fingerprint_of(judgement.profile.keep_out(check.keep_out)),
                )
                for check in run.clearances
            ),
        )
        for run in judgement.runs
    )
    profile, drawn = judgement.profile, judgement.drawn
    used = tuple(
        (run.drawn.route.run, tuple(_used_by(run.drawn, judgement.job.run(run.drawn.route.run), profile)))
        for run in judgement.runs
    )
    looms = {run.drawn.route.run: run.loom_diameter_mm for run in judgement.runs}
    runs = tuple(replace(run, loom_diameter_mm=round(looms[run.route.run], 3)) for run in drawn.runs)
    print_ = fingerprint(judgement.job, profile, judgement.practice, replace(drawn, runs=runs))
    return replace(drawn, runs=runs, approval=Approval(by, on, profile.revision, print_, near, used))


def fingerprint(job: Job, profile: Profile, practice: Practice, drawn: DrawnRoute) -> str:
    """Return sixteen letters and digits that differ where the route, vehicle, rules or job differ.

    Names of files do not count.

    Parameters
    ----------
    job : Job
        What is to be installed.
    profile : Profile
        The vehicle.
    practice : Practice
        The rules and their values.
    drawn : DrawnRoute
        The route: points to 1e-7 mm, fixings, loops.
    """
    runs = [
        (
            run.route.run,
            [
                (p.space, p.along, *(round(each, 7) for each in (p.x_mm, p.y_mm, p.z_mm)))
                for p in run.route.points
            ],
            [(f.kind, f.support, round(f.station_mm, 3)) for f in run.fixings],
            [(loop.station_mm, loop.spare_mm) for loop in run.loops],
        )
        for run in drawn.runs
    ]
    rules = sorted((each.name, each.value) for each in practice.rules.values())
    asked = replace(job, key="", profile="", practice=None)
    return _digest((runs, replace(profile, key=""), rules, asked), 16)


def changes_under(judgement: Judgement) -> Iterator[RouteChange]:
    """Yield what changed under a standard route since it was approved."""
    profile, drawn = judgement.profile, judgement.drawn
    approval = drawn.approval
    assert approval is not None  # asked for standard routes only
    count = 0
    if approval.revision != profile.revision:
        count += 1
        words = f"profile: approved for revision {approval.revision}, this is revision {profile.revision}"
        yield RouteChange(ChangeKind.REVISION, None, words)
    near, used = dict(approval.near), dict(approval.used)
    for run in judgement.runs:
        name = run.drawn.route.run
        for change in (
            *_changes_near(run, near.get(name, ()), profile),
            *_changes_used(name, used.get(name, ()), profile),
        ):
            count += 1
            yield change
    now = fingerprint(judgement.job, profile, judgement.practice, drawn)
    if not count and now != approval.fingerprint:
        words = "something in the route, the vehicle, the rules or the job differs from what was approved"
        yield RouteChange(ChangeKind.CONTENT, None, words)


def _changes_near(
    run: JudgedRun, approved: tuple[ApprovedClearance, ...], profile: Profile
) -> Iterator[RouteChange]:
    name, known = run.drawn.route.run, {keep_out.name: keep_out for keep_out in profile.keep_outs}
    now = {check.keep_out: check for check in run.clearances}
    for each in approved:
        keep_out, check = known.get(each.keep_out), now.get(each.keep_out)
        if keep_out is None:
            yield RouteChange(ChangeKind.GONE, name, f"{each.keep_out} is gone")
            continue
        if _fingerprint_of(keep_out) != each.fingerprint:
            yield RouteChange(ChangeKind.MOVED, name, f"{each.keep_out} was moved or changed")
        if check is None:
            yield RouteChange(ChangeKind.MARGIN, name, f"{each.keep_out} is no longer near")
            continue
        if abs(check.required_mm - each.required_mm) > WORTH_TELLING_MM:
            words = (
                f"{each.required_mm:.0f} mm was required of {each.keep_out}, now {check.required_mm:.0f} mm"
            )
            yield RouteChange(ChangeKind.REQUIRED, name, words)
        if abs(check.margin_mm - each.margin_mm) > WORTH_TELLING_MM:
            verb = "fell" if check.margin_mm < each.margin_mm else "rose"
            words = (
                f"margin to {each.keep_out} {verb} from {each.margin_mm:.0f} mm to {check.margin_mm:.0f} mm"
            )
            yield RouteChange(ChangeKind.MARGIN, name, words)
    before = {each.keep_out for each in approved}
    for keep_out_name, check in now.items():
        if keep_out_name not in before:
            words = f"{keep_out_name} is new near the route, margin {check.margin_mm:.0f} mm"
            yield RouteChange(ChangeKind.NEW, name, words)


def _changes_used(run: str, approved: tuple[ApprovedUse, ...], profile: Profile) -> Iterator[RouteChange]:
    """Yield the members, openings, supports and terminals under a run that are gone or not as they were."""
    now = {(what, each.name): each for what, things in _things_to_use(profile) for each in things}
    for each in approved:
        thing = now.get((each.what, each.name))
        if thing is None:
            yield RouteChange(ChangeKind.GONE, run, f"{each.what} {each.name} is gone")
        elif _fingerprint_of(thing) != each.fingerprint:
            yield RouteChange(ChangeKind.MOVED, run, f"{each.what} {each.name} was moved or changed")


def _used_by(drawn: DrawnRun, run: Run, profile: Profile) -> Iterator[ApprovedUse]:
    """Yield what a run passes, follows, is fixed to and ends at, each thing once."""
    passed = {passage.name for passage in drawn.route.passages}
    held = {fixing.support for fixing in drawn.fixings} | {point.along for point in drawn.route.points}
    names = passed | held | {run.start, run.end}
    for what, things in _things_to_use(profile):
        yield from (
            ApprovedUse(what, each.name, _fingerprint_of(each)) for each in things if each.name in names
        )


def _things_to_use(profile: Profile) -> tuple[tuple[str, tuple[Usable, ...]], ...]:
    return (
        ("member", profile.members),
        ("opening", profile.openings),
        ("support", profile.supports),
        ("terminal", profile.terminals),
    )


def _fingerprint_of(thing: object) -> str:
    return _digest(thing, 8)


def _digest(what: object, letters: int) -> str:
    spelt = repr(what).replace(", assumed_mm=None", "")  # as approved before a part could be assumed
    return hashlib.sha256(spelt.encode("utf-8", "backslashreplace")).hexdigest()[:letters]
