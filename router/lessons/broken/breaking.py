"""A good route broken in one known way: for lessons, and to study what the review finds.

Nothing here asks the review whether a rule is broken: each fault is made so that it must be, by its own plain
geometry. One function a kind; each gives None where a run has no place for it.
"""

from __future__ import annotations

from router.lessons.broken import wrong_details, wrong_holes, wrong_lines
from router.lessons.broken.good_runs import Broken, FaultMaker, GoodRun
from router.model.plan import FindingKind

__all__ = ["FAULT_MAKERS", "Broken", "GoodRun"]

FAULT_MAKERS: dict[str, FaultMaker] = {
    FindingKind.CLEARANCE: wrong_lines.too_near,
    FindingKind.LOOP: wrong_details.loop_near_moving,
    FindingKind.APART: wrong_lines.too_near_a_run,
    FindingKind.FIXING_FORBIDDEN: wrong_details.fixed_where_none_may_be,
    FindingKind.DRILLED_HOLE: wrong_holes.drilled_towards_a_body,
    FindingKind.OUTLINE: wrong_lines.out_of_the_outline,
    FindingKind.MEMBER: wrong_lines.beside_a_pass,
    FindingKind.RISE: wrong_details.flat_over_a_member,
    FindingKind.HEIGHT: wrong_details.hung_in_free_air,
    FindingKind.HOLE: wrong_details.loom_too_thick_for_a_hole,
    FindingKind.SPACE: wrong_details.beside_an_opening,
    FindingKind.OPENING: wrong_details.loom_too_thick_for_an_opening,
    FindingKind.PASS: wrong_details.says_what_it_does_not_pass,
    FindingKind.CONTINUITY: wrong_details.with_a_gap,
    FindingKind.SUPPORT: wrong_details.says_what_it_does_not_follow,
    FindingKind.END: wrong_details.away_from_its_end,
    FindingKind.AVOID: wrong_details.uses_what_is_to_be_avoided,
    FindingKind.VIA: wrong_details.misses_its_via,
    FindingKind.SPAN: wrong_details.held_too_seldom,
    FindingKind.FIXING_UNFIT: wrong_details.fixed_with_the_wrong_kind,
    FindingKind.FIXING_OUT_OF_REACH: wrong_details.fixed_to_what_is_out_of_reach,
    FindingKind.FIXING_MISSING: wrong_details.not_held_near,
    FindingKind.DOUBLED: wrong_lines.there_and_back,
    FindingKind.BEND: wrong_lines.bent_too_sharply,
    FindingKind.LENGTH: wrong_lines.longer_than_planned,
}
"""By the kind of finding that it must lead to."""
