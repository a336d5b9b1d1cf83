"""The arithmetic of a type's file: numbers, names, + - * /, parentheses, min and max; parsed, never executed.

    sum      product (+|- product)*
    product  factor (*|/ factor)*
    factor   number | name | -factor | (sum) | min(sum, ...) | max(sum, ...)

A name may have hyphens, as in `rear-axle`; so a minus between two names has blanks around it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TypeAlias

DEEPEST = 30
_TOKEN = re.compile(
    r" *(?:(?P<number>[0-9]+(?:\.[0-9]+)?)(?![A-Za-z0-9.])|(?P<name>[a-z][a-z0-9]*(?:-[a-z][a-z0-9]*)*)"
    r"|(?P<sign>[-+*/(),]))"
)
_CHOICES = ("min", "max")


class ExpressionError(ValueError):
    """What is wrong in an expression, and at which character of it, counted from 0."""

    def __init__(self, at: int, what: str) -> None:
        super().__init__(what)
        self.at = at


@dataclass(frozen=True, slots=True)
class Number:
    """A number, in mm or none."""

    value: float


@dataclass(frozen=True, slots=True)
class Name:
    """A measurement, or what follows from measurements."""

    name: str
    at: int
    """Where it stands in the expression."""


@dataclass(frozen=True, slots=True)
class Operation:
    """Two expressions joined: one of + - * /."""

    sign: str
    left: Expression
    right: Expression
    at: int


@dataclass(frozen=True, slots=True)
class Choice:
    """The least or the greatest of some expressions."""

    which: str
    parts: tuple[Expression, ...]


Expression: TypeAlias = Number | Name | Operation | Choice


def parse_expression(text: str) -> Expression:
    """Return a parsed expression; ExpressionError with what to write where it is none.

    >>> value_of(parse_expression("(wheelbase - 50) / 2"), {"wheelbase": 2650.0})
    1300.0
    >>> value_of(parse_expression("max(rear-axle-110, 3 * 20)"), {"rear-axle": 100.0})
    60.0
    """
    parser = _Parser(list(_tokens(text)), len(text.rstrip()))
    found = parser.sum(0)
    if parser.kind:
        raise ExpressionError(parser.at, f'has "{parser.word}" where it should end')
    return found


def value_of(expression: Expression, values: Mapping[str, float]) -> float:
    """Return what an expression comes to; all its names must have values.

    Raises
    ------
    ExpressionError
        It divides by 0.
    """
    match expression:
        case Number(value):
            return value
        case Name(name):
            return values[name]
        case Choice(which, parts):
            found = [value_of(each, values) for each in parts]
            return min(found) if which == "min" else max(found)
        case Operation(sign, left, right, at):
            one, other = value_of(left, values), value_of(right, values)
            if sign == "/" and other == 0:
                raise ExpressionError(at, "divides by 0")
            return (
                {"+": one + other, "-": one - other, "*": one * other}[sign] if sign != "/" else one / other
            )


def names_in(expression: Expression) -> Iterator[Name]:
    """Yield every name of an expression where it stands."""
    match expression:
        case Name():
            yield expression
        case Choice(_, parts):
            for part in parts:
                yield from names_in(part)
        case Operation(_, left, right, _):
            yield from names_in(left)
            yield from names_in(right)


def _tokens(text: str) -> Iterator[tuple[str, str, int]]:
    at, end = 0, len(text.rstrip())
    while at < end:
        found = _TOKEN.match(text, at)
        if not found or not found.lastgroup:
            rest = text[at:end].lstrip()
            words = f'has "{rest[:12]}", which is no number, name or sign; lengths are in mm and take no unit'
            raise ExpressionError(end - len(rest), words)
        kind = found.lastgroup
        yield kind, found[kind], found.start(kind)
        at = found.end()


class _Parser:
    """Reads the tokens of one expression from left to right."""

    def __init__(self, tokens: list[tuple[str, str, int]], end: int) -> None:
        self._tokens = [*tokens, ("", "", end)]
        self._next = 0

    @property
    def kind(self) -> str:
        return self._tokens[self._next][0]

    @property
    def word(self) -> str:
        return self._tokens[self._next][1]

    @property
    def at(self) -> int:
        return self._tokens[self._next][2]

    def _take(self) -> str:
        word = self.word
        self._next += 1
        return word

    def _expect(self, sign: str) -> None:
        if self.word != sign:
            raise ExpressionError(self.at, f'wants "{sign}" here')
        self._take()

    def sum(self, depth: int) -> Expression:
        return self._chain(("+", "-"), depth)

    def _chain(self, signs: tuple[str, str], depth: int) -> Expression:
        def part() -> Expression:
            return self._chain(("*", "/"), depth) if "+" in signs else self._factor(depth + 1)

        found = part()
        while self.kind == "sign" and self.word in signs:
            at, sign = self.at, self._take()
            found = Operation(sign, found, part(), at)
        return found

    def _factor(self, depth: int) -> Expression:
        if depth > DEEPEST:
            raise ExpressionError(self.at, f"is nested deeper than {DEEPEST} levels; name a part of it")
        kind, at = self.kind, self.at
        if kind == "number":
            return Number(float(self._take()))
        if kind == "name":
            name = self._take()
            return self._choice(name, depth) if self.word == "(" and name in _CHOICES else Name(name, at)
        if self.word == "-":
            self._take()
            return Operation("-", Number(0.0), self._factor(depth + 1), at)
        if self.word == "(":
            self._take()
            found = self.sum(depth + 1)
            self._expect(")")
            return found
        raise ExpressionError(at, "wants a number, a name or a bracket here")

    def _choice(self, which: str, depth: int) -> Choice:
        self._take()
        parts = [self.sum(depth + 1)]
        while self.word == ",":
            self._take()
            parts.append(self.sum(depth + 1))
        self._expect(")")
        return Choice(which, tuple(parts))
