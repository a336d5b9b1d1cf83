"""JSON Schemas of the kinds of files, made from the models, so that an editor completes keys."""

from __future__ import annotations

from typing import Any

from router.reading.fleet.fleet_file import FleetFile
from router.reading.job.job_file import JobFile
from router.reading.practice.practice_file import practice_model
from router.reading.profile.profile_file import ProfileFile
from router.reading.route.route_file import RouteFile
from router.reading.yaml.fields import FileModel

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def json_schema(kind: str) -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of a kind of file: "profile", "job", "practice", "route" or "fleet".

    It knows the keys, the words and the form of quantities; what only the whole file shows (names, places)
    is for the reader to check.

    Raises
    ------
    KeyError
        For any other kind.
    """
    models: dict[str, type[FileModel]] = {
        "profile": ProfileFile,
        "job": JobFile,
        "practice": practice_model(),
        "route": RouteFile,
        "fleet": FleetFile,
    }
    schema = _without_nothing(models[kind].model_json_schema(by_alias=True))
    return {"$schema": DIALECT, **schema, "title": kind}


def _without_nothing(schema: Any) -> Any:
    """Return a schema without null: a key that may be left out may not be written and left empty."""
    if isinstance(schema, list):
        return [_without_nothing(each) for each in schema if each != {"type": "null"}]
    if not isinstance(schema, dict):
        return schema
    kept = {key: _without_nothing(each) for key, each in schema.items() if (key, each) != ("default", None)}
    if len(kept.get("anyOf", ())) == 1:
        only = kept.pop("anyOf")[0]
        return {**only, **kept}
    return kept
