"""Every tolerance of the planner: one name a question, its value, and why it is that.

Geometry first, from what rounding can do to what a hand can; the review keeps its own, for it shares no code
with the planner (`router.reviewing.review_tolerances`). The gap that a proof may leave is asked by
planner, door and command. Limits of search, steps and sizes on paper are no tolerances and stand where they
are used.
"""

# rounding of floats

RELATIVE_ROUNDING = 1e-9
"""What a figure may be over its limit, or a count of packs over a whole number, as a share.

Far above what a sum of some hundred floats gathers (1e-14), far below what any instrument reads.
"""
EFFORT_ROUNDING = 1e-12
"""What rounding may take an effort off by, as a share of it: a sum along one path, nothing bought or read."""
SIDE_ERROR = 4.0 * 2.0**-52
"""Bound on the rounding error of a side test, as a share of its products' sizes."""
COST_ROUNDING_MM = 1e-9
"""Taken off every lower bound, added to what is still looked for: a bound stays one in spite of rounding."""
ANGLE_TOLERANCE_RAD = 1e-9
"""How far rounding may put a direction, or a share of an edge: as much more of an edge counts as seen."""
STRAIGHT_RAD = 1e-9
"""A turn smaller than this is none: what rounding makes of a straight line."""

# rounding of coordinates: noded on a grid of 1e-6 mm, grown by a little more than that takes away

GRID_MM = 2.0**-20
"""Grid of noded points, about 1e-6 mm; offsets are made larger by more than it can take away."""
ON_NODED_LINE_MM = 5e-6
"""How far noding and rounding may take a point off the line it lies on: some five steps of the grid."""
OFFSET_ROUNDING_MM = 3e-6
"""Added to every offset, for what noding and rounding may take away."""
COUNTS_FOR_NOTHING_MM = 2e-6
"""More than rounding moves a point, and less than anything counts."""
SAME_PLACE_MM = 1e-6
"""Two places nearer than this are one: more than rounding, far less than anybody measures."""
ON_LINE_MM = 1e-6
"""A place nearer than this to a line, a border or an area is on it; as for two places."""
OUT_OF_FREE_MM = 5e-7
"""How far rounding may put a place beside free ground; offsets are larger than they need be by twice that."""
OUT_OF_REGION_MM = 1e-7
"""How far a leg may stray over the edge of its region by rounding; less than out of free ground, for a
region's neighbour costs otherwise, but is no danger."""
STRAIGHT_MM = 1e-7
"""A place nearer than this to the straight piece between its neighbours says nothing of its own."""
STRAIGHT_ON_SUPPORT_MM = 2e-6
"""The same of a place on a support: noding takes each of the three off it by up to seven tenths of a step
of the grid; offsets have more in reserve, so that nothing comes too near."""
LENGTH_ROUNDING_MM = 1e-6
"""What a sum of lengths may exceed its limit by: rounding of stations, nothing that can be measured."""

# what a file or a route may say twice

ONLY_TOUCHES_MM = 1e-3
"""What lies in a thing for less than this only touches it: route files are rounded to 0.001 mm."""
SAME_STATION_MM = 1e-3
"""Stations this near to each other are one: route files are rounded to 0.001 mm."""
BESIDE_BAND_MM = 0.01
"""How far outside a member's band the ends of a hole's straight way lie, and how near to a pass is on it."""
CLIMB_BESIDE_MM = 5.0
"""A rise or drop that ends so near to a member belongs to passing it, measuring tolerance besides."""
PASSES_MEET_MM = 2.5
"""Ends of passes nearer than this are one: between them no loom lies."""

# what a hand can do

ON_ROUTE_MM = 0.5
"""A fixing this near to a route's line is on it: nobody places one closer."""
SAME_FIXING_MM = 0.5
"""Fixings drawn for two runs of one loom no further apart along it are one, fetched once."""
ONE_LOOM_MM = 0.5
"""Lines no further apart than this are one. A ruler tells no less, so that whoever draws or measures two runs
so near means one line; and it is less than the 0.65 mm that two runs round one corner are apart whose looms
differ by the least step there is (NW8.5 and NW10), so that looms planned side by side stay two."""
SHORTEST_LOOM_MM = 5.0
"""Runs that part for less than this have not parted: a tape tells no less, and no loom is so short."""
PARALLEL = 0.01
"""Sine of the angle up to which two straight pieces are parallel; at a fork they are not."""
LEAST_SPACING_MM = 10.0
"""Fixings are counted as no nearer together than a fixing is wide, whatever spacing a shop writes."""

# what a proof leaves open

DEFAULT_GAP = 0.01
"""How much more effort than the best possible a route may take, if nobody asks for less."""
LEAST_GAP = 1e-4
"""A smaller gap is beyond what a proof by floating-point numbers is good for."""
