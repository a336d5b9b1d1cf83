"""The shop's rules: every value with its unit, its source and how far that source can be trusted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from router.model.vehicle import SpaceKind

ANY_SPACE = "any space"
"""The key that stands for every kind of space that its group does not name."""
_MOST_CAREFUL = {"spacing": min, "ambient": max}
"""Groups that differ by the kind of space, each with which of two values asks more of the work."""


class Status(StrEnum):
    """Where a value comes from."""

    PUBLISHED = "published"  # read in the source itself
    QUOTED = "quoted"  # read in a text that quotes the source
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
    """The unit used inside the program: "mm", "degC", "A", "V", "ratio", "count", "deg", "N"."""
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

    def __hash__(self) -> int:
        return hash((self.name, self.based_on, frozenset(self.rules.items())))

    def rule(self, group: str, key: str) -> Rule:
        """Return one rule; KeyError where there is none."""
        return self.rules[group, key]

    def value(self, group: str, key: str) -> float:
        """Return one rule's value in the unit used inside the program."""
        return self.rules[group, key].value

    def by_space(self, group: str, kind: SpaceKind | None) -> Rule:
        """Return the rule of a group that differs by kind of space, e.g. spacing.

        That of "any space" where the group does not name the kind; where nobody declared what the space is
        (None), the most careful rule of all kinds.
        """
        if kind is not None:
            return self.rules.get((group, kind.value)) or self.rules[group, ANY_SPACE]
        rules = (self.by_space(group, each) for each in SpaceKind)
        return _MOST_CAREFUL[group](rules, key=lambda rule: rule.value)
