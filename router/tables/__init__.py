"""Published numbers as data: one YAML file a table, every value with its source."""

from router.tables.insulation import (
    ISO,
    SAE,
    insulation_classes_c,
    insulation_key,
    insulation_names,
    insulation_words,
    usual_insulation_c,
)
from router.tables.lamps import (
    LeadConductor,
    known_lamps,
    lamp_currents_a,
    lamp_row,
    lead_source,
    trailer_lead,
)
from router.tables.loading import load_table
from router.tables.voltages import battery_range_v, is_of_battery, is_of_supply, most_planned_v

__all__ = [
    "ISO",
    "SAE",
    "LeadConductor",
    "battery_range_v",
    "insulation_classes_c",
    "insulation_key",
    "insulation_names",
    "insulation_words",
    "is_of_battery",
    "is_of_supply",
    "known_lamps",
    "lamp_currents_a",
    "lamp_row",
    "lead_source",
    "load_table",
    "most_planned_v",
    "trailer_lead",
    "usual_insulation_c",
]
