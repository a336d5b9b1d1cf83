"""The cautions that fit a vehicle and what is done to it: one list for the map and the sheet.

The words stand for what ANSI Z535 and ISO 3864 mean by them: DANGER, death or serious injury will follow;
WARNING, it could; CAUTION, a lesser injury could; NOTICE, no injury, but something else to heed.
The list itself is `router/tables/cautions.yaml`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from router.model.fixing import FixingKind
from router.model.plan import PassageKind, Plan
from router.model.practice import Status
from router.model.vehicle import Hazard, Profile, TerminalKind
from router.tables import load_table

_LAMP_ENDS = (TerminalKind.LAMP, TerminalKind.TRAILER_SOCKET)
MOST_FIRST = 6
"""Cautions that a reader takes in before the work; more would not be read."""


class SignalWord(StrEnum):
    """How bad it is if a caution is not heeded."""

    DANGER = "DANGER"
    WARNING = "WARNING"
    CAUTION = "CAUTION"
    NOTICE = "NOTICE"


class Work(StrEnum):
    """What a plan has done to the vehicle that calls for a caution, whatever was drawn near it."""

    DRILLING = "drilling"
    MOUNTING = "mounting"
    """A unit or a stud that the job brings along is screwed to something."""
    BATTERY = "battery"
    OPENING = "opening"
    LAMPS = "lamps"
    """A lamp circuit of the vehicle is tapped, or a trailer's lamps are fed."""


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: its signal word, a few words for the map, and a full sentence or two for the sheet."""

    key: str
    word: SignalWord
    short: str
    """Empty where the sheet alone has it."""
    text: str
    opens: bool
    """Whether it is always among the first."""
    source: str
    status: Status


def cautions_for(profile: Profile, plan: Plan | None = None) -> tuple[Caution, ...]:
    """Return the cautions that fit this vehicle and all that a plan does to it, the worst first."""
    there = {keep_out.hazard for keep_out in profile.keep_outs}
    done = set(work_of(plan)) if plan else set()
    return tuple(
        caution
        for caution, hazards, work in _listed()
        if hazards & there or work & done or not (hazards or work)
    )


def cautions_on_map(profile: Profile, plan: Plan | None = None) -> tuple[Caution, ...]:
    """Return what a map's head warns of; the sheet has the rest too."""
    return tuple(caution for caution in cautions_for(profile, plan) if caution.short)


def first_cautions(cautions: Iterable[Caution]) -> tuple[Caution, ...]:
    """Return the few to be read before anything else, in their order; the others come later on the sheet."""
    ranked = tuple(cautions)
    chosen = sorted(ranked, key=lambda caution: not caution.opens)[:MOST_FIRST]
    return tuple(caution for caution in ranked if caution in chosen)


def work_of(plan: Plan) -> tuple[Work, ...]:
    """Return what a plan has done to the vehicle, as far as a caution hangs on it."""
    ends = {plan.profile.terminal(name) for run in plan.runs for name in (run.start, run.end)}
    fixings = [fixing for run in plan.runs for fixing in run.fixings]
    passages = [passage for run in plan.runs for passage in run.route.passages]
    done = {
        Work.DRILLING: any(fixing.kind is FixingKind.P_CLIP or fixing.hole for fixing in fixings),
        Work.MOUNTING: any(terminal.is_place for terminal in ends),
        Work.BATTERY: any(terminal.kind in (TerminalKind.BATTERY_POST, None) for terminal in ends),
        Work.LAMPS: any(terminal.kind in _LAMP_ENDS for terminal in ends),
        Work.OPENING: any(passage.kind is PassageKind.OPENING or passage.hole for passage in passages),
    }
    return tuple(work for work, is_done in done.items() if is_done)


@cache
def _listed() -> tuple[tuple[Caution, frozenset[Hazard], frozenset[Work]], ...]:
    """Return every caution with the hazards and the work that call for it, by signal word, then by rank."""
    order = list(SignalWord)
    rows = sorted(load_table("cautions")["cautions"], key=lambda row: order.index(SignalWord(row["word"])))
    return tuple(
        (
            Caution(
                row["key"],
                SignalWord(row["word"]),
                row.get("short", ""),
                row["text"],
                row.get("opens", False),
                row["source"],
                Status(row["status"]),
            ),
            frozenset(map(Hazard, row.get("hazards", ()))),
            frozenset(map(Work, row.get("work", ()))),
        )
        for row in rows
    )
