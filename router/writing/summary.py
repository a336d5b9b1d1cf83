"""A plan in words that fit one screen of 80 by 24: routes, lengths, conductors, fixings, what to look at."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator, Sequence
from pathlib import Path

from router.facts import assumed_parts, course_in_words, still_to_measure, why_not_there
from router.model.plan import Finding, FindingKind, Plan, RunPlan, Severity
from router.units import tape_m

WIDTH = 80
HEIGHT = 23
"""One line less than the screen has: the prompt needs it."""

LEAST_GAP_TOLD = 0.00005
"""A gap below this is none in words."""
_LEAST_FINDINGS = 2
"""Findings that are always shown, where there are any."""


def summarise(plan: Plan, written: Sequence[Path] = ()) -> str:
    """Return what a plan says, in lines of at most 80 characters, at most 23 of them.

    Routes and findings are given in full where there is room, else cut at the end of a line; jobs of many
    runs get one line a run. The sheet has the rest. A broken must-rule is the last line, to be seen.
    """
    head = [_headline(plan), _how_good(plan), ""]
    tail = [*_assumed(plan.findings), *_to_measure(plan), *_written(written), *_broken(plan.findings)]
    room = HEIGHT - len(head) - len(tail)
    findings_room = 1 + min(len(plan.findings), _LEAST_FINDINGS)
    runs = _fitting(
        room - findings_room,
        [line for run in plan.runs for line in _full(plan, run, is_cut=False)],
        [line for run in plan.runs for line in _full(plan, run, is_cut=True)],
        [_short(plan, run) for run in plan.runs],
    )
    findings = _findings(plan.findings, room - len(runs))
    return "\n".join(_cut(line) for line in head + runs + findings + tail)


def _headline(plan: Plan) -> str:
    profile = plan.profile
    variant = f", {profile.variant}" if profile.variant else ""
    return f"{plan.job.name}: {profile.name}{variant}, revision {profile.revision}"


def _how_good(plan: Plan) -> str:
    """Return how much more effort than the best plan the whole job takes at most, rounded up."""
    if plan.gap < LEAST_GAP_TOLD:
        return "proven: no plan for this job takes less effort"
    per_cent = math.ceil(plan.gap * 1000.0 - 1e-6) / 10.0
    return f"proven: at most {per_cent:.1f} % more effort than the best plan for this job"


def _fitting(room: int, *forms: list[str]) -> list[str]:
    """Return the first form that has room; where none has, as much as possible of the last one."""
    for lines in forms:
        if len(lines) <= room:
            return lines
    lines = forms[-1]
    return [*lines[: room - 1], f"... and {len(lines) - room + 1} more runs"]


def _full(plan: Plan, run: RunPlan, *, is_cut: bool) -> list[str]:
    length = run.length
    facts = [
        ("route", course_in_words(run.route)),
        ("length", f"{_m(length.routed_mm)} routed, cut at {_m(length.cut_mm)}"),
        ("conductors", f"{_conductors(run)}; {_fuse(run)}"),
        ("fixings", f"{_fixings(plan, run)}; {_tightest(run)}"),
    ]
    if run.other_ends:
        facts.insert(0, ("why there", "; ".join(_other_ends(run))))
    lines = [f"{run.name}: {run.start} to {run.end}"]
    for name, words in facts:
        line = f"  {name:<12}{words}"
        lines += [_cut(line)] if is_cut else textwrap.wrap(line, WIDTH, subsequent_indent=" " * 14)
    return lines


def _other_ends(run: RunPlan) -> Iterator[str]:
    for other in run.other_ends:
        yield why_not_there(other, run.start if other.is_start else run.end)


def _short(plan: Plan, run: RunPlan) -> str:
    lengths = f"{_m(run.length.routed_mm)}, cut {_m(run.length.cut_mm)}"
    return f"{run.name}: {lengths}; {_conductors(run)}; {_fuse(run)}; {len(run.own_fixings)} fixings"


def _fixings(plan: Plan, run: RunPlan) -> str:
    """Return how many fixings and holes a run adds, and how many fixings earlier runs have for it."""
    own = len(run.own_fixings)
    shared = len(run.fixings) - own
    words = f"{own}, and {shared} shared" if shared else f"{own}"
    holes = len(run.own_holes)
    return f"{words}, {holes} hole{'s' if holes > 1 else ''} to drill" if holes else words


def _conductors(run: RunPlan) -> str:
    return ", ".join(f"{choice.name} {choice.size} {choice.colour}" for choice in run.conductors)


def _fuse(run: RunPlan) -> str:
    if run.fuse is None:
        return "no fuse"
    return f"fuse {run.fuse.rating_a:g} A at {' and '.join(map(_m, run.fuse.stations_mm))}"


def _tightest(run: RunPlan) -> str:
    """Return which clearance has the least margin; the margin is rounded down, never up."""
    if not run.clearances:
        return "no keep-out near"
    check = min(run.clearances, key=lambda check: check.actual_mm - check.required_mm)
    required, actual = f"{check.required_mm:.0f}", f"{check.actual_mm:.0f}"
    return f"tightest: {check.keep_out}, {actual} mm of {required} mm, at {_m(check.station_mm)}"


def _findings(findings: Sequence[Finding], room: int) -> list[str]:
    if not findings:
        return ["findings: none"]
    counts = ", ".join(
        f"{sum(finding.severity is severity for finding in findings)} {severity}" for severity in Severity
    )
    listed = [finding for finding in findings if finding.kind != FindingKind.ASSUMED_RESISTANCE]
    wrapped = [line for finding in listed for line in _wrapped(_finding(finding))]
    if len(wrapped) >= room:
        wrapped = _first_sentences(listed, room - 1)
    return [f"findings: {len(findings)} ({counts})", *wrapped]


def _first_sentences(findings: Sequence[Finding], room: int) -> list[str]:
    """Return as many findings as have room, each a whole sentence, and how many more there are."""
    lines, shown = _shown(findings, room)
    if not shown:
        lines, shown = [_cut(_finding(findings[0], is_short=True))], 1
    left = len(findings) - shown
    return [*lines, f"  and {left} more: see sheet.html"] if left else lines


def _shown(findings: Sequence[Finding], room: int) -> tuple[list[str], int]:
    """Return the lines of the findings that have room beside a line for the others, and how many they are."""
    lines: list[str] = []
    for shown, finding in enumerate(findings):
        words = _wrapped(_finding(finding, is_short=True))
        if len(lines) + len(words) + (shown + 1 < len(findings)) > room:
            return lines, shown
        lines += words
    return lines, len(findings)


def _wrapped(line: str) -> list[str]:
    return textwrap.wrap(line, WIDTH, subsequent_indent=" " * 4)


def _finding(finding: Finding, *, is_short: bool = False) -> str:
    where = "" if finding.station_mm is None else f" at {_m(finding.station_mm)}"
    run = f" {finding.run}{where}:" if finding.run else ""
    what = finding.fact if is_short else finding.what
    return f"  {finding.severity}:{run} {what}"


def _assumed(findings: Sequence[Finding]) -> list[str]:
    """Return why cables are thick where nobody measured it, in full: what follows from it is dear."""
    words = [finding.what for finding in findings if finding.kind == FindingKind.ASSUMED_RESISTANCE]
    return [line for each in words for line in textwrap.wrap(f"note: {each}", WIDTH, subsequent_indent="  ")]


def _to_measure(plan: Plan) -> list[str]:
    """Return how much of what nobody measured the plan hangs on, and the nearest of it, in one line."""
    count = len(assumed_parts(plan.profile))
    if not count:
        return []
    listed = still_to_measure(plan)
    if not listed:
        return [f"assumed: {count} value{'s' * (count > 1)}; this plan hangs on none of them"]
    names = ", ".join(f"{each.name} ({each.assumed_mm:.0f} mm)" for each in listed)
    return [f"still to measure, {len(listed)} of {count} assumed: {names}"]


def _written(paths: Sequence[Path]) -> list[str]:
    if not paths:
        return []
    return [f"written into {paths[0].parent}: {', '.join(path.name for path in paths)}"]


def _broken(findings: Sequence[Finding]) -> list[str]:
    count = sum(finding.severity is Severity.MUST for finding in findings)
    if not count:
        return []
    rules = "1 MUST-RULE IS" if count == 1 else f"{count} MUST-RULES ARE"
    return [f"{rules} BROKEN: put it right before anything is fitted"]


def _m(length_mm: float) -> str:
    return f"{tape_m(length_mm)} m"


def _cut(line: str) -> str:
    return line if len(line) <= WIDTH else f"{line[: WIDTH - 3]}..."
