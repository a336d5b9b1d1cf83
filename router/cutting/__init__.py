"""How to cut reels and coils: least cost, or least length where there are no prices, with a proven gap.

problem     the question in whole numbers
first_fit   the longest cuts first, each from the first reel with room; what others are compared with
bounds      what no plan can do without
patterns    all of them, where they are few
knapsack    the best that one reel can hold
programme   the best patterns by mixed-integer programming, where its solver is installed
"""

from router.cutting.cut_plans import CutReel, CuttingPlan, cut_reels
from router.cutting.problem import whole_mm

__all__ = ["CutReel", "CuttingPlan", "cut_reels", "whole_mm"]
