"""Quantities at the door: text with its unit in, a float in the inside's unit out.

The grammar is our own and strict, because a general parser guesses: it reads `1 1/2 in` as half an inch and
`1,5 m` as fifteen metres. Only a number and a unit from the list below ever reach pint, never a user's text.

quantity    number unit, or feet and inches: `450 mm`, `18in`, `1 1/2 in`, `1 ft 6 in`, `18"`, `2.5 mm²`
number      digits with at most one point; with in and ft also a fraction: `1/2`, `1 1/2`
size        a conductor's size: `2.5 mm2`, `14 AWG`, `4/0 AWG`
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import cache
from typing import Any


@dataclass(frozen=True, slots=True)
class Dimension:
    """What a quantity measures: the inside's unit, and the range outside which it is a slip of the pen."""

    name: str
    article: str
    inside: str
    low: float
    high: float
    example: str


@dataclass(frozen=True, slots=True)
class _Unit:
    dimension: str
    scale: float | None
    """Exact factor to the inside's unit; None where pint converts."""
    pint_name: str = ""


DIMENSIONS: Mapping[str, Dimension] = {
    each.name: each
    for each in (
        Dimension("length", "a", "mm", -50_000.0, 50_000.0, "40 mm"),
        Dimension("current", "a", "A", 0.0, 2_000.0, "10 A"),
        Dimension("voltage", "a", "V", 0.0, 1_000.0, "12 V"),
        Dimension("temperature", "a", "degC", -100.0, 1_000.0, "85 degC"),
        Dimension("power", "a", "W", 0.0, 50_000.0, "21 W"),
        Dimension("resistance", "a", "ohm", 0.0, 1_000.0, "0.005 ohm"),
        Dimension("area", "an", "mm2", 0.0, 10_000.0, "2.5 mm2"),
        Dimension("ratio", "a", "ratio", 0.0, 1_000.0, "3 %"),
        Dimension("angle", "an", "deg", -360.0, 360.0, "45 deg"),
        Dimension("count", "a", "count", 0.0, 1_000_000.0, "2 count"),
        Dimension("force", "a", "N", 0.0, 100_000.0, "220 N"),
        Dimension("mass", "a", "kg", 0.0, 10_000.0, "1.2 kg"),
    )
}

_UNITS: Mapping[str, _Unit] = {
    "mm": _Unit("length", 1.0),
    "cm": _Unit("length", None, "centimeter"),
    "m": _Unit("length", None, "meter"),
    "in": _Unit("length", None, "inch"),
    "ft": _Unit("length", None, "foot"),
    "A": _Unit("current", 1.0),
    "mA": _Unit("current", None, "milliampere"),
    "V": _Unit("voltage", 1.0),
    "mV": _Unit("voltage", None, "millivolt"),
    "degC": _Unit("temperature", 1.0),
    "degF": _Unit("temperature", None, "degree_Fahrenheit"),
    "K": _Unit("temperature", None, "kelvin"),
    "W": _Unit("power", 1.0),
    "kW": _Unit("power", None, "kilowatt"),
    "ohm": _Unit("resistance", 1.0),
    "mohm": _Unit("resistance", None, "milliohm"),
    "mm2": _Unit("area", 1.0),
    "cm2": _Unit("area", None, "centimeter**2"),
    "in2": _Unit("area", None, "inch**2"),
    "ratio": _Unit("ratio", 1.0),
    "%": _Unit("ratio", 0.01),  # by definition; the default practice uses it, so it must not load pint
    "deg": _Unit("angle", 1.0),
    "rad": _Unit("angle", None, "radian"),
    "count": _Unit("count", 1.0),
    "N": _Unit("force", 1.0),
    "kN": _Unit("force", None, "kilonewton"),
    "lbf": _Unit("force", None, "pound_force"),
    "kg": _Unit("mass", 1.0),
    "g": _Unit("mass", None, "gram"),
    "lb": _Unit("mass", None, "pound"),
}
_PINT_INSIDE = {"mm": "millimeter", "degC": "degree_Celsius", "mm2": "millimeter**2", "deg": "degree"}
_PINT_INSIDE |= {"A": "ampere", "V": "volt", "W": "watt", "ohm": "ohm", "N": "newton", "kg": "kilogram"}
_SIGNS = {'"': "in", "'": "ft", "°C": "degC", "°F": "degF", "°": "deg", "Ω": "ohm", "mΩ": "mohm"}
_SIGNS |= {"mm²": "mm2", "cm²": "cm2", "in²": "in2"}
_PRIMES = str.maketrans({"″": '"', "”": '"', "′": "'", "’": "'"})

_LONGEST_TEXT = 40
_TAPE_MM = 5.0
"""A tape along a loom reads no finer."""
_DECIMAL = r"[0-9]{1,9}(?:\.[0-9]{1,9})?"
_FRACTION = r"(?:[0-9]{1,4} +)?[0-9]{1,3}/[0-9]{1,3}"
_NUMBER = rf"(?:{_FRACTION}|{_DECIMAL})"
_UNIT_TEXT = r"[A-Za-z°Ω%\"'][A-Za-z0-9²Ω]*"
_QUANTITY = re.compile(rf"(?P<number>[+-]?{_NUMBER}) *(?P<unit>{_UNIT_TEXT})")
_FEET_AND_INCHES = re.compile(rf"(?P<feet>[0-9]{{1,4}}) *(?:ft|') *(?P<inches>{_NUMBER}) *(?:in|\")")
_SIZE = re.compile(rf"(?P<number>[1-4]/0|{_DECIMAL}) *(?P<unit>AWG|mm2|mm²)")
_DENOMINATORS = (2, 4, 8, 16, 32, 64)


def parse_quantity(text: str, dimension: str, *, most: float | None = None) -> float:
    """Return a quantity in the inside's unit of its dimension.

    Parameters
    ----------
    text : str
        What a person wrote: `450 mm`, `18in`, `1 1/2 in`, `1 ft 6 in`, `18"`, `2.5 mm²`, `3 %`, `85 degC`.
    dimension : str
        A key of `DIMENSIONS`: length [mm], current [A], voltage [V], temperature [degC], power [W],
        resistance [ohm], area [mm2], ratio, angle [deg], count, force [N], mass [kg]
    most : float, optional
        What is still plausible, in the inside's unit, where that is more than on a vehicle: a reel.

    Raises
    ------
    ValueError
        With what was found and what to write. The words follow a key's name: `width "40" has no unit; ...`.

    Examples
    --------
    >>> parse_quantity("450 mm", "length")
    450.0
    >>> parse_quantity("3 %", "ratio")
    0.03
    >>> parse_quantity("40", "length")
    Traceback (most recent call last):
    ...
    ValueError: "40" has no unit; write e.g. "40 mm"
    """
    wanted = DIMENSIONS[dimension]
    found = _tidy(text)
    feet = _FEET_AND_INCHES.fullmatch(found)
    match = _QUANTITY.fullmatch(found)
    if len(found) > _LONGEST_TEXT or (feet is None and match is None):
        raise ValueError(f'"{_short(text)}" {_what_is_wrong(found, wanted)}')
    if feet is not None:
        value, unit = _inches(feet, text), "in"
    else:
        assert match is not None  # one of the two matched
        unit = _known_unit(match["unit"], text, wanted)
        value = _number(match["number"], unit, text)
    plausible = wanted if most is None else replace(wanted, high=most)
    return _within(_to_inside(value, unit, wanted), text, plausible)


@dataclass(frozen=True, slots=True)
class ConductorSize:
    """A conductor's size as bought: mm2, or an AWG number (4/0 is -3, as ASTM B258 counts)."""

    number: float
    unit: str

    def __str__(self) -> str:
        """Return the size as bought: "2.5 mm2", "14 AWG", "4/0 AWG"."""
        if self.unit == "AWG" and self.number < 0:
            return f"{1 - self.number:g}/0 AWG"
        return f"{self.number:g} {self.unit}" if self.number or self.unit != "AWG" else "1/0 AWG"


def parse_size(text: str) -> ConductorSize:
    """Return a conductor's size, `2.5 mm2`, `14 AWG` or `4/0 AWG`.

    Raises
    ------
    ValueError
        With what was found and what to write; also for sizes outside 0.05 to 300 mm2 and 40 to 4/0 AWG.

    Examples
    --------
    >>> str(parse_size("2.50 mm²")), str(parse_size("4/0 AWG"))
    ('2.5 mm2', '4/0 AWG')
    """
    match = _SIZE.fullmatch(_tidy(text))
    if match is None:
        raise ValueError(
            f'"{_short(text)}" is no conductor size; write e.g. "2.5 mm2", "14 AWG" or "4/0 AWG"'
        )
    if match["unit"] != "AWG":
        size, is_plausible = (
            ConductorSize(float(match["number"]), "mm2"),
            0.05 <= float(match["number"]) <= 300,
        )
    elif "/" in match["number"]:
        size, is_plausible = ConductorSize(1.0 - int(match["number"][0]), "AWG"), True
    else:
        number = float(match["number"])
        size, is_plausible = ConductorSize(number, "AWG"), number in range(1, 41)
    if not is_plausible:
        raise ValueError(f'"{text}" is no size that is sold; write 0.05 to 300 mm2, or 40 AWG to 4/0 AWG')
    return size


def unit_of(text: str) -> tuple[str, str]:
    """Return a quantity's unit as written, and its dimension; ValueError where it has none that is known.

    >>> unit_of("3 %")
    ('%', 'ratio')
    """
    match = _QUANTITY.fullmatch(_tidy(text))
    unit = _SIGNS.get(match["unit"], match["unit"]) if match else ""
    if unit not in _UNITS:
        raise ValueError(f'"{_short(text)}" has no unit that is known')
    return unit, _UNITS[unit].dimension


def nearest(word: str, known: tuple[str, ...]) -> str | None:
    """Return the known word that is most like this one, or None where none is like it."""
    by_folded = {each.casefold(): each for each in reversed(known)}
    found = get_close_matches(word.casefold(), list(by_folded), n=1, cutoff=0.6)
    return by_folded[found[0]] if found else None


def quantity_pattern(dimension: str) -> str:
    """Return a regular expression (ECMA 262) that quantities of a dimension match, for an editor."""
    signs = [sign for sign, unit in _SIGNS.items() if _UNITS[unit].dimension == dimension]
    units = "|".join([*_units_of(dimension), *signs])
    number = r"[0-9]+(\.[0-9]+)?"
    if dimension != "length":
        return rf"^[+-]?{number} *({units})$"
    mixed = rf"(([0-9]+ +)?[0-9]+/[0-9]+|{number})"
    return rf"^([+-]?{mixed} *({units})|[0-9]+ *(ft|') *{mixed} *(in|\"))$"


def _tidy(text: str) -> str:
    return unicodedata.normalize("NFC", text).strip(" ").translate(_PRIMES)


def _short(text: str) -> str:
    printable = "".join(sign if sign.isprintable() else "?" for sign in text)
    return printable if len(printable) <= _LONGEST_TEXT else f"{printable[:_LONGEST_TEXT]}..."


def _units_of(dimension: str) -> tuple[str, ...]:
    return tuple(unit for unit, what in _UNITS.items() if what.dimension == dimension)


def _known_unit(unit_text: str, text: str, wanted: Dimension) -> str:
    unit = _SIGNS.get(unit_text, unit_text)
    if unit == "AWG":
        raise ValueError(
            f'"{text}" is a conductor size; write {wanted.article} {wanted.name}, e.g. "{wanted.example}"'
        )
    if re.fullmatch(r"[eE][0-9].*", unit):
        raise ValueError(f'"{text}" has an exponent; write the number out, e.g. "{wanted.example}"')
    if unit not in _UNITS:
        known = _units_of(wanted.name)
        near = nearest(unit, known)
        advice = f"did you mean {near}?" if near else f"use one of {', '.join(known)}"
        raise ValueError(f'"{text}" has the unknown unit "{unit}"; {advice}')
    found = DIMENSIONS[_UNITS[unit].dimension]
    if found is not wanted:
        raise ValueError(
            f'"{text}" is {found.article} {found.name}; '
            f'write {wanted.article} {wanted.name}, e.g. "{wanted.example}"'
        )
    return unit


def _number(number: str, unit: str, text: str) -> float:
    if "/" not in number:
        return float(number)
    sign = -1.0 if number.startswith("-") else 1.0
    *whole, fraction = number.lstrip("+-").split()
    above, below = (int(part) for part in fraction.split("/"))
    if unit not in ("in", "ft"):
        raise ValueError(f'"{text}" has a fraction; write a decimal number with {unit}')
    if below not in _DENOMINATORS or not (0 < above < below):
        raise ValueError(
            f'"{text}" has an odd fraction; write halves to 64ths less than one, e.g. "1 1/2 in"'
        )
    return sign * ((int(whole[0]) if whole else 0) + above / below)


def _inches(match: re.Match[str], text: str) -> float:
    inches = _number(match["inches"], "in", text)
    if not inches < 12:
        raise ValueError(f'"{text}" has 12 inches or more beside its feet; write e.g. "2 ft 6 in"')
    return 12 * int(match["feet"]) + inches


def _to_inside(value: float, unit: str, wanted: Dimension) -> float:
    scale = _UNITS[unit].scale
    if scale == 0.01:
        return value / 100  # nearer to the written decimal than a product with 0.01
    if scale is not None:
        return value * scale
    converted = _registry().Quantity(value, _UNITS[unit].pint_name).to(_PINT_INSIDE[wanted.inside])
    return round(float(converted.magnitude), 9)  # 38.1, not 38.099999999999994


@cache
def _registry() -> Any:
    import pint  # noqa: PLC0415 - 0.3 s that most plans need not spend

    return pint.UnitRegistry()


def _within(value: float, text: str, wanted: Dimension) -> float:
    if wanted.low <= value <= wanted.high:
        return value
    raise ValueError(
        f'"{text}" is implausible; write {wanted.article} {wanted.name} '
        f"from {wanted.low:g} to {wanted.high:g} {wanted.inside}"
    )


_WRONG: tuple[tuple[str, str], ...] = (
    (r"", 'is empty; write e.g. "{example}"'),
    (r"[+-]?(?:nan|inf|infinity)\b.*", 'is not a finite number; write e.g. "{example}"'),
    (r"[^,]*[0-9],[0-9].*", "has a comma; write a point for decimals and nothing between thousands"),
    (r".*[0-9.][eE][+-]?[0-9].*", 'has an exponent; write the number out, e.g. "{example}"'),
    (rf"[+-]?{_NUMBER}", 'has no unit; write e.g. "{example}"'),
    (_UNIT_TEXT, 'has no number; write e.g. "{example}"'),
    (r"[+-]?\.[0-9].*|[+-]?[0-9]+\.(?![0-9]).*", "has a bare point; write a digit on both sides of it"),
    (rf"[+-]?{_NUMBER}.*[0-9].*", 'is more than one number and one unit; write one, e.g. "{example}"'),
)


def _what_is_wrong(found: str, wanted: Dimension) -> str:
    if len(found) > _LONGEST_TEXT:
        return f'is too long for a quantity; write e.g. "{wanted.example}"'
    for pattern, words in _WRONG:
        if re.fullmatch(pattern, found, flags=re.IGNORECASE):
            return words.format(example=_with_unit(found, wanted))
    return f'is not a number and a unit; write e.g. "{wanted.example}"'


def _with_unit(found: str, wanted: Dimension) -> str:
    """Return the number a person wrote with a unit to it, or the dimension's own example."""
    if re.fullmatch(_DECIMAL, found):
        return f"{found} %" if wanted.name == "ratio" else f"{found} {wanted.inside}"
    return wanted.example


def tape_m(length_mm: float) -> str:
    """Return a length or a station in metres as it is read off a tape, to the nearest 5 mm.

    >>> tape_m(4673.0), tape_m(4677.5), tape_m(100.0)
    ('4.675', '4.68', '0.10')
    """
    return f"{_TAPE_MM * round(length_mm / _TAPE_MM) / 1000:.3f}".removesuffix("0")
