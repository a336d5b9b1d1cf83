"""The conductors trade: which size, which fuse, and why.

comparison     the one place where a figure meets a limit
resistance     copper: area, temperature, stranding, mass
sizes          what can be bought, by series
surroundings   warmth and neighbours along a run
ampacity       what a conductor may carry
circuit        who carries whose current
drop           what is lost on the way, and how conductors share a limit
fuse_limits    how large the fuse before a conductor may be
fuses          standard ratings, colours, holder
short_circuit  how much flows, and how long copper bears it
lamps          what published lamps draw; trailer leads by function
hints          what a job leaves out: a way back, what feeds a branch, a fuse of its own
poles          both poles of a job on one stud
case, protection, sizing, faults, explain, notes, choice: one job through all of it
"""

from router.conductors.choice import choose_conductors
from router.conductors.poles import pole_findings

__all__ = ["choose_conductors", "pole_findings"]
