"""What follows from the records, each answer worked out in one place; see `router.model` for the words.

Each name is imported when it is first asked for, so that who reads a vehicle reads in nothing of plans.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from router.lazy_names import lazy_names

if TYPE_CHECKING:
    from router.facts.along_route import (
        Placed,
        Position,
        Segment,
        course_in_words,
        heading_words,
        positions_at,
        segments_of,
        station_on,
    )
    from router.facts.ambient import ambient_of
    from router.facts.bundles import (
        bundles_along,
        bundles_of,
        lying_with_earlier,
        station_beside,
    )
    from router.facts.cautions import Caution, SignalWord, cautions_for, cautions_on_map, first_cautions
    from router.facts.clearance import Clearance, MeasuredPart, clearance_of, clearances_of, tolerance_of
    from router.facts.conductor_ends import BODY, ConductorEnds, Node, fused_conductor
    from router.facts.connections import CappedCore, Connection, Joint, capped_cores, connections_of
    from router.facts.crimps import contact_words, crimp_colour, crimp_words, is_wet, is_wet_at
    from router.facts.footprints import core_of, floor_of
    from router.facts.heat_shrink import heat_shrink_words, lead_outside_mm
    from router.facts.joined_supplies import also_feeding
    from router.facts.kinds_unsaid import unsaid_kinds
    from router.facts.lead_cables import LeadCable, LeadCore, lead_cable_of, stiffest_wire_mm, wires_of
    from router.facts.network import Feed, Link, Load, Network, Piece, network_of
    from router.facts.parting import ACTS, Parted, acting_in, bodies_in, own_side, parting_panels, spaces_of
    from router.facts.parts_assumed import (
        AssumedPart,
        PartKind,
        assumed_parts,
        corner_tolerances,
        measured_words,
    )
    from router.facts.passes import passed_name, place_in_words
    from router.facts.poles import Poles, poles_at, stud_of
    from router.facts.profile_differences import compare_profiles
    from router.facts.run_ends import run_as_drawn, runs_by_ends, why_not_there
    from router.facts.service_loops import ServiceLoop, service_loop
    from router.facts.shared_fixings import with_shared
    from router.facts.station_list import list_stations
    from router.facts.supports_assumed import assumed_supports
    from router.facts.tags import HAZARD_LETTERS, fixing_prefix, keep_out_tags, plan_number, slug
    from router.facts.to_measure import (
        ToMeasure,
        assumed_by_nearness,
        runs_hanging_on,
        still_to_measure,
        supports_used,
    )

__all__ = [
    "ACTS",
    "BODY",
    "HAZARD_LETTERS",
    "AssumedPart",
    "CappedCore",
    "Caution",
    "Clearance",
    "ConductorEnds",
    "Connection",
    "Feed",
    "Joint",
    "LeadCable",
    "LeadCore",
    "Link",
    "Load",
    "MeasuredPart",
    "Network",
    "Node",
    "PartKind",
    "Parted",
    "Piece",
    "Placed",
    "Poles",
    "Position",
    "Segment",
    "ServiceLoop",
    "SignalWord",
    "ToMeasure",
    "acting_in",
    "also_feeding",
    "ambient_of",
    "assumed_by_nearness",
    "assumed_parts",
    "assumed_supports",
    "bodies_in",
    "bundles_along",
    "bundles_of",
    "capped_cores",
    "cautions_for",
    "cautions_on_map",
    "clearance_of",
    "clearances_of",
    "compare_profiles",
    "connections_of",
    "contact_words",
    "core_of",
    "corner_tolerances",
    "course_in_words",
    "crimp_colour",
    "crimp_words",
    "first_cautions",
    "fixing_prefix",
    "floor_of",
    "fused_conductor",
    "heading_words",
    "heat_shrink_words",
    "is_wet",
    "is_wet_at",
    "keep_out_tags",
    "lead_cable_of",
    "lead_outside_mm",
    "list_stations",
    "lying_with_earlier",
    "measured_words",
    "network_of",
    "own_side",
    "parting_panels",
    "passed_name",
    "place_in_words",
    "plan_number",
    "poles_at",
    "positions_at",
    "run_as_drawn",
    "runs_by_ends",
    "runs_hanging_on",
    "segments_of",
    "service_loop",
    "slug",
    "spaces_of",
    "station_beside",
    "station_on",
    "stiffest_wire_mm",
    "still_to_measure",
    "stud_of",
    "supports_used",
    "tolerance_of",
    "unsaid_kinds",
    "why_not_there",
    "wires_of",
    "with_shared",
]

_HOMES = {
    "parts_assumed": (
        "AssumedPart",
        "PartKind",
        "assumed_parts",
        "corner_tolerances",
        "measured_words",
    ),
    "to_measure": (
        "ToMeasure",
        "assumed_by_nearness",
        "runs_hanging_on",
        "still_to_measure",
        "supports_used",
    ),
    "supports_assumed": ("assumed_supports",),
    "along_route": (
        "Placed",
        "Position",
        "Segment",
        "course_in_words",
        "heading_words",
        "positions_at",
        "segments_of",
        "station_on",
    ),
    "ambient": ("ambient_of",),
    "bundles": ("bundles_along", "bundles_of", "lying_with_earlier", "station_beside"),
    "cautions": ("Caution", "SignalWord", "cautions_for", "cautions_on_map", "first_cautions"),
    "clearance": ("tolerance_of", "MeasuredPart", "Clearance", "clearance_of", "clearances_of"),
    "conductor_ends": ("BODY", "ConductorEnds", "Node", "fused_conductor"),
    "connections": ("CappedCore", "Connection", "Joint", "capped_cores", "connections_of"),
    "crimps": ("contact_words", "crimp_colour", "crimp_words", "is_wet", "is_wet_at"),
    "footprints": ("core_of", "floor_of"),
    "heat_shrink": ("heat_shrink_words", "lead_outside_mm"),
    "joined_supplies": ("also_feeding",),
    "lead_cables": ("LeadCable", "LeadCore", "lead_cable_of", "stiffest_wire_mm", "wires_of"),
    "network": ("Feed", "Link", "Load", "Network", "Piece", "network_of"),
    "parting": ("ACTS", "Parted", "acting_in", "bodies_in", "own_side", "parting_panels", "spaces_of"),
    "passes": ("passed_name", "place_in_words"),
    "poles": ("Poles", "poles_at", "stud_of"),
    "profile_differences": ("compare_profiles",),
    "run_ends": ("run_as_drawn", "runs_by_ends", "why_not_there"),
    "service_loops": ("ServiceLoop", "service_loop"),
    "shared_fixings": ("with_shared",),
    "station_list": ("list_stations",),
    "tags": ("HAZARD_LETTERS", "fixing_prefix", "keep_out_tags", "plan_number", "slug"),
    "kinds_unsaid": ("unsaid_kinds",),
}

if not TYPE_CHECKING:  # a checker of types must find a misspelt name
    __getattr__ = lazy_names(__name__, _HOMES)
