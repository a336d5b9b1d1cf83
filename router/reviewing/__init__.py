"""The independent check of a finished route, the planner's own or one that somebody drew.

It shares no code with the planner: distances are exact, of the shapes as they were measured (`in_space`). One
file a question:

clearances   how near does it come to each keep-out?
beyond_panels from which of them does a panel part it, and where?
crossings    is it inside its spaces, over members at their passes, through openings that are wide enough?
holding      is it held often enough, where it must be, and only where it may be?
drilling     may the holes for its P-clips be made, and is there a panel at all?
rises        does it rise over what it passes over?
lying        does it lie on something, at the height that a loom lies at there?
doubling     does it lie twice on one line?
bends        can the loom be laid through its corners?
loops        can length left loose reach something that may not be touched?
declared     does it pass what its file says?
between_runs do looms that must stay apart keep their distance?
shared_bores is a bore wide enough for all looms through it?
stretches    does a trunk fit that is thicker than the rest?
bare_clearances do the rules keep it away from what it may never touch?
requirements is it whole, between the right terminals, by what was asked and not by what was forbidden?
"""

from router.reviewing.bare_clearances import review_rules
from router.reviewing.between_runs import review_apart
from router.reviewing.crossings import changes_of, crossings_of, passes_at
from router.reviewing.review_tolerances import CLEARANCE_TOLERANCE_MM, LENGTH_TOLERANCE_MM
from router.reviewing.route_review import KINDS, measure_clearances, review_route
from router.reviewing.route_segments import segments_of
from router.reviewing.shared_bores import review_bores
from router.reviewing.stretches import review_stretch

__all__ = [
    "CLEARANCE_TOLERANCE_MM",
    "KINDS",
    "LENGTH_TOLERANCE_MM",
    "changes_of",
    "crossings_of",
    "measure_clearances",
    "passes_at",
    "review_apart",
    "review_bores",
    "review_route",
    "review_rules",
    "review_stretch",
    "segments_of",
]
