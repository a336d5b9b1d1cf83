"""plan.json (format plan/1): a plan as plain data, what it was asked included, and back.

Lengths in mm, currents in A. What is written is the plan's own records (`router.model.plan`), under the keys
that the format has for their fields.
"""

from __future__ import annotations

import hashlib
import json
from pathlib import Path as FilePath

from router.errors import Fault, NoRouteError, Pinch, UnreadableError
from router.facts import Connection, ToMeasure, connections_of, course_in_words, still_to_measure
from router.model.conductor_choice import ConductorChoice
from router.model.job import Run
from router.model.plan import (
    Allowance,
    Alternative,
    ClearanceCheck,
    Finding,
    Loom,
    Plan,
    RunPlan,
    Span,
    Station,
)
from router.model.practice import Practice, Rule
from router.model.vehicle import Profile
from router.reading import plain_bytes
from router.writing.record_reader import read_record
from router.writing.record_schema import record_schema
from router.writing.records import Data, Form, RecordFormat

FORMAT = "plan/1"
QUESTION = ("job", "profile", "practice")
"""Fields of a plan that say what was asked; they stand below the key "question"."""
HEAD = ("format", "job", "profile", "practice", "tightest", "seen_from", "checksum")
"""Keys beside the plan's own, which follow from it."""
MOST_BYTES = 50_000_000
"""The shipped examples take a quarter of a million; what is longer is cut off, and no whole JSON."""
NOT_A_PLAN = "is no plan.json; name one that underbody plan or Plan.save has written"


def _rule_name(rule: Rule) -> str:
    return rule.name


def _drop_percent(choice: ConductorChoice) -> float:
    return 100.0 * choice.drop_fraction


def _allowed_mm(span: Span) -> float:
    return span.rule.value


def _what(station: Station) -> str:
    return station.what


def _way(alternative: Alternative) -> str:
    return course_in_words(alternative.route)


def _routed_mm(alternative: Alternative) -> float:
    return alternative.route.routed_mm


def _whole(finding: Finding) -> str:
    return finding.what


def _runs(loom: Loom) -> tuple[str, ...]:
    return loom.runs


def _from_mm(loom: Loom) -> float:
    return loom.from_station_mm


def _to_mm(loom: Loom) -> float:
    return loom.to_station_mm


def _length_mm(loom: Loom) -> float:
    return loom.length_mm


def _connections(plan: Plan) -> tuple[Connection, ...]:
    return connections_of(plan)


def _to_measure(plan: Plan) -> tuple[ToMeasure, ...]:
    return still_to_measure(plan)


PLAN_RECORDS = RecordFormat(
    keys={
        "x_mm": "x",
        "y_mm": "y",
        "z_mm": "z",
        "station_mm": "station",
        "from_station_mm": "from_station",
        "to_station_mm": "to_station",
        "furthest_mm": "furthest",
        "effort_mm": "effort",
        "more_effort_mm": "more_effort",
        "apart_effort_mm": "effort_apart",
    },
    forms={
        Allowance: Form(keys={"length_mm": "mm"}),
        Alternative: Form(merged=("route",), derived={"way": _way, "routed_mm": _routed_mm}),
        ConductorChoice: Form(derived={"drop_percent": _drop_percent}),
        Finding: Form(derived={"what": _whole}),
        Loom: Form(
            derived={"runs": _runs, "from_station": _from_mm, "to_station": _to_mm, "length_mm": _length_mm}
        ),
        Pinch: Form(keys={"at_mm": "at"}),
        Plan: Form(derived={"connections": _connections, "still_to_measure": _to_measure}),
        Practice: Form(listed={"rules": ("group", "key")}),
        Rule: Form(derived={"name": _rule_name}),
        Run: Form(keys={"start": "from", "end": "to"}),
        RunPlan: Form(keys={"start": "from", "end": "to"}, merged=("route", "length")),
        Span: Form(derived={"allowed_mm": _allowed_mm}),
        Station: Form(derived={"what": _what}),
    },
    optional=frozenset({"assumed_mm", "still_to_measure"}),
)
"""How the records of a plan are written; a review's and a fleet's are written alike."""


def plan_data(plan: Plan, seen_from: str | None = None) -> Data:
    """Return a plan as plain data in the format plan/1, exact to the last digit.

    The same plan gives the same data, key for key, in the same order.

    Parameters
    ----------
    plan : Plan
        What to write.
    seen_from : str, optional
        "below" or "above", where a map is written with it.
    """
    body = PLAN_RECORDS.write(plan)
    question = {key: body.pop(key) for key in QUESTION}
    data = {
        "format": FORMAT,
        "job": plan.job.name,
        "profile": profile_head(plan.profile),
        "practice": plan.practice.name,
        **body,
        "tightest": PLAN_RECORDS.write(plan.tightest()),
        "question": question,
    }
    drawn = {"seen_from": seen_from} if seen_from else {}
    return {**data, "checksum": _checksum(data), **drawn}


def read_plan(path: str | FilePath) -> Plan:
    """Return the plan that a plan.json holds, equal to the one that was written.

    Raises
    ------
    UnreadableError
        It is no plan.json, was changed or cut off since it was written, or is of a version that wrote less.
    """
    file = str(path)
    data = _object(FilePath(path), file)
    faults = _strange(data)
    if faults:
        raise UnreadableError(tuple(Fault(file, 1, 1, where, what) for where, what in faults))
    question = data["question"]
    body = {key: value for key, value in data.items() if key not in (*HEAD, "question")}
    return read_record(PLAN_RECORDS, Plan, body | {key: question[key] for key in QUESTION}, file)


def plan_schema() -> Data:
    """Return the JSON Schema (2020-12) of plan.json."""
    schema = record_schema(PLAN_RECORDS, Plan)
    body = schema["properties"]
    question = {key: body.pop(key) for key in QUESTION}
    text = {"type": "string"}
    head: Data = {
        "format": {"const": FORMAT},
        "job": text,
        "profile": HEAD_SCHEMA,
        "practice": text,
        "tightest": {"type": "array", "items": {"$ref": f"#/$defs/{ClearanceCheck.__name__}"}},
        "question": {
            "type": "object",
            "description": "What was asked, in full.",
            "properties": question,
            "required": list(QUESTION),
            "additionalProperties": False,
        },
        "checksum": text,
    }
    return {
        **schema,
        "title": FORMAT,
        "properties": {**body, **head, "seen_from": {"enum": ["below", "above"]}},
        "required": [*head, *(key for key in schema["required"] if key not in QUESTION)],
    }


def profile_head(profile: Profile) -> Data:
    """Return which vehicle it is, for the top of a file."""
    return {name: getattr(profile, name) for name in HEAD_SCHEMA["required"]}


HEAD_SCHEMA: Data = {
    "type": "object",
    "properties": {
        "key": {"type": "string"},
        "name": {"type": "string"},
        "revision": {"type": "integer"},
        "variant": {"type": ["string", "null"]},
    },
    "required": ["key", "name", "revision", "variant"],
    "additionalProperties": False,
}


def no_route_data(error: NoRouteError) -> Data:
    """Return why there is no plan as plain data: the words, and the pinch with what would open a route."""
    pinch = PLAN_RECORDS.write(error.pinch)
    return {"format": FORMAT, "no_route": {"why": error.why, "pinch": pinch}}


def _checksum(data: Data) -> str:
    """Return what differs wherever two plans written as data do, from wherever they are seen."""
    plan = {key: value for key, value in data.items() if key not in ("checksum", "seen_from")}
    text = json.dumps(plan, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _object(path: FilePath, file: str) -> Data:
    """Return the JSON object in a file; UnreadableError where there is none."""
    line, column = 1, 1
    try:
        text = plain_bytes(path, MOST_BYTES).decode("utf-8-sig")
        data = json.loads(text, parse_constant=_refuse_constant)
    except OSError as error:
        what = f"cannot be read: {error.strerror}"
    except UnicodeDecodeError:
        what = NOT_A_PLAN
    except json.JSONDecodeError as error:
        line, column = error.lineno, error.colno
        what = f"is no whole JSON: {error.msg[0].lower()}{error.msg[1:]}; was it cut off? Plan the job again"
    except (ValueError, RecursionError):
        what = NOT_A_PLAN
    else:
        if isinstance(data, dict):
            return data
        what = NOT_A_PLAN
    raise UnreadableError((Fault(file, line, column, "", what),))


def _refuse_constant(word: str) -> None:
    raise ValueError(f"{word} is no number")


def _strange(data: Data) -> list[tuple[str, str]]:
    """Return why data is not a whole plan as it was written, with the key that tells; empty where it is."""
    if data.get("format") != FORMAT:
        return [("format" if "format" in data else "", NOT_A_PLAN)]
    if "no_route" in data:
        return [("no_route", "says why there is no plan; there is nothing to load")]
    question = data.get("question")
    if not isinstance(question, dict) or set(question) != set(QUESTION):
        return [("question", "does not hold what was asked: an older version wrote this; plan the job again")]
    if data.get("checksum") != _checksum(data):
        return [("checksum", "does not fit: the file was changed since it was written; plan the job again")]
    return []
