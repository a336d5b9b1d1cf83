"""The conductors trade: which size, which fuse, and why.

limits         the one place where a figure meets a limit
resistance     copper: area, temperature, stranding, mass
cable_sizes    what can be bought, by series
surroundings   warmth and neighbours along a run
ampacity       what a conductor may carry
circuit        who carries whose current
drop           the voltage lost along conductors, and how conductors share a limit
fuse_limits    how large the fuse before a conductor may be
fuses          standard ratings, colours, holder
short_circuit  how much flows, and how long copper bears it
lamps          what published lamps draw; trailer leads by function
hints          what a job could say better: a fuse of its own, a resistance as measured
circuit_findings  the circuit judged, without a plan: dead_shorts, source_protection, returning, unsaid_poles
conductor_reasons, fuse_reasons, rests_on  why each was chosen, and the sources of that
question, protection, sizing, faults, findings, choose: one job through all of it
"""

from router.conductors.choose import choose_conductors
from router.conductors.circuit_findings import circuit_findings

__all__ = ["choose_conductors", "circuit_findings"]
