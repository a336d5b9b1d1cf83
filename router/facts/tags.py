"""Letters of hazards, tags of keep-outs and fixings, a plan's number, ids: alike on every map and sheet."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from types import MappingProxyType

from router.model.plan import Plan, RunPlan
from router.model.vehicle import Hazard, Profile

HAZARD_LETTERS: Mapping[Hazard, str] = MappingProxyType(
    {
        Hazard.HOT: "H",
        Hazard.MOVING: "M",
        Hazard.FUEL: "F",
        Hazard.BRAKE: "B",
        Hazard.SHARP: "S",
        Hazard.LIFTING: "L",
        Hazard.HIGH_VOLTAGE: "V",
        Hazard.AIRBAG: "A",
        Hazard.SOLID: "X",
    }
)


def keep_out_tags(profile: Profile) -> dict[str, str]:
    """Return the tag of every keep-out by its name: the hazard's letter and a number, front to rear.

    Front to rear, so that a reader who looks for H3 finds it between H2 and H4.
    """
    ordered = sorted(profile.keep_outs, key=lambda keep_out: min(keep_out.shape.points))
    counts = dict.fromkeys(Hazard, 0)
    tags = {}
    for keep_out in ordered:
        counts[keep_out.hazard] += 1
        tags[keep_out.name] = f"{HAZARD_LETTERS[keep_out.hazard]}{counts[keep_out.hazard]}"
    return tags


def fixing_prefix(plan: Plan, run: RunPlan) -> str:
    """Return the prefix of a run's fixing numbers: empty for the first run, "2-" for the second."""
    number = plan.runs.index(run)
    return f"{number + 1}-" if number else ""


def plan_number(plan: Plan) -> str:
    """Return eight letters and digits that differ where anything in two plans differs.

    So that a map, a sheet and a bill from different plannings of one job are not worked from together.
    """
    digest = hashlib.sha256(_spelt(plan).encode("utf-8", "backslashreplace")).hexdigest()
    return f"{digest[:4]}-{digest[4:8]}"


def _spelt(value: object) -> str:
    """Return whatever a record holds as text, the same for all that are equal: 15 as 15.0, -0.0 as 0.0."""
    if isinstance(value, tuple):
        return f"({','.join(map(_spelt, value))})"
    if isinstance(value, Mapping):
        return f"{{{','.join(f'{key!r}:{_spelt(each)}' for key, each in value.items())}}}"
    if is_dataclass(value):
        held = [getattr(value, f.name) for f in fields(value) if f.name != "assumed_mm"]
        if (assumed_mm := getattr(value, "assumed_mm", None)) is not None:  # so that others keep their number
            held.append(("assumed", assumed_mm))
        return f"{type(value).__name__}({','.join(map(_spelt, held))})"
    return repr(float(value) + 0.0 if isinstance(value, int | float) else value)


def slug(words: str) -> str:
    """Return words as part of an id: lower-case ASCII letters, digits and hyphens.

    >>> slug("Left sill, <front>")
    'left-sill-front'
    """
    return re.sub(r"[^a-z0-9]+", "-", words.lower()).strip("-") or "unnamed"
