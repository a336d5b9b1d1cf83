"""Published numbers as data: one YAML file a table, every value with its source."""

from router.tables.lamps import (
    LeadConductor,
    known_lamps,
    lamp_currents_a,
    lamp_row,
    lead_source,
    trailer_lead,
)
from router.tables.loading import load_table

__all__ = [
    "LeadConductor",
    "known_lamps",
    "lamp_currents_a",
    "lamp_row",
    "lead_source",
    "load_table",
    "trailer_lead",
]
