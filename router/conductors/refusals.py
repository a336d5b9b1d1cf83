"""What a refusal says where drop allows no size: how much is lost, to what, and which change would do."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from router.conductors.cable_sizes import Size
from router.conductors.circuit import Carrier
from router.conductors.drop_limits import drop_limit_words
from router.conductors.limits import is_within
from router.conductors.question import ElectricalQuestion

_MOST_OFFERED_PERCENT = 10.0
"""A drop beyond this is offered nobody, whatever the load bears (46 CFR 183.340(p))."""
_LEAST_SHARE = 0.5
"""A load of less than this share of its own is another unit, and no advice."""
_USUAL_V = (12.0, 24.0, 48.0)


def place_words(carrier: Carrier) -> str:
    """Return where in the job a conductor is."""
    return f'run "{carrier.run.name}", conductor "{carrier.name}"'


def too_much_drop(question: ElectricalQuestion, loads: Sequence[str]) -> str:
    """Return that no size keeps loads' loops within their drop limits; of the worst, by how much."""
    load = max(loads, key=lambda each: _lost_v(question, each) / max(question.drop_limit_v(each), 1e-9))
    thickest, lost_v = _thickest(question, load), _lost_v(question, load)
    others = ", ".join(each for each in loads if each != load)
    nominal_v = question.job.source.nominal_v
    named = [
        f"{name} at {size.label}"
        for name, size in thickest.items()
        if question.circuit.by_name[name].conductor.size
    ]
    best = question.options(question.circuit.by_name[load])[-1].label
    changes = ", or ".join(_less_drop(question, load, thickest, lost_v))
    return (
        f"{place_words(question.circuit.by_name[load])}: drop: the limit is "
        f"{drop_limit_words(question, load)}, and the loop loses {lost_v:.3g} V "
        f"({100 * lost_v / nominal_v:.3g} %) even in {best}, the thickest of the series {question.job.series}"
        + (f", with {', '.join(named)} as the job names" if named else "")
        + f"; joints and vehicle body are {_fixed_v(question, load, thickest):.3g} V of it"
        + _fixed_words(question)
        + _fuse_words(question, load)
        + ". "
        + f"What would do: {changes}"
        + (f"; besides, {others} lose too much" if others else "")
    )


def _thickest(question: ElectricalQuestion, load: str) -> dict[str, Size]:
    """Return the sizes with which a load's loop loses the least: as the job names them, else the thickest."""
    loop = question.circuit.loop(load)
    return {each.name: question.fixed_size(each) or question.options(each)[-1] for each in loop}


def _lost_v(question: ElectricalQuestion, load: str) -> float:
    return question.loop_drop_v(load, _thickest(question, load))


def _fixed_words(question: ElectricalQuestion) -> str:
    """Return what a joint and the body count, and whether somebody measured it."""
    source = question.job.source
    crimp = f" and {1000 * question.crimp_m:.3g} mm of its conductor" if question.crimp_m > 0 else ""
    words = []
    for name, ohm, more, measured in (
        ("a joint", question.contact_ohm, crimp, source.joint_ohm),
        ("the body", question.body_ohm, "", source.body_ohm),
    ):
        status = "as the job says" if measured is not None else "the practice's, nobody measured it"
        words.append(f"{name} {1000 * ohm:.3g} mohm{more}, {status}")
    return f" ({'; '.join(words)})"


def _fixed_v(question: ElectricalQuestion, load: str, sizes: Mapping[str, Size]) -> float:
    """Return what joints and the vehicle's body lose, in V."""
    return question.body_drop_v(load) + question.joints_drop_v(load, sizes)


def _fuse_words(question: ElectricalQuestion, load: str) -> str:
    fuse_v = question.fuse_drop_v(load)
    return f", fuses and their holders {fuse_v:.3g} V" if fuse_v > 0 else ""


def _less_drop(
    question: ElectricalQuestion, load: str, sizes: Mapping[str, Size], lost_v: float
) -> Iterator[str]:
    """Yield each single change that brings a loop of the thickest sizes within its limit."""
    yield from _thicker(question, load, sizes)
    yield from less_drop_by_the_rest(question, load, sizes, lost_v)
    nearer = ""
    fixed_v = _fixed_v(question, load, sizes) + question.fuse_drop_v(load)
    if fixed_v < question.drop_limit_v(load):  # else not even a loop of no length would do
        nearer = "a shorter route, or what it feeds nearer to the battery, or "
    higher_v = next((each for each in _USUAL_V if each > question.job.source.nominal_v), None)
    yield nearer + (f"a unit and a source of {higher_v:g} V" if higher_v else "a load of less")


def less_drop_by_the_rest(
    question: ElectricalQuestion, load: str, sizes: Mapping[str, Size], lost_v: float
) -> Iterator[str]:
    """Yield each single change that is none of copper, and brings a loop within its limit.

    Parameters
    ----------
    question : ElectricalQuestion
    load : str
        Whose loop it is.
    sizes : mapping of str to Size
        Of every conductor of the loop, by its name.
    lost_v : float
        What it loses with these sizes. [V]
    """
    nominal_v, over_v = question.job.source.nominal_v, lost_v - question.drop_limit_v(load)
    percent = math.ceil(1000 * lost_v / nominal_v) / 10
    if percent <= _MOST_OFFERED_PERCENT and is_within(
        percent * nominal_v / 100, question.needed_drop_limit_v(load)
    ):
        yield f"limits: drop: {percent:g} %"
    own_a = question.circuit.by_name[load].conductor.load_a
    one_a_loses_v = _loop_ohm(question, load, sizes)
    less_a = math.floor(10 * (own_a - over_v / one_a_loses_v)) / 10
    if less_a >= _LEAST_SHARE * own_a:
        yield f"a load of {less_a:g} A in place of {own_a:.4g} A"
    if is_within(over_v, question.body_drop_v(load)):
        yield "a return path to the source's other pole (source: negative-at) in place of the body"
    fixed_v = _fixed_v(question, load, sizes)
    if fixed_v > over_v:
        share = (fixed_v - over_v) / fixed_v
        values = [f"joint: {_mohm(share * _usual_joint_ohm(question, load, sizes))}"]
        if question.body_drop_v(load) > 0:
            values.append(f"body: {_mohm(share * question.body_ohm)}")
        what = "joints and body" if len(values) > 1 else "joints"
        yield f"{what} measured at no more than source: {{{', '.join(values)}}}"


def _usual_joint_ohm(question: ElectricalQuestion, load: str, sizes: Mapping[str, Size]) -> float:
    """Return what one joint of a loop resists on average, each counted by the current through it."""
    loop = question.circuit.loop(load)
    through_a = sum(question.circuit.current_with_a(load, each) * question.joints(each) for each in loop)
    return question.joints_drop_v(load, sizes) / through_a if through_a > 0 else 0.0


def _thicker(question: ElectricalQuestion, load: str, sizes: Mapping[str, Size]) -> Iterator[str]:
    """Yield for each conductor whose size the job names the thinnest size that would do in its place."""
    limit_v = question.drop_limit_v(load)
    for carrier in question.circuit.loop(load):
        named = question.named_size(carrier)
        enough = (
            size
            for size in question.options(carrier)
            if is_within(question.loop_drop_v(load, {**sizes, carrier.name: size}), limit_v)
        )
        if named is not None and (size := next(enough, None)) is not None:
            yield f"{carrier.name} at {size.label} in place of {named.label}"


def _mohm(ohm: float) -> str:
    return f"{math.floor(100_000 * ohm) / 100:g} mohm"


def _loop_ohm(question: ElectricalQuestion, load: str, sizes: Mapping[str, Size]) -> float:
    """Return what a loop resists to its own load's current, joints and body included, in ohm."""
    loop = question.circuit.loop(load)
    metal = (question.warm_ohm(each, sizes[each.name]) for each in loop)
    body_ohm = question.body_ohm if question.circuit.comes_back_by_body(load) else 0.0
    joints = (question.joints_ohm(each, sizes[each.name]) for each in loop)
    return sum(metal) + sum(joints) + body_ohm
