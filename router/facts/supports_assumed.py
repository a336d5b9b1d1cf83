"""Which supports a plan's fixings go on that nobody measured yet."""

from __future__ import annotations

from collections.abc import Iterable

from router.model.fixing import Fixing
from router.model.plan import Finding, FindingKind, Severity
from router.model.vehicle import Profile


def assumed_supports(profile: Profile, fixings: Iterable[Fixing]) -> tuple[Finding, ...]:
    """Return one finding for all fixings on supports that are assumed; none where there are none.

    Parameters
    ----------
    profile : Profile
    fixings : iterable of Fixing
        Of all runs; those that a run shares with an earlier one are counted there.
    """
    assumed_mm = {each.name: each.assumed_mm for each in profile.supports if each.assumed_mm is not None}
    counts: dict[str, int] = {}
    for fixing in fixings:
        if fixing.support in assumed_mm and fixing.shared_with is None:
            counts[fixing.support] = counts.get(fixing.support, 0) + 1
    if not counts:
        return ()
    told = [f"{name} ({assumed_mm[name]:.0f} mm off at most)" for name in counts]
    fixed = "1 fixing goes" if sum(counts.values()) == 1 else f"{sum(counts.values())} fixings go"
    where = f"on {' and '.join(told)}"
    fact = f"{fixed} {where}, which nobody measured yet"
    more = f": before {'it is' if len(told) == 1 else 'they are'} tied to, measure where along and how high"
    more += f" {'it runs' if len(told) == 1 else 'each runs'}"
    kind, asked, found = FindingKind.ASSUMED_SUPPORT, "supports that were measured", "assumed ones"
    return (Finding(kind, Severity.NOTE, None, None, fact, more, asked, found, None),)
