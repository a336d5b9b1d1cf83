"""A document held against the shape of its kind of file: every fault of structure at once, in our words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from types import UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from router.errors import Fault
from router.reading.yaml.documents import Document
from router.reading.yaml.wording import Path, describe_path, describe_value
from router.units import nearest

_EXAMPLES = {
    "profile": "profile: Dunlin panel van",
    "revision": "revision: 1",
    "measured": "measured: {on: 2026-03-14, tolerance: 10 mm}",
    "on": "on: 2026-03-14",
    "tolerance": "tolerance: 10 mm",
    "unit": "unit: mm",
    "datum": "datum: front axle, centre line, workshop floor",
    "spaces": "spaces: {underfloor: {height: 410 mm, outline: [...]}}",
    "height": "height: 410 mm",
    "outline": "outline: [[0, 0], [900, 0], [900, 700]]",
    "name": "name: left sill flange",
    "space": "space: underfloor",
    "hazard": "hazard: hot",
    "along": "along: [[600, 180], [1900, 240]]",
    "area": "area: [[0, 0], [900, 0], [900, 700]]",
    "centre": "centre: [600, 180]",
    "radius": "radius: 60 mm",
    "width": "width: 60 mm",
    "kind": "kind: flange",
    "fix": "fix: tie",
    "fasteners": "fasteners: 7",
    "joins": "joins: [underfloor, load area]",
    "at": "at: [3350, -560]",
    "bore": "bore: 38 mm",
    "edge": "edge: rubber",
    "job": "job: Refrigerator supply",
    "source": "source: {nominal: 12 V, resting: 12.6 V, at: battery positive}",
    "nominal": "nominal: 12 V",
    "resting": "resting: 12.6 V",
    "runs": "runs: [{run: supply, from: ..., to: ..., conductors: [...]}]",
    "run": "run: supply",
    "plus": "plus: M5",
    "minus": "minus: M5",
    "from": "from: battery positive",
    "to": "to: refrigerator unit",
    "conductors": "conductors: [{name: supply, colour: red, load: 9 A}]",
    "colour": "colour: red",
    "practice": "practice: House rules",
    "route": "route: Refrigerator supply",
    "format": "format: route/1",
    "way": "way: [{space: underfloor, points: [[600, 180], [1900, 240]]}]",
    "points": "points: [[600, 180], [1900, 240]]",
    "station": "station: 250 mm",
    "by": "by: A. Warden",
    "fleet": "fleet: Marram Bay council",
    "jobs": "jobs: {work lamp: lamp/job.yaml}",
    "vehicles": "vehicles: [{profile: dunlin-lwb, count: 4}]",
    "count": "count: 4",
    "item": "item: conductor",
    "reels": "reels: [{length: 50 m}]",
    "length": "length: 50 m",
    "value": "value: 200 mm",
    "status": "status: common practice",
}
Item = TypeVar("Item", bound=BaseModel)
_MAPPINGS = ("dict_type", "model_type", "model_attributes_type", "dataclass_type")


def structure_faults(document: Document, model: type[BaseModel]) -> tuple[Fault, ...]:
    """Return every fault of structure, in the order they were met."""
    try:
        model.model_validate(document.data)
    except ValidationError as error:
        errors = error.errors(include_url=False)
    else:
        return ()
    hinted = {hint for each in errors if (hint := _hinted_key(model, each))}
    wanted = [each for each in errors if each["type"] != "missing" or tuple(each["loc"]) not in hinted]
    met = {(fault.line, fault.column) for fault in document.faults}  # what an alias hides is its fault alone
    faults = (_fault(document, model, each) for each in wanted)
    return tuple(fault for fault in faults if (fault.line, fault.column) not in met)


def sound(document: Document, model: type[BaseModel]) -> Document:
    """Return a document without the values that have a fault of structure.

    What is checked after the structure can so rely on it: what is left has the shape that the model says.
    """
    try:
        model.model_validate(document.data)
    except ValidationError as error:
        data = document.data
        for each in error.errors(include_url=False, include_context=False):
            data = _emptied(data, _place_of(document, each))
        return replace(document, data=data)
    return document


def _emptied(node: Any, path: Path) -> Any:
    """Return a node without the value at a path; unchanged if there is none."""
    if not path:
        return None
    step, rest = path[0], path[1:]
    if isinstance(node, dict) and step in node:
        return {**node, step: _emptied(node[step], rest)}
    if isinstance(node, list) and isinstance(step, int):
        return [_emptied(each, rest) if number == step else each for number, each in enumerate(node)]
    return node


def item_or_none(model: type[Item], data: object) -> Item | None:
    """Return one thing of a file, or None where it has faults (which are reported elsewhere)."""
    try:
        return model.model_validate(data)
    except ValidationError:
        return None


def _fault(document: Document, model: type[BaseModel], error: ErrorDetails) -> Fault:
    path, kind, found = _place_of(document, error), error["type"], error["input"]
    key = describe_path(path, document.data)[1]
    if kind == "extra_forbidden":
        return document.fault(path, _unknown_key(model, path), of_key=True)
    if kind == "missing":
        return document.fault(path, _missing(path))
    return document.fault(path, f"{key} {_words(error, kind, found)}".strip())


def _place_of(document: Document, error: ErrorDetails) -> Path:
    path = tuple(error["loc"])
    if path and path[-1] == "[key]":  # pydantic's word for a faulty key of a mapping
        path = path[:-1]
    if error["type"] == "value_error" and path not in document.values:
        path = path[:-1]  # a plain quantity that stands for its rule
    return path


def _words(error: ErrorDetails, kind: str, found: Any) -> str:
    if kind == "value_error":
        return str(error["ctx"]["error"])
    if kind == "list_type" or kind in _MAPPINGS:
        form = "a list in brackets [...] or with dashes" if kind == "list_type" else "keys and values"
        return f"is {describe_value(found)}; write {form}"
    if kind == "too_short":
        return f"has {len(found) or 'nothing'} in it; write {error['ctx']['min_length']} or more"
    if kind == "too_long":
        return f"has {len(found)} in it; write {error['ctx']['max_length']}"
    return f"is {describe_value(found)}: {error['msg']}"


def _missing(path: Path) -> str:
    key = str(path[-1])
    is_of_a_rule = key == "source" and len(path) > 1
    example = "source: common practice" if is_of_a_rule else _EXAMPLES.get(key)
    return f'key "{key}" is missing; write ' + (f"e.g. {example}" if example else f"{key}: ...")


def _unknown_key(model: type[BaseModel], path: Path) -> str:
    known = _keys(_model_at(model, path[:-1]))
    near = nearest(str(path[-1]), known)
    advice = f'did you mean "{near}"?' if near else f"known here: {', '.join(known)}"
    return f'unknown key "{path[-1]}"; {advice}'


def _hinted_key(model: type[BaseModel], error: ErrorDetails) -> Path | None:
    """Return the path of the key that a misspelt one was taken for."""
    path = tuple(error["loc"])
    if error["type"] != "extra_forbidden":
        return None
    near = nearest(str(path[-1]), _keys(_model_at(model, path[:-1])))
    return (*path[:-1], near) if near else None


def _keys(model: type[BaseModel] | None) -> tuple[str, ...]:
    return tuple(field.alias or name for name, field in model.model_fields.items()) if model else ()


def _model_at(model: type[BaseModel], path: Path) -> type[BaseModel] | None:
    """Return the model of the mapping at a path."""
    steps = iter(path)
    current: type[BaseModel] | None = model
    for step in steps:
        if current is None:
            return None
        fields = {field.alias or name: field.annotation for name, field in current.model_fields.items()}
        annotation = fields.get(str(step))
        if _is_collection(annotation):
            next(steps, None)  # the index or the name within it
        current = next(_models_in(annotation), None)
    return current


def _is_collection(annotation: object) -> bool:
    if get_origin(annotation) in (Annotated, Union, UnionType):
        return any(_is_collection(each) for each in get_args(annotation))
    return get_origin(annotation) in (list, dict)


def _models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for each in get_args(annotation):
        yield from _models_in(each)
