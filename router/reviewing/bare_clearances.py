"""Whether the rules themselves keep a loom away from what it may never touch."""

from __future__ import annotations

from router.model.plan import Finding, FindingKind, Severity
from router.model.practice import Practice, Rule
from router.model.vehicle import NEVER_TOUCHED, KeepOut, Profile
from router.reviewing.clearances import own_tolerance_mm, required_clearance


def review_rules(profile: Profile, practice: Practice) -> tuple[Finding, ...]:
    """Return a finding for each rule, and each keep-out's own clearance, that lets a loom touch harm.

    The profile's measuring tolerance is no clearance: it only says how well the place is known.
    """
    bare: dict[Rule | str, list[KeepOut]] = {}
    for keep_out in profile.keep_outs:
        required_mm, rule = required_clearance(keep_out, profile, practice)
        if keep_out.hazard in NEVER_TOUCHED and required_mm <= own_tolerance_mm(keep_out, profile):
            bare.setdefault(rule or keep_out.name, []).append(keep_out)
    return tuple(_bare(why if isinstance(why, Rule) else None, of_it) for why, of_it in bare.items())


def _bare(rule: Rule | None, keep_outs: list[KeepOut]) -> Finding:
    first, others = keep_outs[0], len(keep_outs) - 1
    whose = f"rule {rule.name}" if rule else "its own clearance"
    more = f" and from {others} more" if others else ""
    what = f"{whose} is 0 mm, so nothing keeps the loom away from {first.name} ({first.hazard.value}){more}"
    asked = "more than 0 mm"
    return Finding(FindingKind.NO_CLEARANCE, Severity.MUST, None, None, what, "", asked, "0 mm", rule)
