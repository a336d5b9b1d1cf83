"""The shop's rules: every value with its unit, its source and how far that source can be trusted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class Status(StrEnum):
    """Where a value comes from."""

    PUBLISHED = "published"
    COMMON_PRACTICE = "common practice"
    FROM_MEMORY = "from memory"
    SHOP_RULE = "shop rule"


@dataclass(frozen=True, slots=True)
class Rule:
    """One value of the practice file, e.g. group "clearance", key "hot", 200.0 mm."""

    group: str
    key: str
    value: float
    unit: str
    """The inside's unit: "mm", "degC", "A", "V", "ratio", "count", "deg", "N"."""
    source: str
    status: Status

    @property
    def name(self) -> str:
        """Return the rule's name as a person writes it: "clearance: hot"."""
        return f"{self.group}: {self.key}"


@dataclass(frozen=True, slots=True)
class Practice:
    """All rules in force. The default file (router/tables/practice.yaml) says which groups and keys exist."""

    name: str
    based_on: str | None
    rules: Mapping[tuple[str, str], Rule]

    def rule(self, group: str, key: str) -> Rule:
        """Return one rule; KeyError where there is none."""
        return self.rules[group, key]

    def value(self, group: str, key: str) -> float:
        """Return one rule's value in the inside's unit."""
        return self.rules[group, key].value

    def by_space(self, group: str, space: str) -> Rule:
        """Return the rule of a group that differs by space, e.g. spacing; "any space" where it names none."""
        return self.rules.get((group, space)) or self.rules[group, "any space"]
