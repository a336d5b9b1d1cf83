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
joined_fuses   what the fuses of supplies that meet let through together
circuit_rules  the circuit judged, without a plan: dead shorts, sources without a fuse, what does not get back
findings       what must be known of what was chosen or named, and what to write instead
conductor_reasons, fuse_reasons, rests_on  why each was chosen, and the sources of that
question, protection, sizing, faults, choose: one job through all of it
"""

from router.conductors.choose import choose_conductors
from router.conductors.circuit_rules.circuit_findings import circuit_findings

__all__ = ["choose_conductors", "circuit_findings"]
