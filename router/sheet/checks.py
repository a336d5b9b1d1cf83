"""Acceptance checks: what this job should read on a meter, with blank boxes for what it does read."""

from __future__ import annotations

from collections.abc import Iterator

from router.model.plan import ConductorChoice, Plan, RunPlan
from router.sheet.markup import Html, element, joined, listed, table, tick
from router.tables import load_table

_HEADS = ("Check", "Should read", "No worse than", "Reads", "Source of the limit")
_BLANK = "_" * 10
_Row = tuple[str, str, str, str, str]


def checks_section(plan: Plan) -> Html:
    """Return all checks in the order of the work: before the fuse goes in, with power, afterwards."""
    readings = {
        "before_power": ("Before the fuse goes in", (*_continuity(plan), *_shorts(plan), *_pulls(plan))),
        "with_power": ("With power", (*_at_rest(plan), *_at_loads(plan), *_earth_sides(plan))),
        "afterwards": ("Afterwards", ()),
    }
    parts = []
    for key, (heading, rows) in readings.items():
        entries = load_table("acceptance")[key]
        items = [_check(entry["check"], entry["source"], entry["status"]) for entry in entries]
        parts += [element("h3", heading), table(f"{heading}: readings", _HEADS, rows, (1, 2))]
        parts.append(listed(items, class_="plain"))
    names = ("Fitted by, date", "Checked by, date")
    return joined([*parts, element("div", joined(element("div", name) for name in names), class_="sign")])


def _continuity(plan: Plan) -> Iterator[_Row]:
    for run, choice in _conductors(plan):
        if choice.load_a > 0:
            milliohm = 1000 * choice.own_drop_v / choice.load_a
            check = f"{choice.name} ({run.name}): end to end, both ends free, meter leads nulled"
            yield check, f"{milliohm:.0f} mohm at most", "1 ohm", _BLANK, "common practice, no source"


def _shorts(plan: Plan) -> Iterator[_Row]:
    for run in plan.runs:
        if run.fuse:
            check = f"{run.fuse.conductor} ({run.name}): fuse out, loads unplugged, load side to the body"
            yield check, "open", "open", _BLANK, "common practice, no source"


def _pulls(plan: Plan) -> Iterator[_Row]:
    rule = load_table("acceptance")["pull_test"]
    for run, choice in _conductors(plan):
        fitting = [row["newton"] for row in rule["rows"] if row["area_mm2"] <= choice.area_mm2]
        if fitting:
            check = f"{choice.name} ({run.name}): a crimp made like these in {choice.size}, pulled for 1 min"
            source = f"{rule['source']} ({rule['status']})"
            yield check, "holds", f"{max(fitting):g} N", _BLANK, source


def _at_rest(plan: Plan) -> Iterator[_Row]:
    source = plan.job.source
    check = f"{source.at}: everything off; where it differs, every voltage below differs by as much"
    yield check, f"{source.resting_v:.2f} V", "", _BLANK, "the job"


def _at_loads(plan: Plan) -> Iterator[_Row]:
    """Yield each load by itself, lamp by lamp: its own voltage with every load on."""
    resting_v = plan.job.source.resting_v
    lowest_v = resting_v - plan.job.limits.drop_fraction * plan.job.source.nominal_v
    for run, choice in _conductors(plan):
        own_a = next(each.load_a for each in plan.job.run(run.name).conductors if each.name == choice.name)
        if own_a > 0:
            check = f"{choice.name} ({run.name}): across its load, {own_a:.1f} A, every load on"
            expected = f"{resting_v - choice.drop_v:.2f} V"
            yield check, expected, f"{lowest_v:.2f} V", _BLANK, "the job's drop limit"


def _earth_sides(plan: Plan) -> Iterator[_Row]:
    rule = load_table("acceptance")["earth_side"]
    returns = {each.name for run in plan.job.runs for each in run.conductors if each.returns}
    for run, choice in _conductors(plan):
        if choice.name in returns:
            check = f"{choice.name} ({run.name}): lost along it, {choice.load_a:.1f} A"
            limit_v, source = rule["limit_v"], f"{rule['source']} ({rule['status']})"
            if choice.own_drop_v > limit_v:  # a long one, and its drop is in the job's limit
                limit_v, source = choice.own_drop_v, "this plan"
            yield check, f"{choice.own_drop_v:.2f} V", f"{limit_v:.2f} V", _BLANK, source


def _conductors(plan: Plan) -> Iterator[tuple[RunPlan, ConductorChoice]]:
    return ((run, choice) for run in plan.runs for choice in run.conductors)


def _check(words: str, source: str, status: str) -> Html:
    return tick(joined([words, element("span", f"{source} ({status})", class_="soft")], " "))
