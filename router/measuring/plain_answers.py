"""Types, made profiles and tape lengths as plain data, for a page that asks for them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from router.measuring.made_profiles import AnswersError, made_profile
from router.measuring.shown_types import Measurement, vehicle_types
from router.tape_lengths import TAPE_UNITS, length_says, read_tape


def types_data() -> list[dict[str, Any]]:
    """Return every type with what it asks, lengths in mm, pictures as SVG."""
    return [
        {
            "key": each.key,
            "name": each.name,
            "says": each.says,
            "picture": each.picture,
            "measurements": [_measurement_data(one) for one in each.measurements],
        }
        for each in vehicle_types()
    ]


def made_data(request: Mapping[str, Any]) -> dict[str, Any]:
    """Return `text`, the profile that a type makes of answers; or `faults`, one for each wrong answer.

    A request has `type`, `answers` (text by name), `name`, and `unit` where bare numbers are not in mm.
    """
    answers, name, key = request.get("answers"), request.get("name"), request.get("type")
    if not isinstance(answers, dict) or not all(isinstance(each, str) for each in answers.values()):
        return {"faults": [{"name": "answers", "what": "are no texts by name"}]}
    if not isinstance(name, str) or not isinstance(key, str):
        return {"faults": [{"name": "name", "what": "is no text, or type is none; write both"}]}
    unit = request.get("unit", "mm")
    if unit not in TAPE_UNITS:
        return {"faults": [{"name": "unit", "what": f"is none of {', '.join(TAPE_UNITS)}"}]}
    try:
        return {"text": made_profile(key, answers, name, unit=unit)}
    except AnswersError as error:
        return {"faults": [{"name": each.name, "what": each.what} for each in error.faults]}


def tape_data(request: Mapping[str, Any]) -> dict[str, Any]:
    """Return `mm` and `says` of a request's `text` and `unit`; or `what` is wrong with it."""
    text, unit = request.get("text"), request.get("unit", "mm")
    if not isinstance(text, str) or unit not in TAPE_UNITS:
        return {"what": f"text is no text, or unit is none of {', '.join(TAPE_UNITS)}"}
    try:
        length_mm = read_tape(text, unit)
    except ValueError as error:
        return {"what": str(error)}
    return {"mm": length_mm, "says": length_says(length_mm, unit)}


def _measurement_data(one: Measurement) -> dict[str, Any]:
    return {
        "name": one.name,
        "ask": one.ask,
        "from": one.from_where,
        "to": one.to_where,
        "usual_mm": one.usual_mm,
        "least_mm": one.least_mm,
        "most_mm": one.most_mm,
        "needed": one.is_needed,
        "picture": one.picture,
    }
