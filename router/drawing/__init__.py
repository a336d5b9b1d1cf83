"""The map: one true-scale SVG, the vehicle in plan above, every run unrolled below.

sheet       one page of paper; a map has as many as it needs, one under the other in the same SVG
plan band   the vehicle in plan, seen from below (mirrored) or above
strip band  one run unrolled: station against height
frame       how a place of the vehicle comes to lie on the paper
ink         how a line or a surface is drawn

Everything on paper is in mm of paper, x to the right and y down; one unit of the SVG is one millimetre.
Nothing here depends on what was drawn before: the same plan gives the same bytes.
"""

from router.drawing.map import draw_comparison, draw_judgement, draw_map, draw_profile, draw_ways
from router.drawing.offered_ways import ShownWay

__all__ = ["ShownWay", "draw_comparison", "draw_judgement", "draw_map", "draw_profile", "draw_ways"]
