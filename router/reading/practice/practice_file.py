"""The shape of a practice file: the groups, keys and units of the default one say what a shop may write."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, create_model

from router.model.practice import ANY_SPACE, Rule, Status
from router.model.vehicle import SpaceKind
from router.reading.yaml.fields import (
    FileModel,
    StatusWord,
    Text,
    checked_text,
    one_of,
    quantity,
    quantity_schema,
)
from router.tables import load_table
from router.units import DIMENSIONS, unit_of

BY_SPACE = ("spacing", "ambient")
"""Groups whose keys are kinds of space."""
_KINDS = (ANY_SPACE, *(kind.value for kind in SpaceKind))
"""The keys of such a group, in their order."""
_BARE = ("ratio", "count")
"""Units that need not be written."""
_HEAD = ("practice", "based-on")
SHIPPED = ("default", "law", "voluntary")
"""The rule sets that come along; a file may build on any of them."""


class RuleFile(FileModel):
    """One value with its source; a shop's plain quantity has neither source nor status of its own."""

    value: float
    source: Text | None = None
    status: StatusWord = Status.SHOP_RULE


@cache
def default_groups() -> Mapping[str, Mapping[str, Any]]:
    """Return the default practice's groups as written."""
    return {group: rules for group, rules in load_table("practice").items() if group not in _HEAD}


def default_name() -> str:
    """Return the name of the default practice."""
    return str(load_table("practice")["practice"])


def default_rules() -> Iterator[Rule]:
    """Yield the default practice's rules; an error where one is not as a practice file's must be."""
    for group, rules in default_groups().items():
        place = _KINDS.index if group in BY_SPACE else list(rules).index
        for key, rule in sorted(rules.items(), key=lambda pair: place(pair[0])):
            unit, dimension = unit_of(rule["value"])
            check = _checked(dimension, takes_bare_number=unit in _BARE)
            source, status = checked_text(rule["source"]), Status(rule["status"])
            yield Rule(group, key, check(rule["value"]), DIMENSIONS[dimension].inside, source, status)


def dimension_of(group: str, key: str) -> str:
    """Return what a rule measures, by the default file's own unit; KeyError where there is no such rule."""
    rules = default_groups()[group]
    rule = rules.get(key) or (rules[ANY_SPACE] if group in BY_SPACE else rules[key])
    return unit_of(rule["value"])[1]


@cache
def practice_model() -> type[FileModel]:
    """Return the model of a practice file; whether it must say based-on, only its reader knows."""
    based_on = Annotated[Literal["default", "law", "voluntary"], BeforeValidator(one_of(SHIPPED))]
    fields: dict[str, Any] = {
        "practice": (Text, Field(description="the name of these rules")),
        "based_on": (
            based_on,
            Field("default", description="the rules that stand where this file says nothing"),
        ),
    }
    for number, group in enumerate(default_groups()):
        fields[f"group_{number}"] = _group_field(group)
    return create_model(
        "PracticeFile", __base__=FileModel, __doc__="The rules in which a shop differs.", **fields
    )


def _group_field(group: str) -> tuple[Any, Any]:
    """Return the type of a group of rules, made at run time, and its field."""
    rules = default_groups()[group]
    if group in BY_SPACE:
        rules = {key: rules.get(key, rules[ANY_SPACE]) for key in _KINDS}
    fields: dict[str, Any] = {
        f"rule_{number}": (_rule_type(rule), _field(key, rule))
        for number, (key, rule) in enumerate(rules.items())
    }
    model = create_model(f"{group.title().replace(' ', '')}File", __base__=FileModel, **fields)
    return model, Field(None, alias=group)


def _field(key: str, rule: Mapping[str, Any]) -> Any:
    return Field(None, alias=key, description=f"default: {rule['source']}")


def _rule_type(rule: Mapping[str, Any]) -> Any:  # a type made at run time
    unit, dimension = unit_of(rule["value"])
    return _type_of(dimension, takes_bare_number=unit in _BARE)


@cache
def _type_of(dimension: str, *, takes_bare_number: bool) -> Any:  # a type made at run time
    check = BeforeValidator(_checked(dimension, takes_bare_number=takes_bare_number))
    model = create_model("RuleFile", __base__=RuleFile, value=(Annotated[float, check], ...))
    schema = WithJsonSchema(_rule_schema(dimension, takes_bare_number))
    return Annotated[model, BeforeValidator(_spread), schema]


def _checked(dimension: str, *, takes_bare_number: bool) -> Any:
    check = quantity(dimension, least=None if dimension == "temperature" else 0)

    def checked(value: object) -> float:
        if takes_bare_number and isinstance(value, int | float) and not isinstance(value, bool):
            return check(f"{value} {DIMENSIONS[dimension].inside}")
        return check(value)

    return checked


def _spread(value: object) -> object:
    """Return a plain quantity as the mapping it is short for."""
    return value if isinstance(value, dict) else {"value": value}


def _rule_schema(dimension: str, takes_bare_number: bool) -> dict[str, Any]:
    plain = [quantity_schema(dimension), *([{"type": "number", "minimum": 0}] if takes_bare_number else [])]
    status = {"enum": [each.value for each in Status]}
    full = {
        "type": "object",
        "properties": {"value": {"anyOf": plain}, "source": {"type": "string"}, "status": status},
        "required": ["value"],
        "additionalProperties": False,
    }
    return {"anyOf": [*plain, full]}
