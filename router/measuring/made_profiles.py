"""A profile's text made from a type and what was measured; what nobody measured is written as assumed."""

from __future__ import annotations

import json
import math
import re
import textwrap
from collections import defaultdict
from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from router.measuring.expressions import Expression, names_in, value_of
from router.measuring.templates import Path, Slot, SlotKind, part_of, replaced
from router.measuring.type_reader import TEMPLATE_KEY, TypeRead, find_type, type_files
from router.tape_lengths import length_says, read_tape

ROUNDED_UP_TO_MM = 5.0
NEVER_OFF_MORE_MM = 2000.0
NEEDED_KEY = "needed"
NEEDED_WORDS = "without it no way can be told from a wrong one"
_PLAIN_NAME = re.compile(r"[A-Za-z][A-Za-z0-9]*(?:[ ,.'-]*[A-Za-z0-9]+)*")
_LINE_WIDTH = 110


@dataclass(frozen=True, slots=True)
class AnswerFault:
    """What is wrong with one answer: its name, or "name" for the vehicle's, or "type"."""

    name: str
    what: str


class AnswersError(ValueError):
    """Answers that no profile can be made of: all their faults at once."""

    def __init__(self, faults: tuple[AnswerFault, ...]) -> None:
        super().__init__("\n".join(f"{fault.name}: {fault.what}" for fault in faults))
        self.faults = faults


def made_profile(
    key: str, answers: Mapping[str, str], name: str, *, unit: str = "mm", on: date | None = None
) -> str:
    """Return the text of a profile.

    Parameters
    ----------
    key : str
        The type's.
    answers : mapping of str to str
        Lengths as people write them, by the name of their measurement; an empty or missing one is assumed at
        its usual value.
    name : str
        What the vehicle is called.
    unit : str
        What bare numbers are in: "mm" or "in".
    on : datetime.date, optional
        When it was measured; today by default.

    Raises
    ------
    AnswersError
        With a fault for each answer that is no length, out of its range, or contradicts another.
    """
    found = find_type(key)
    if found is None:
        known = ", ".join(type_files())
        raise AnswersError((AnswerFault("type", f'there is no type "{key}"; use one of {known}'),))
    answers_mm = _read_answers(found, answers, name, unit)
    return profile_text(found, answers_mm, name, on or date.today())


def lengths_needed(key: str, answers: Mapping[str, str]) -> tuple[str, ...]:
    """Return the names of the lengths of a type that are needed and have no answer."""
    found = find_type(key)
    answered = {name for name, text in answers.items() if text.strip()}
    return () if found is None else _not_in(found, answered)


def profile_text(found: TypeRead, answers_mm: Mapping[str, float], name: str, on: date) -> str:
    """Return the text of a profile made from a type.

    Parameters
    ----------
    found : TypeRead
        The type.
    answers_mm : mapping of str to float
        What was measured and stands in its range, by name. [mm]
    name : str
        What the vehicle is called.
    on : datetime.date
        When it was measured.
    """
    values = found.values(answers_mm)
    words = {SlotKind.NAME: _quoted(name), SlotKind.DATE: on.isoformat()}
    written = {
        slot: words[slot.kind] if expression is None else _written(slot, expression, values)
        for slot, expression in found.slots
        if slot.kind is not SlotKind.ASSUMED
    }
    written |= _assumptions(found, values, frozenset(answers_mm))
    return _heading(found, answers_mm) + _body(found, written) + _needed(found, answers_mm)


def read_answers(found: TypeRead, answers: Mapping[str, str], unit: str = "mm") -> dict[str, float]:
    """Return what was measured, in mm by name; AnswersError as for `made_profile`."""
    return _read_answers(found, answers, "any", unit)


def _read_answers(found: TypeRead, answers: Mapping[str, str], name: str, unit: str) -> dict[str, float]:
    faults: list[AnswerFault] = []
    if not name.strip() or not name.isprintable() or len(name) > 200:
        faults.append(AnswerFault("name", "is no name; write up to 200 printable characters"))
    asked = {each.name: each for each in found.measurements}
    for unknown in sorted(set(answers) - set(asked)):
        faults.append(AnswerFault(unknown, f"is not asked; what is asked is {', '.join(asked)}"))
    read: dict[str, float] = {}
    for each in found.measurements:
        text = answers.get(each.name, "")
        if not text.strip():
            continue
        try:
            length_mm = read_tape(text, unit)
        except ValueError as error:
            faults.append(AnswerFault(each.name, str(error)))
            continue
        if each.least_mm <= length_mm <= each.most_mm:
            read[each.name] = length_mm
            continue
        least, most = (length_says(limit, unit) for limit in (each.least_mm, each.most_mm))
        words = f"is {length_says(length_mm, unit)}, on such a vehicle from {least} to {most}; measure again"
        faults.append(AnswerFault(each.name, words))
    if not faults:
        faults.extend(_contradictions(found, read, unit))
    if faults:
        raise AnswersError(tuple(faults))
    return read


def _contradictions(found: TypeRead, read: Mapping[str, float], unit: str) -> Iterator[AnswerFault]:
    """Yield a fault at the last answered measurement of each pair that cannot be together."""
    values = found.values(read)
    for pair in found.together:
        less, than = value_of(pair.less, values), value_of(pair.than, values)
        if less <= than:
            continue
        names = measurements_of(found, pair.less) | measurements_of(found, pair.than)
        of = [each.name for each in found.measurements if each.name in names]
        measured = [name for name in of if name in read] or of
        words = f"{pair.says}: {length_says(less, unit)} where at most {length_says(than, unit)} can be"
        yield AnswerFault(measured[-1], f"{words}; measure again: {', '.join(measured)}")


def measurements_of(found: TypeRead, expression: Expression) -> frozenset[str]:
    """Return the names of all measurements that an expression hangs on."""
    follows = dict(found.follows)
    names: set[str] = set()
    waiting = [each.name for each in names_in(expression)]
    while waiting:
        name = waiting.pop()
        if name in follows:
            waiting.extend(each.name for each in names_in(follows[name]))
        else:
            names.add(name)
    return frozenset(names)


def _written(slot: Slot, expression: Expression, values: Mapping[str, float]) -> str:
    length_mm = round(value_of(expression, values))
    return str(length_mm) if slot.kind is SlotKind.POINT else f"{length_mm} mm"


def _assumptions(found: TypeRead, values: Mapping[str, float], answered: frozenset[str]) -> dict[Slot, str]:
    """Return how far each part may be off: by itself, and by what was not measured and it hangs on."""
    off_by: dict[Path, float] = defaultdict(float)
    assumed = dict.fromkeys(found.parts, "")
    shifts = _shifts(found, values, answered)
    for slot, expression in found.slots:
        part = part_of(slot.path, assumed)
        if expression is not None and part is not None:
            here = value_of(expression, values)
            off_mm = sum(abs(value_of(expression, moved) - here) for moved in shifts)
            off_by[part] = max(off_by[part], off_mm)
    return {
        slot: f"{_rounded_up(found.parts[slot.path[:-1]] + off_by[slot.path[:-1]]):.0f} mm"
        for slot, _ in found.slots
        if slot.kind is SlotKind.ASSUMED
    }


def _shifts(found: TypeRead, values: Mapping[str, float], answered: frozenset[str]) -> list[dict[str, float]]:
    """Return all values anew with one measurement that nobody took off by its spread, for each of those."""
    shifted = []
    for each in found.measurements:
        if each.name not in answered:
            measured = {name: values[name] for name in found.usual}
            shifted.append(found.values({**measured, each.name: each.usual_mm + each.spread_mm}))
    return shifted


def _rounded_up(length_mm: float) -> float:
    return min(math.ceil(round(length_mm, 6) / ROUNDED_UP_TO_MM) * ROUNDED_UP_TO_MM, NEVER_OFF_MORE_MM)


def _quoted(name: str) -> str:
    is_plain = _PLAIN_NAME.fullmatch(name) and name not in ("true", "false", "null")
    return name if is_plain else json.dumps(name, ensure_ascii=False)


def _heading(found: TypeRead, answers_mm: Mapping[str, float]) -> str:
    measured = [f"{name} {length:.0f} mm" for name, length in answers_mm.items()]
    usual = [f"{name} {length:.0f} mm" for name, length in found.usual.items() if name not in answers_mm]
    lines = [f'Made from the type "{found.name}" ({found.key}).']
    lines.append(f"Measured: {', '.join(measured)}." if measured else "Nothing of it was measured yet.")
    if usual:
        lines.append(f"Not measured, taken as usual: {', '.join(usual)}.")
    lines.append(
        "What carries `assumed` was not measured: it may be off by so much. Measure it, and take the key out."
    )
    wrapped = [part for line in lines for part in textwrap.wrap(line, _LINE_WIDTH, break_on_hyphens=False)]
    return "".join(f"# {line}\n" for line in wrapped)


def _not_in(found: TypeRead, answered: Container[str]) -> tuple[str, ...]:
    """Return the names of the lengths that are needed and not answered."""
    return tuple(each.name for each in found.measurements if each.is_needed and each.name not in answered)


def _needed(found: TypeRead, answers_mm: Mapping[str, float]) -> str:
    names = _not_in(found, answers_mm)
    return f"\n{NEEDED_KEY}: [{', '.join(names)}]   # {NEEDED_WORDS}\n" if names else ""


def _body(found: TypeRead, written: Mapping[Slot, str]) -> str:
    lines = replaced(found.text, written)
    first = next(number for number, line in enumerate(lines) if line.startswith(f"{TEMPLATE_KEY}:"))
    return "\n".join(line.removeprefix("  ") for line in lines[first + 1 :]).rstrip("\n") + "\n"
