"""What a refusal says where drop allows no size: how much is lost, to what, and which change would do."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from router.conductors.cable_sizes import Size
from router.conductors.circuit import Carrier
from router.conductors.limits import is_within
from router.conductors.question import Case


def place_words(carrier: Carrier) -> str:
    """Return where in the job a conductor is."""
    return f'run "{carrier.run.name}", conductor "{carrier.name}"'


def too_much_drop(case: Case, load: str) -> str:
    """Return that no size keeps a load's loop within its drop limit, by how much, and what would do."""
    thickest = {
        carrier.name: case.named_size(carrier) or case.options(carrier)[-1]
        for carrier in case.circuit.loop(load)
    }
    lost_v = case.loop_drop_v(load, thickest)
    nominal_v = case.job.source.nominal_v
    named = [
        f"{name} at {size.label}"
        for name, size in thickest.items()
        if case.circuit.by_name[name].conductor.size
    ]
    best = case.options(case.circuit.by_name[load])[-1].label
    changes = ", or ".join(_less_drop(case, load, thickest, lost_v))
    return (
        f"{place_words(case.circuit.by_name[load])}: drop: the limit is {case.drop_limit_v:.3g} V "
        f"({100 * case.job.limits.drop_fraction:.3g} % of {nominal_v:g} V), and the loop loses "
        f"{lost_v:.3g} V "
        f"({100 * lost_v / nominal_v:.3g} %) even in {best}, the thickest of the series {case.job.series}"
        + (f", with {', '.join(named)} as the job names" if named else "")
        + f"; joints and vehicle body are {case.fixed_drop_v(load):.3g} V of it{_fixed_words(case)}. "
        + f"What would do: {changes}"
    )


def _fixed_words(case: Case) -> str:
    """Return what a joint and the body count, and whether somebody measured it."""
    source = case.job.source
    words = []
    for name, ohm, measured in (
        ("a joint", case.joint_ohm, source.joint_ohm),
        ("the body", case.body_ohm, source.body_ohm),
    ):
        status = "as the job says" if measured is not None else "the practice's, nobody measured it"
        words.append(f"{name} {1000 * ohm:.3g} mohm, {status}")
    return f" ({'; '.join(words)})"


def _less_drop(case: Case, load: str, sizes: Mapping[str, Size], lost_v: float) -> Iterator[str]:
    """Yield each single change that brings a loop of the thickest sizes within its limit."""
    nominal_v, over_v = case.job.source.nominal_v, lost_v - case.drop_limit_v
    yield from _thicker(case, load, sizes)
    if lost_v <= 0.5 * nominal_v:
        yield f"limits: drop: {math.ceil(1000 * lost_v / nominal_v) / 10:g} %"
    own_a = case.circuit.by_name[load].conductor.load_a
    one_a_loses_v = _loop_ohm(case, load, sizes)
    less_a = math.floor(10 * (own_a - over_v / one_a_loses_v)) / 10
    if less_a > 0:
        yield f"a load of {less_a:g} A in place of {own_a:.4g} A"
    if is_within(over_v, case.body_drop_v(load)):
        yield "a return path to the source's other pole (source: negative-at) in place of the body"
    fixed_v = case.fixed_drop_v(load)
    if fixed_v > over_v:
        share = (fixed_v - over_v) / fixed_v
        values = [f"joint: {_mohm(share * case.joint_ohm)}"]
        if case.body_drop_v(load) > 0:
            values.append(f"body: {_mohm(share * case.body_ohm)}")
        yield f"joints and body that measure no more than source: {{{', '.join(values)}}}"
    yield "a shorter route or a higher voltage"


def _thicker(case: Case, load: str, sizes: Mapping[str, Size]) -> Iterator[str]:
    """Yield for each conductor whose size the job names the thinnest size that would do in its place."""
    for carrier in case.circuit.loop(load):
        named = case.named_size(carrier)
        enough = (
            size
            for size in case.options(carrier)
            if is_within(case.loop_drop_v(load, {**sizes, carrier.name: size}), case.drop_limit_v)
        )
        if named is not None and (size := next(enough, None)) is not None:
            yield f"{carrier.name} at {size.label} in place of {named.label}"


def _mohm(ohm: float) -> str:
    return f"{math.floor(100_000 * ohm) / 100:g} mohm"


def _loop_ohm(case: Case, load: str, sizes: Mapping[str, Size]) -> float:
    """Return what a loop resists to its own load's current, joints and body included, in ohm."""
    loop = case.circuit.loop(load)
    metal = (case.surroundings[each.run.name].length_at_20c_m * sizes[each.name].ohm_per_m for each in loop)
    body_ohm = case.body_ohm if case.circuit.comes_back_by_body(load) else 0.0
    return sum(metal) + sum(case.joints_ohm(each) for each in loop) + body_ohm
