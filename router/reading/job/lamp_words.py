"""Lamps and trailer leads as a job file writes them: "P21W", "2 R5W", "P21/5W dim"; "13-pin"."""

from __future__ import annotations

import re
from typing import Annotated, Any, TypeAlias

from pydantic import BeforeValidator, WithJsonSchema

from router.model.job import Lamps
from router.reading.yaml.fields import one_of
from router.reading.yaml.wording import describe_value
from router.tables import known_lamps, lamp_currents_a, lamp_row
from router.units import nearest

FILAMENTS = ("bright", "dim")
LEADS = ("4-way", "7-way", "7-pin", "13-pin")
"""As the table of trailer leads has them; written here too, so that a start need not read the table."""
_WORDS = re.compile(rf"(?:(?P<count>[1-9][0-9]?) +)?(?P<lamp>\S+)(?: +(?P<filament>{'|'.join(FILAMENTS)}))?")


def parse_lamps(text: str) -> Lamps:
    """Return what a person wrote as lamps.

    Raises
    ------
    ValueError
        With what was found and what to write. The words follow a key's name.

    Examples
    --------
    >>> two = parse_lamps("2 PY21/5W dim")
    >>> two.count, two.lamp, round(two.each_a, 3)
    (2, 'PY21/5W dim', 0.489)
    """
    match = _WORDS.fullmatch(text.strip())
    known = known_lamps()
    if match is None:
        raise ValueError(f'has "{text}", no lamp; write how many and which, e.g. "2 P21W" or "P21/5W dim"')
    lamp, filament = match["lamp"], match["filament"]
    if lamp not in known:
        near = nearest(lamp, known)
        advice = (
            f"did you mean {near}?" if near else f"write load: with its current, or one of {', '.join(known)}"
        )
        raise ValueError(f'has "{lamp}", no lamp of the table; {advice}')
    currents_a, row = lamp_currents_a(lamp), lamp_row(lamp)
    if len(currents_a) > 1 and filament is None:
        raise ValueError(f'has "{lamp}", a lamp of two filaments; write "{lamp} bright" or "{lamp} dim"')
    if len(currents_a) == 1 and filament is not None:
        raise ValueError(f'has "{lamp}" {filament}, a lamp of one filament; write "{lamp}"')
    number = FILAMENTS.index(filament) if filament else 0
    return Lamps(
        count=int(match["count"] or 1),
        lamp=f"{lamp} {filament}" if filament else lamp,
        each_a=currents_a[number],
        test_v=row["test_v"][number],
        source=row["source"],
        status=row["status"],
    )


def _lamps(value: object) -> tuple[Lamps, ...]:
    """Return one text or a list of them as lamps."""
    held = value if isinstance(value, list) else [value]
    if not held:
        raise ValueError('is empty; write e.g. "2 P21W"')
    found, wrong = [], []
    for each in held:
        try:
            if not isinstance(each, str):
                raise ValueError(f'is {describe_value(each)}; write how many and which, e.g. "2 P21W"')
            found.append(parse_lamps(each))
        except ValueError as error:
            wrong.append(str(error))
    if wrong:
        raise ValueError("; ".join(wrong))
    return tuple(found)


_TEXT: dict[str, Any] = {"type": "string", "examples": ["2 P21W", "P21/5W dim"]}
LampList: TypeAlias = Annotated[
    tuple[Lamps, ...],
    BeforeValidator(_lamps),
    WithJsonSchema({"anyOf": [_TEXT, {"type": "array", "items": _TEXT, "minItems": 1}]}),
]
LeadWord: TypeAlias = Annotated[
    str,
    BeforeValidator(one_of(LEADS)),
    WithJsonSchema({"type": "string", "enum": list(LEADS)}),
]
