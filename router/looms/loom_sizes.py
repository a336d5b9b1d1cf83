"""The loom for a bundle: the smallest in the table that both rules allow."""

from __future__ import annotations

import math
from dataclasses import dataclass

from router.errors import NoConductorError
from router.model.conductor_choice import Reason
from router.model.job import Series
from router.model.practice import Practice, Rule
from router.plane import bundle_diameter_mm
from router.tables import load_table
from router.tolerances import RELATIVE_ROUNDING

_LOOM_SERIES = {Series.METRIC: "metric", Series.IEC: "metric", Series.AWG: "inch", Series.SAE: "inch"}
_FILL_KEYS = {1: "fill one", 2: "fill two"}


@dataclass(frozen=True, slots=True)
class LoomSize:
    """A bundle and the loom that goes over it."""

    bundle_mm: float
    loom: str
    bore_mm: float
    outside_mm: float
    reasons: tuple[Reason, ...] = ()


def least_bore_mm(outsides_mm: tuple[float, ...], practice: Practice) -> float:
    """Return the least bore that conductors of these outsides need: the larger of two rules.

    References
    ----------
    FAA AC 43.13-1B par. 11-249: bore about 25 % larger than the bundle (practice "loom: bore over bundle").
    NEC (NFPA 70) chapter 9 table 1: share of the bore filled, by count (practice "loom: fill").
    """
    return max(_over_bundle_mm(outsides_mm, practice), _by_fill_mm(outsides_mm, practice))


def _over_bundle_mm(outsides_mm: tuple[float, ...], practice: Practice) -> float:
    return practice.value("loom", "bore over bundle") * bundle_diameter_mm(outsides_mm)


def _by_fill_mm(outsides_mm: tuple[float, ...], practice: Practice) -> float:
    return math.sqrt(sum(outside**2 for outside in outsides_mm) / _fill_rule(outsides_mm, practice).value)


def _fill_rule(outsides_mm: tuple[float, ...], practice: Practice) -> Rule:
    return practice.rule("loom", _FILL_KEYS.get(len(outsides_mm), "fill"))


def loom_for(outsides_mm: tuple[float, ...], practice: Practice, series: Series = Series.METRIC) -> LoomSize:
    """Return the smallest loom for conductors of these outside diameters.

    Parameters
    ----------
    outsides_mm : tuple of float
        Outside diameters of all conductors in it, one or more. [mm]
    practice : Practice
        Group "loom".
    series : Series
        Which sizes the job buys: inch loom beside AWG and SAE conductors, metric beside the others.

    Raises
    ------
    NoConductorError
        Where the largest loom of the table is too small.
    """
    needed_mm = least_bore_mm(outsides_mm, practice)
    sizes = load_table("loom")[_LOOM_SERIES[series]]["sizes"]
    for size in sizes:
        if size["bore_mm"] >= needed_mm * (1 - RELATIVE_ROUNDING):
            bundle_mm = bundle_diameter_mm(outsides_mm)
            reasons = _reasons(outsides_mm, practice, size["name"], _LOOM_SERIES[series])
            return LoomSize(bundle_mm, size["name"], size["bore_mm"], size["outside_mm"], reasons)
    raise NoConductorError(
        f"{len(outsides_mm)} conductors need a loom of {needed_mm:.1f} mm bore; the largest there is, "
        f"{sizes[-1]['name']}, has {sizes[-1]['bore_mm']:g} mm; divide them between runs that lie apart"
    )


def _reasons(
    outsides_mm: tuple[float, ...], practice: Practice, name: str, series: str
) -> tuple[Reason, ...]:
    """Return what led to a loom: the bundle, the bore by either rule, which of the two decides, the size."""
    bundle_mm, count = bundle_diameter_mm(outsides_mm), len(outsides_mm)
    over, fill = practice.rule("loom", "bore over bundle"), _fill_rule(outsides_mm, practice)
    over_mm, fill_mm = _over_bundle_mm(outsides_mm, practice), _by_fill_mm(outsides_mm, practice)
    packed = "1 conductor" if count == 1 else f"{count} conductors packed in a circle"
    how = "least circle" if count <= 3 else "a real packing, no smaller than the best one"
    decides = "this decides" if over_mm >= fill_mm else "the fill decides"
    table = load_table("loom")[series]
    return (
        Reason(f"bundle {bundle_mm:.1f} mm: {packed}", f"geometry ({how})", "published"),
        Reason(
            f"bore at least {over_mm:.1f} mm: {over.value:g} times the bundle; {decides}",
            over.source,
            over.status.value,
        ),
        Reason(
            f"bore at least {fill_mm:.1f} mm: no more than {100 * fill.value:g} % of it filled",
            fill.source,
            fill.status.value,
        ),
        Reason(f"{name} is the smallest that is no smaller", table["source"], table["status"]),
    )
