"""Measuring a vehicle: types to start from, the profile that follows from a dozen lengths, a sheet to print.

type          a kind of vehicle with arithmetic in place of numbers: `profiles/types/*.yaml`
measurement   one length that a type asks for, from where to where
answer        that length as a person wrote it; empty where nobody measured
needed        a length without which nothing can be planned well: too much hangs on it
assumed       how far a part may be off that nobody measured
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from router.lazy_names import lazy_names

if TYPE_CHECKING:
    from router.measuring.made_profiles import (
        NEEDED_WORDS,
        AnswerFault,
        AnswersError,
        lengths_needed,
        made_profile,
    )
    from router.measuring.measuring_sheets import measuring_sheet, measuring_sheet_of
    from router.measuring.plain_answers import made_data, tape_data, types_data
    from router.measuring.shown_types import Measurement, VehicleType, vehicle_types
    from router.measuring.type_reader import is_type, read_type

__all__ = [
    "NEEDED_WORDS",
    "AnswerFault",
    "AnswersError",
    "Measurement",
    "VehicleType",
    "is_type",
    "lengths_needed",
    "made_data",
    "made_profile",
    "measuring_sheet",
    "measuring_sheet_of",
    "read_type",
    "tape_data",
    "types_data",
    "vehicle_types",
]

_HOMES = {
    "made_profiles": ("NEEDED_WORDS", "AnswerFault", "AnswersError", "lengths_needed", "made_profile"),
    "measuring_sheets": ("measuring_sheet", "measuring_sheet_of"),
    "plain_answers": ("made_data", "tape_data", "types_data"),
    "shown_types": ("Measurement", "VehicleType", "vehicle_types"),
    "type_reader": ("is_type", "read_type"),
}

__getattr__ = lazy_names(__name__, _HOMES)
