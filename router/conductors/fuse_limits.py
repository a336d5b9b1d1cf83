"""How large the fuse before a conductor may be: where the rule sets differ most."""

from __future__ import annotations

from dataclasses import dataclass

from router.conductors.ampacity import Ampacity
from router.conductors.fuses import smallest_fuse_for
from router.conductors.limits import is_within
from router.model.practice import Practice, Rule


@dataclass(frozen=True, slots=True)
class FuseLimit:
    """The largest rating that protects a conductor, how it comes about, and the rule behind it."""

    amperes: float
    """[A]"""
    words: str
    rule: Rule


def fuse_limit(ampacity: Ampacity, practice: Practice, *, source_v: float = 0.0) -> FuseLimit:
    """Return how large the fuse before a conductor may be; a rating above its share breaks `source_v`.

    A share of what it may carry where it lies, or, where the rules say so, of the table's own value; and the
    next standard rating above that, where the rules allow one and it keeps to their second share.

    References
    ----------
    .. [1] 33 CFR 183.455(c): 150 % of the value in Table 5, whatever the surroundings.
    .. [2] ABYC E-11: no more than ampacity, else the next standard size up to 150 % (as quoted in trade
       literature).
    """
    share, step = practice.rule("fuse", "share of ampacity"), practice.rule("fuse", "next size up")
    base_a, what = ampacity.amperes, "what it may carry"
    if practice.value("fuse", "surroundings") == 0 and ampacity.table is not None:
        base_a, what = ampacity.table.amperes, "the table's value"
    limit_a = base_a * share.value
    words = f"{100 * share.value:g} % of {what}, {base_a:.4g} A"
    above = smallest_fuse_for(limit_a, least_v=source_v)
    if above and limit_a < above.rating_a and is_within(above.rating_a, base_a * step.value):
        return FuseLimit(above.rating_a, f"{words}, and the next standard size up", step)
    return FuseLimit(limit_a, words, share)
