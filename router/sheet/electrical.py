"""Conductors and fuses of the whole job: what was chosen, what decided it, and on demand every step."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from router.model.conductor_choice import ConductorChoice, Reason
from router.model.plan import FindingKind, Plan, RunPlan
from router.sheet.fetch import conductors_of
from router.sheet.figures import at_station, metres, percent, sentence
from router.sheet.finding_list import source_words
from router.sheet.markup import Html, element, folded, group, joined, listed, table
from router.sheet.trunk_text import conductor_name


def electrical_section(plan: Plan) -> Html:
    """Return conductors, what decided each, fuses with their reasons; folded, every step of each choice."""
    returns = {each.name for run in plan.job.runs for each in run.conductors if each.returns}
    rows = [_row(run, choice, is_return=choice.name in returns) for run, choice in conductors_of(plan)]
    heads = ("Conductor", "Size", "Cut", "Load", "May carry", "Lost in the whole loop", "Decided by")
    assumed = (
        sentence(found.what) for found in plan.findings if found.kind == FindingKind.ASSUMED_RESISTANCE
    )
    return joined(
        [
            *(element("p", words) for words in assumed),
            table("Conductors", heads, rows, (2, 3, 4, 5)),
            group(
                element("h3", "What decided the sizes"), listed(_decided(plan), class_="columns"), kind="keep"
            ),
            *(_fuse(run) for run in plan.runs if run.fuse),
            *(_steps(run, choice) for run, choice in conductors_of(plan)),
        ]
    )


def _decided(plan: Plan) -> Iterator[Html]:
    """Yield what decided each size; conductors with the same reason share a line."""
    found: dict[str, list[str]] = {}
    for run, choice in conductors_of(plan):
        if choice.reasons:
            found.setdefault(choice.reasons[-1].what, []).append(conductor_name(run.name, choice.name))
    for what, names in found.items():
        yield joined([element("b", f"{', '.join(names)}:"), sentence(what)], " ")


def _row(run: RunPlan, choice: ConductorChoice, *, is_return: bool) -> tuple[str, ...]:
    unloaded = "return" if is_return else "0 A, live"
    return (
        conductor_name(run.name, choice.name),
        f"{choice.size} {choice.colour}",
        metres(choice.length_mm),
        f"{choice.load_a:.1f} A" if choice.load_a else unloaded,
        f"{choice.ampacity_a:.1f} A",
        f"{choice.drop_v:.2f} V, {percent(choice.drop_fraction)}",
        choice.decided_by,
    )


def _fuse(run: RunPlan) -> Html:
    fuse = run.fuse
    assert fuse is not None
    places = " and ".join(map(at_station, fuse.stations_mm))
    heading = f"Fuse of {run.name}: {fuse.rating_a:g} A ({fuse.colour}) {places}"
    reasons = [sentence(reason.what) for reason in fuse.reasons]
    return joined(
        [
            group(element("h3", heading), listed(reasons, class_="columns"), kind="keep"),
            folded(f"Sources for the fuse of {run.name}", _with_sources(fuse.reasons)),
        ]
    )


def _steps(run: RunPlan, choice: ConductorChoice) -> Html:
    summary = f"{conductor_name(run.name, choice.name)}, {choice.size}: every step, with its source"
    return folded(summary, _with_sources(choice.reasons))


def _with_sources(reasons: Iterable[Reason]) -> Html:
    items = [
        joined([reason.what, element("span", source_words(reason.source, reason.status), class_="soft")], " ")
        for reason in reasons
    ]
    return listed(items) if items else Html("")
