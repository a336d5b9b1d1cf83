"""Types: from a file, with every fault of it at once, to a record that profiles are made from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path as FilePath
from typing import Any

from router.errors import Fault, UnreadableError
from router.measuring.expressions import Expression, ExpressionError, names_in, parse_expression, value_of
from router.measuring.templates import ASSUMED, Path, Slot, SlotKind, slots_in
from router.measuring.type_file import Seen, TypeFile
from router.reading import Document, library_folder, read_document, structure_faults
from router.units import nearest, parse_quantity

TEMPLATE_KEY = "vehicle"
_NOT_PARSED = (SlotKind.NAME, SlotKind.DATE, SlotKind.ASSUMED)


@dataclass(frozen=True, slots=True)
class Tape:
    """Where the tape goes."""

    seen: Seen
    start: tuple[Expression, ...]
    end: tuple[Expression, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """One measurement that a type asks for."""

    name: str
    ask: str
    from_where: str
    to_where: str
    usual_mm: float
    least_mm: float
    most_mm: float
    spread_mm: float
    tape: Tape
    is_needed: bool
    """Nothing can be planned well without it: too much hangs on it."""


@dataclass(frozen=True, slots=True)
class Together:
    """Two lengths of which the first is never more than the second."""

    less: Expression
    than: Expression
    says: str


@dataclass(frozen=True, slots=True)
class TypeRead:
    """A type as it was read."""

    key: str
    name: str
    says: str
    tyre: Expression
    side: tuple[tuple[Expression, ...], ...]
    measurements: tuple[Asked, ...]
    follows: tuple[tuple[str, Expression], ...]
    together: tuple[Together, ...]
    text: str
    slots: tuple[tuple[Slot, Expression | None], ...]
    parts: Mapping[Path, float]
    """How far each part may be off though all was measured that is asked, by the part's path. [mm]"""

    @property
    def usual(self) -> dict[str, float]:
        """Return the usual value of each measurement. [mm]"""
        return {each.name: each.usual_mm for each in self.measurements}

    def values(self, answers_mm: Mapping[str, float]) -> dict[str, float]:
        """Return all names with their values: what was answered, the usual for the rest, what follows."""
        values = {**self.usual, **answers_mm}
        for name, expression in self.follows:
            values[name] = value_of(expression, values)
        return values


def types_folder() -> FilePath:
    """Return the folder of shipped types, beside the library's profiles."""
    return library_folder() / "types"


def type_files() -> dict[str, FilePath]:
    """Return the file of every shipped type, by key."""
    return {path.stem: path for path in sorted(types_folder().glob("*.yaml"))}


def find_type(key: str) -> TypeRead | None:
    """Return the shipped type of a key, or None."""
    path = type_files().get(key)
    return _read_shipped(path) if path else None


@cache  # as many as there are files; what people type is no key of it
def _read_shipped(path: FilePath) -> TypeRead:
    return read_type(path)


def shipped_types() -> tuple[TypeRead, ...]:
    """Return every shipped type, by key."""
    return tuple(found for key in type_files() if (found := find_type(key)))


def is_type(path: FilePath) -> bool:
    """Return whether a file is that of a type: its first key tells."""
    return path.is_file() and next(iter(read_document(path).data), "") == "type"


def read_type(path: FilePath) -> TypeRead:
    """Return a type; UnreadableError with every fault of its file where it has any."""
    document = read_document(path)
    text = path.read_text(encoding="utf-8-sig")
    structure = (*document.faults, *structure_faults(document, TypeFile))
    if structure:
        raise UnreadableError(structure)
    file = TypeFile.model_validate(document.data)
    reader = _Reader(document, file, slots_in(text, TEMPLATE_KEY))
    faults = tuple(sorted(reader.faults()))
    if faults:
        raise UnreadableError(faults)
    return reader.made(path.stem, text)


class _Reader:
    """One file being read: its arithmetic parsed and held against the names that it knows."""

    def __init__(self, document: Document, file: TypeFile, slots: tuple[Slot, ...]) -> None:
        self._document, self._file, self._slots = document, file, slots
        self._asked = tuple(each.name for each in file.measurements)
        self._names = (*self._asked, *file.follows)

    def faults(self) -> Iterator[Fault]:
        yield from self._order_faults()
        for number, name in enumerate(self._file.follows):
            known = self._names[: len(self._asked) + number]
            yield from self._formula_faults(("follows", name), self._file.follows[name], known)
        for path, text in self._own_formulas():
            yield from self._formula_faults(path, text, self._names)
        for slot in self._slots:
            if slot.kind not in _NOT_PARSED:
                yield from self._formula_faults(
                    (TEMPLATE_KEY, *slot.path), slot.text, self._names, slot.indent
                )
            elif slot.kind is SlotKind.ASSUMED:
                yield from self._assumed_faults(slot)
        if self._document.data and list(self._document.data)[-1] != TEMPLATE_KEY:
            yield self._document.fault(
                (TEMPLATE_KEY,), "is not the last key of the file; put it there", of_key=True
            )

    def made(self, key: str, text: str) -> TypeRead:
        file = self._file
        assumed = {slot.path[:-1]: slot.text for slot in self._slots if slot.kind is SlotKind.ASSUMED}
        return TypeRead(
            key=key,
            name=file.type,
            says=file.says,
            tyre=parse_expression(file.tyre),
            side=tuple(tuple(map(parse_expression, point)) for point in file.side),
            measurements=tuple(map(_asked, file.measurements)),
            follows=tuple((name, parse_expression(each)) for name, each in file.follows.items()),
            together=tuple(
                Together(parse_expression(each.less), parse_expression(each.than), each.says)
                for each in file.together
            ),
            text=text,
            slots=tuple(
                (slot, None if slot.kind in _NOT_PARSED else parse_expression(slot.text))
                for slot in self._slots
            ),
            parts={path: parse_quantity(words, "length") for path, words in assumed.items()},
        )

    def _order_faults(self) -> Iterator[Fault]:
        for number, each in enumerate(self._file.measurements):
            path: Path = ("measurements", number)
            if not 0 <= each.least <= each.usual <= each.most:
                words = "is not between least and most; write least, usual and most in that order"
                yield self._document.fault((*path, "usual"), words)
            if each.name in self._names[:number] or each.name in self._file.follows:
                words = f'name "{each.name}" is given twice; rename one'
                yield self._document.fault((*path, "name"), words)

    def _own_formulas(self) -> Iterator[tuple[Path, str]]:
        yield ("tyre",), self._file.tyre
        for number, point in enumerate(self._file.side):
            yield from ((("side", number, index), each) for index, each in enumerate(point))
        for number, measurement in enumerate(self._file.measurements):
            for end, spot in (("from", measurement.tape.from_), ("to", measurement.tape.to)):
                path: Path = ("measurements", number, "tape", end)
                yield from (((*path, index), each) for index, each in enumerate(spot))
        for number, pair in enumerate(self._file.together):
            yield ("together", number, "less"), pair.less
            yield ("together", number, "than"), pair.than

    def _formula_faults(
        self, path: Path, text: str, known: tuple[str, ...], indent: int = 0
    ) -> Iterator[Fault]:
        try:
            expression = parse_expression(text)
        except ExpressionError as error:
            yield self._fault_at(path, error.at + indent, f'"{text}" {error}')
            return
        for name in names_in(expression):
            if name.name not in known:
                near = nearest(name.name, known)
                advice = f'did you mean "{near}"?' if near else "write one of this file, above its use"
                if "-" in name.name and not near:
                    advice += ", and blanks around a minus"
                words = f'"{text}" has the unknown name "{name.name}"; {advice}'
                yield self._fault_at(path, name.at + indent, words)

    def _assumed_faults(self, slot: Slot) -> Iterator[Fault]:
        try:
            parse_quantity(slot.text, "length")
        except ValueError as error:
            yield self._document.fault((TEMPLATE_KEY, *slot.path), f"{ASSUMED} {error}")

    def _fault_at(self, path: Path, offset: int, what: str) -> Fault:
        fault = self._document.fault(path, what)
        return Fault(fault.file, fault.line, fault.column + offset, fault.where, fault.what)


def _asked(file: Any) -> Asked:
    tape = Tape(
        file.tape.seen,
        tuple(map(parse_expression, file.tape.from_)),
        tuple(map(parse_expression, file.tape.to)),
    )
    return Asked(
        file.name,
        file.ask,
        file.from_,
        file.to,
        file.usual,
        file.least,
        file.most,
        file.spread,
        tape,
        file.needed,
    )
