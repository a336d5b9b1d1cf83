"""A good route broken in one known way: for lessons, and to study what the review finds.

Nothing here asks the review whether a rule is broken: each fault is made so that it must be, by its own plain
geometry. One function a kind; each gives None where a run has no place for it.
"""

from __future__ import annotations

from router.lessons.broken import wrong_details, wrong_lines
from router.lessons.broken.good_runs import Broken, GoodRun, Way

__all__ = ["WAYS_TO_BREAK", "Broken", "GoodRun"]

WAYS_TO_BREAK: dict[str, Way] = {
    "clearance": wrong_lines.too_near,
    "loop": wrong_details.loop_near_moving,
    "apart": wrong_lines.too_near_a_run,
    "fixing forbidden": wrong_details.fixed_where_none_may_be,
    "outline": wrong_lines.out_of_the_outline,
    "member": wrong_lines.beside_a_pass,
    "rise": wrong_details.flat_over_a_member,
    "hole": wrong_details.loom_too_thick_for_a_hole,
    "space": wrong_details.beside_an_opening,
    "opening": wrong_details.loom_too_thick_for_an_opening,
    "pass": wrong_details.says_what_it_does_not_pass,
    "continuity": wrong_details.with_a_gap,
    "support": wrong_details.says_what_it_does_not_follow,
    "end": wrong_details.away_from_its_end,
    "avoid": wrong_details.uses_what_is_to_be_avoided,
    "via": wrong_details.misses_its_via,
    "span": wrong_details.held_too_seldom,
    "fixing unfit": wrong_details.fixed_with_the_wrong_kind,
    "fixing out of reach": wrong_details.fixed_to_what_is_out_of_reach,
    "fixing missing": wrong_details.not_held_near,
    "bend": wrong_lines.bent_too_sharply,
    "length": wrong_lines.longer_than_planned,
}
"""By the kind of finding that it must lead to."""
