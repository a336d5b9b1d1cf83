"""The loom for a bundle: the smallest in the table that both rules allow."""

from __future__ import annotations

import math
from dataclasses import dataclass

from router.errors import NoConductorError
from router.looms.packing import bundle_diameter_mm
from router.model.job import Series
from router.model.practice import Practice
from router.tables import load_table

_LOOM_SERIES = {Series.METRIC: "metric", Series.IEC: "metric", Series.AWG: "inch", Series.SAE: "inch"}
_FILL_KEYS = {1: "fill one", 2: "fill two"}
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class LoomSize:
    """A bundle and the loom that goes over it."""

    bundle_mm: float
    loom: str
    bore_mm: float
    outside_mm: float


def least_bore_mm(outsides_mm: tuple[float, ...], practice: Practice) -> float:
    """Return the least bore that conductors of these outsides need: the larger of two rules.

    References
    ----------
    FAA AC 43.13-1B par. 11-249: bore about 25 % larger than the bundle (practice "loom: bore over bundle").
    NEC (NFPA 70) chapter 9 table 1: share of the bore filled, by count (practice "loom: fill").
    """
    over_bundle_mm = practice.value("loom", "bore over bundle") * bundle_diameter_mm(outsides_mm)
    fill = practice.value("loom", _FILL_KEYS.get(len(outsides_mm), "fill"))
    by_fill_mm = math.sqrt(sum(outside**2 for outside in outsides_mm) / fill)
    return max(over_bundle_mm, by_fill_mm)


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
        if size["bore_mm"] >= needed_mm * (1 - _ROUNDING):
            bundle_mm = bundle_diameter_mm(outsides_mm)
            return LoomSize(bundle_mm, size["name"], size["bore_mm"], size["outside_mm"])
    raise NoConductorError(
        f"{len(outsides_mm)} conductors need a loom of {needed_mm:.1f} mm bore; the largest there is, "
        f"{sizes[-1]['name']}, has {sizes[-1]['bore_mm']:g} mm; divide them between runs that lie apart"
    )
