"""The rules in force as plain data."""

from __future__ import annotations

from router.model.practice import Practice
from router.writing.records import Data


def practice_data(practice: Practice) -> Data:
    """Return the rules in force as plain data: by group and key, with unit, source and status."""
    rules: dict[str, Data] = {}
    for (group, key), rule in practice.rules.items():
        rules.setdefault(group, {})[key] = {
            "value": rule.value,
            "unit": rule.unit,
            "source": rule.source,
            "status": str(rule.status),
        }
    return {"practice": practice.name, "based_on": practice.based_on, "rules": rules}
