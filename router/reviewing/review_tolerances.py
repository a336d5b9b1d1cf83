"""Every tolerance of the review, one name a question. The planner has its own, and shares none of these."""

CLEARANCE_TOLERANCE_MM = 1e-6
"""What a clearance, an outline or a band may fall short by before it counts as broken: rounding, no more."""
LENGTH_TOLERANCE_MM = 0.01
"""What stations and spans may differ by: points in a route file are rounded to 0.001 mm."""
STATION_READING_MM = 10.0
"""How closely a station is read off a tape; what is passed is known to the profile's tolerance besides."""
RADIUS_TOLERANCE = 0.01
"""Share of the radius: the chords of an arc drawn in steps of 16 degrees lie 1 % inside it."""
STRAIGHT_RAD = 1e-9
"""A turn less than this is none."""
LISTED_WITHIN_MM = 300.0
"""Keep-outs further from the loom than this are not listed."""
LYING_WITHIN_MM = 100.0
"""How far above or below where looms lie in its space a loom still lies there: sheets are not flat."""
RISE_WITHIN_MM = 300.0
"""How far before what it passes over a loom may begin to rise; how far it may take from height to height."""
CLIMB_WITHIN_MM = 5.0
"""A rise or drop that ends so near to a member belongs to passing it, the profile's tolerance besides."""
LEAST_DOUBLED_MM = 50.0
"""A loom that lies beside itself for less has a sharp corner there, which is asked about by itself."""
