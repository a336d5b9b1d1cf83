"""The bill: everything to fetch for a job, complete enough to buy from, in the order of the work.

counting    entries gathered into lines, spare parts added
conductor_items  the cut list, totals, fuses, terminals, splices, labels
loom_items       loom, tape, heat sleeve, grommets, edge guard
packs       packs and reels to order, where a shop says its sizes
holding_items    ties, clips, P-clips and their screws
masses      what each thing weighs; copper and all that is installed
size_sources     where the sizes come from
"""

from router.bill.making import list_entries, make_bill
from router.bill.packs import packs_of

__all__ = ["list_entries", "make_bill", "packs_of"]
