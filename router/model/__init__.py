"""Frozen records, and the glossary: one meaning a word, in code, files, drawings and text.

Everything in here is plain data, complete when made: floats in millimetres, amperes, volts and
degrees Celsius with the unit in the name, tuples in place of lists, no file, no shapely.
Axes follow ISO 4130: x rearward, y to the vehicle's right, z up.

profile     one vehicle model as the shop measured it
kind        what a space, a terminal, a support or a keep-out (its hazard) is, from a closed list; rules go
            by kinds, never by words in a name
space       one sheet of the vehicle in plan, with its outline and lying height; the outline is where
            the loom's centre line may lie
step        a part of a space where a loom lies at another height
panel       metal between two spaces: it parts what lies on its two sides, and may be drilled or not
keep-out    a body in the vehicle's coordinates that a cable must stay away from, with its hazard; it acts in
            every space that no panel parts from it
guide       a keep-out that a cable may follow at its clearance: a brake line
member      a crossmember, passed only where the profile says so
support     a line to fix to; says whether it may be tied to
cover       a panel that shelters what runs above it and must come down for the work
exposed     an area where spray, stones or kerbs reach the loom
opening     a hole from one space into another
terminal    where a run begins or ends
place       a terminal that the job brings along: where a unit will sit, where a new stud will be
job         what to install
run         one cable route between two terminals, carrying one or more conductors
trunk       a part that several runs share; a branch leaves it
bundle      a stretch of line that the same runs lie on all along: one loom; a trunk where they are several
station     distance along a run from its start
clearance   least distance from the outside of the loom to a keep-out, in space
fixing      what holds the loom at a station
allowance   length added to the routed length, with its reason
effort      what the planner minimises: weighted millimetres plus fixed amounts
practice    the rule file, every value with its source
finding     something a person must know about a plan or a route
review      the independent check of any route
"""
