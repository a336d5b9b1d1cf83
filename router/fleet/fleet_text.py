"""A fleet in words and as data: a summary that fits a screen, and JSON for other programs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from router.cutting import CuttingPlan
from router.fleet.report import BrokenRule, Report
from router.writing import Form, RecordFormat

FORMAT = "fleet/1"
RECORDS = RecordFormat({}, {BrokenRule: Form(keys={"names": "vehicles"})})
MOST_LINES = 6
"""Of each list on the screen."""


def fleet_words(report: Report, written: str) -> str:
    """Return what a fleet comes to, in a few lines."""
    lines = [
        f"{report.fleet.name}: {report.vehicles} vehicles, {report.plans} different plans",
        *_limited([
            f"no answer: {each.profile}{_of(each.variant)}, {each.job}: {each.why}"
            for each in report.failures
        ]),
        *_limited([f"cut {item.name}, {item.spec}: {_cutting(item.plan, item.why)}" for item in report.cuts]),
        *_limited([_kit(kit) for kit in report.kits]),
        *_limited([
            f"outlier: {each.profile}{_of(each.variant)}, {each.job}, {each.run}: {each.measure} "
            f"{each.value:.0f} mm, median {each.median:.0f} mm"
            for each in report.outliers
        ]),
        *(f"stock for {name} is used by nothing; is it spelt as in a bill?" for name in report.unused_stock),
        *orphaned_words(report),
        written,
        *must_words(report),
    ]  # fmt: skip
    return "\n".join(lines)


def fleet_json(report: Report) -> dict[str, Any]:
    """Return what a fleet comes to as plain data in the format fleet/1; lengths in mm."""
    return {
        "format": FORMAT,
        "fleet": report.fleet.name,
        "vehicles": report.vehicles,
        "plans": report.plans,
        "no_answers": report.no_answers,
        "break_a_must_rule": report.must,
        "broken_must_rules": RECORDS.write(report.broken),
        "failures": RECORDS.write(report.failures),
        "order": RECORDS.write(report.order),
        "cuts": [
            {"item": c.name, "spec": c.spec, "pieces": c.pieces, "why": c.why, "plan": _plan_data(c.plan)}
            for c in report.cuts
        ],
        "outliers": [
            {
                "measure": o.measure, "job": o.job, "run": o.run, "profile": o.profile, "variant": o.variant,
                "value_mm": round(o.value, 3), "median_mm": round(o.median, 3), "score": round(o.score, 3),
            }
            for o in report.outliers
        ],
    }  # fmt: skip


def must_words(report: Report) -> list[str]:
    """Return a line for each plan in which a must-rule is broken; the count comes last, to be seen."""
    if not report.must:
        return []
    plans = "1 PLAN BREAKS" if report.must == 1 else f"{report.must} PLANS BREAK"
    return [
        *_limited([f"must: {broken_words(each)}" for each in report.broken]),
        f"{plans} A MUST-RULE: put it right before anything is fitted",
    ]


def broken_words(broken: BrokenRule) -> str:
    """Return for which vehicles, in which job and run a must-rule is broken, and what is wrong there."""
    model = f"{broken.profile}{_of(broken.variant)}"
    where = f", run {broken.run}" if broken.run else ""
    at = "" if broken.station_mm is None else f" at {broken.station_mm / 1000:.2f} m"
    return f"{broken.names}: {model}, {broken.job}{where}{at}: {broken.what}"


def orphaned_words(report: Report) -> list[str]:
    """Return a line about folders that belong to no plan of this fleet; empty if there are none."""
    orphaned = report.orphaned_folders
    if not orphaned:
        return []
    named = ", ".join(orphaned[:3])
    if len(orphaned) == 1:
        return [f"1 folder in plans does not belong to this fleet; ignore it: {named}"]
    return [f"{len(orphaned)} folders in plans do not belong to this fleet; ignore them: {named}"]


def quantity_words(quantity: float, unit: str) -> str:
    """Return how much of something: "1 piece", "16 pieces", "4.8 m"."""
    return f"{quantity:g} {unit}{'s' if unit == 'piece' and quantity != 1 else ''}"


def waste_words(plan: CuttingPlan) -> str:
    """Return how much is bought and wasted, beside the figures of first fit."""
    share = plan.waste_mm / plan.bought_mm if plan.bought_mm else 0.0
    words = (
        f"{_reels(plan)}, {plan.bought_mm / 1000:g} m; {plan.waste_mm / 1000:.2f} m ({share:.1%}) left over"
    )
    first_mm = plan.first_fit_mm - plan.used_mm
    if abs(plan.first_fit_mm - plan.bought_mm) < 1 and plan.first_fit_cost <= plan.cost:
        return f"{words}, as with first fit."
    return f"{words}; first fit, longest first: {first_mm / 1000:.2f} m left over."


def gap_words(plan: CuttingPlan, currency: str = "") -> str:
    """Return how near the best possible the cutting is proven to be."""
    if plan.gap <= 1e-9:
        return "Proven: no cutting plan costs less."
    least, cost = _cost(plan, plan.bound, currency), _cost(plan, plan.cost, currency)
    words = f"Proven: no cutting plan comes to less than {least}, {_below(plan):.1%} below this one's {cost}."
    if not plan.is_programmed:
        words += " First fit only: the lengths are too many, or underbody-router[fleet] is not installed."
    return words


def _cutting(plan: CuttingPlan | None, why: str) -> str:
    if plan is None:
        return why
    words = f"{_reels(plan)}, {plan.waste_mm / plan.bought_mm:.1%} left over"
    words += ", proven least" if plan.gap <= 1e-9 else f", the least is at most {_below(plan):.1%} below"
    return f"{words}; {why}" if why else words


def _below(plan: CuttingPlan) -> float:
    """Return how far the proven bound is below what the plan costs, from 0 to 1."""
    return 1 - plan.bound / plan.cost if plan.cost else 0.0


def _cost(plan: CuttingPlan, cost: float, currency: str) -> str:
    if any(cut.reel.price is not None for cut in plan.reels):
        return f"{cost:.2f} {currency}".rstrip()
    return f"{cost / 1000:g} m"


def _reels(plan: CuttingPlan) -> str:
    return f"{plan.reel_count} reel{'' if plan.reel_count == 1 else 's'}"


def _kit(kit: Any) -> str:
    verdict = "one kit serves all" if kit.serves_all else "one kit, with add-ons"
    return f"kit {kit.profile}, {kit.job}: {verdict} ({kit.vehicles} vehicles)"


def _plan_data(plan: CuttingPlan | None) -> dict[str, Any] | None:
    if plan is None:
        return None
    return {
        "reels": plan.reel_count, "bought_mm": plan.bought_mm, "used_mm": plan.used_mm, "cost": plan.cost,
        "bound": plan.bound, "gap": plan.gap, "first_fit_mm": plan.first_fit_mm,
        "first_fit_cost": plan.first_fit_cost,
    }  # fmt: skip


def _of(variant: str) -> str:
    return f" ({variant})" if variant else ""


def _limited(lines: Sequence[str]) -> list[str]:
    if len(lines) <= MOST_LINES:
        return list(lines)
    return [*lines[: MOST_LINES - 1], f"... and {len(lines) - MOST_LINES + 1} more like these"]
