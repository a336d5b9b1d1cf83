"""Where a drop can be gained that a trailer lead's own areas do not leave: before it, or by a shorter one."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from router.conductors.cable_sizes import Size, ordinary_sizes
from router.conductors.circuit import Carrier
from router.conductors.limits import is_within
from router.conductors.question import ElectricalQuestion
from router.conductors.refusals import less_drop_by_the_rest

_STEP_MM = 50.0
"""To which lengths are told."""


def told_together(
    question: ElectricalQuestion, drops: Mapping[str, float]
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return each load that loses too much; of one lead's loads the worst, with the others beside it."""
    over_v = {load: lost_v - question.drop_limit_v(load) for load, lost_v in drops.items()}
    groups: dict[str, list[str]] = {}
    for load, lost_v in drops.items():
        if not is_within(lost_v, question.drop_limit_v(load)):
            carrier = question.circuit.by_name[load]
            is_of_lead = question.lead_size(carrier) is not None
            groups.setdefault(f"lead {carrier.run.name}" if is_of_lead else load, []).append(load)
    worst = ((max(group, key=lambda load: over_v[load]), group) for group in groups.values())
    return tuple((load, tuple(other for other in group if other != load)) for load, group in worst)


def lead_drop_words(question: ElectricalQuestion, load: str, lost_v: float, sizes: Mapping[str, Size]) -> str:
    """Return what a load's lead loses of too great a drop and what would gain it; empty where it has no lead.

    Parameters
    ----------
    question : ElectricalQuestion
    load : str
        Whose drop is above its limit.
    lost_v : float
        What it loses. [V]
    sizes : mapping of str to Size
        Of every conductor, by its name.
    """
    loop = question.circuit.loop(load)
    cores = [each for each in loop if question.lead_size(each) is not None]
    if not cores:
        return ""
    own_v = sum(question.metal_drop_with_v(load, each, sizes[each.name]) for each in cores)
    labels = " and ".join(dict.fromkeys(sizes[each.name].label for each in cores))
    of_cable = f"the {cores[0].run.lead} cable takes {own_v:.3g} V of it"
    words = f"; {of_cable} on {_cut_m(question, cores[0])} of {labels}"
    before = [each for each in loop if each not in cores]
    over_v = lost_v - question.drop_limit_v(load)
    gains = [
        *_thicker(question, load, before, sizes),
        *_nearer(question, load, over_v, own_v, cores[0], before, sizes),
        *_shorter(question, load, over_v, before, sizes),
        *less_drop_by_the_rest(question, load, sizes, lost_v),
    ]
    return f"{words}. What would gain it: {', or '.join(gains)}" if gains else words


def _cut_m(question: ElectricalQuestion, carrier: Carrier) -> str:
    return f"{question.surroundings[carrier.run.name].cut_mm / 1000:.2f} m"


def _thicker(
    question: ElectricalQuestion, load: str, before: list[Carrier], sizes: Mapping[str, Size]
) -> Iterator[str]:
    """Yield the thinnest size that would do for all before the lead, none of them made thinner."""
    for size in ordinary_sizes(question.job.series):
        thicker = [each for each in before if size.ohm_per_m < sizes[each.name].ohm_per_m]
        instead = {**sizes, **dict.fromkeys((each.name for each in thicker), size)}
        if thicker and is_within(question.loop_drop_v(load, instead), question.drop_limit_v(load)):
            yield f"{' and '.join(each.name for each in thicker)} at {size.label}"
            return


def _nearer(
    question: ElectricalQuestion,
    load: str,
    over_v: float,
    own_v: float,
    core: Carrier,
    before: list[Carrier],
    sizes: Mapping[str, Size],
) -> Iterator[str]:
    """Yield how much nearer to the socket the unit would have to sit, its supply longer by as much."""
    cut_mm = question.surroundings[core.run.name].cut_mm
    out = next((each for each in before if not each.is_return), None)
    longer_v_per_mm = 0.0
    if out is not None:
        its_mm = question.surroundings[out.run.name].cut_mm
        longer_v_per_mm = question.metal_drop_with_v(load, out, sizes[out.name]) / its_mm
    gain_v_per_mm = own_v / cut_mm - longer_v_per_mm
    if gain_v_per_mm <= 0.0:
        return
    nearer_mm = math.ceil(over_v / gain_v_per_mm / _STEP_MM) * _STEP_MM
    if nearer_mm < cut_mm:
        yield (
            f"the unit {nearer_mm / 1000:.2f} m nearer to the socket (a lead cut to "
            f"{(cut_mm - nearer_mm) / 1000:.2f} m)"
        )


def _shorter(
    question: ElectricalQuestion, load: str, over_v: float, before: list[Carrier], sizes: Mapping[str, Size]
) -> Iterator[str]:
    """Yield how much shorter the longest conductor before the lead would have to be."""
    if not before:
        return
    longest = max(before, key=lambda each: question.surroundings[each.run.name].cut_mm)
    cut_mm = question.surroundings[longest.run.name].cut_mm
    own_v = question.metal_drop_with_v(load, longest, sizes[longest.name])
    if over_v < own_v:
        left_mm = math.floor(cut_mm * (1 - over_v / own_v) / _STEP_MM) * _STEP_MM
        if left_mm > 0:
            yield f"{longest.name} cut to {left_mm / 1000:.2f} m in place of {cut_mm / 1000:.2f} m"
