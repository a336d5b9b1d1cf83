"""Lengths as people write them off a tape: `5' 6 1/2"`, `66 1/2 in`, `1,5 m`, `1.650 m`, or a bare `1650`.

Files are read by `router.units`, which is strict: every quantity carries its unit, decimals take a point.
What a person types from a sheet of paper is read here: a bare number is in the unit that was stated, a comma
may stand for the point. What could mean two lengths is refused, and both are offered to be written instead.
"""

from __future__ import annotations

import re
import unicodedata

TAPE_UNITS = ("mm", "in")
"""What a bare number may be said to be in."""
LONGEST_MM = 50_000.0
_LONGEST_TEXT = 40
_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
_PRIMES = str.maketrans(
    {"″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'", "\u00a0": " ", "\u202f": " "}
)
_WORDS = {"millimetres": "mm", "millimeters": "mm", "metres": "m", "meters": "m", "metre": "m", "meter": "m"}
_WORDS |= {"inches": "in", "inch": "in", '"': "in", "''": "in", "feet": "ft", "foot": "ft", "'": "ft"}
_DENOMINATORS = (2, 4, 8, 16, 32, 64)
_FRACTION = (
    r"(?:(?P<{0}whole>[0-9]{{1,4}})(?: +| *- *))?(?P<{0}above>[0-9]{{1,2}})/(?P<{0}below>[0-9]{{1,2}})"
)
_DECIMAL = r"(?P<{0}decimal>[0-9]{{1,6}}(?:[.,][0-9]{{1,4}})?)"
_NUMBER = rf"(?:{_FRACTION}|{_DECIMAL})"
_FOOT, _INCH = r"(?:ft|feet|foot|')", r"(?:in|inch|inches|\"|'')"
_BARE = re.compile(_NUMBER.format(""))
_WITH_UNIT = re.compile(_NUMBER.format("") + r" *(?P<unit>[A-Za-z]+|''|[\"'])\.?")
_FEET_AND_INCHES = re.compile(rf"(?P<feet>[0-9]{{1,3}}) *{_FOOT} *-? *{_NUMBER.format('')} *{_INCH}?")
_METRES_AND_MORE = re.compile(r"(?P<metres>[0-9]{1,2}) *m *(?P<rest>[0-9]{1,4}) *(?P<unit>cm|mm)")
_IN_THOUSANDS = re.compile(r"[0-9]{1,3}[.,][0-9]{3}")
_EXAMPLES = {"mm": '"1650", "165 cm" or "1.65 m"', "in": '"66 1/2" or 5\' 6 1/2"'}


def read_tape(text: str, unit: str = "mm") -> float:
    r"""Return a length in mm.

    Parameters
    ----------
    text : str
        What a person wrote.
    unit : str
        What a bare number is in: "mm" or "in".

    Raises
    ------
    ValueError
        With what was found and what to write: no length, or one that could be meant in two ways.

    Examples
    --------
    >>> read_tape("1650"), read_tape("1,5 m"), read_tape("1.650 m"), read_tape("66 1/2", "in")
    (1650.0, 1500.0, 1650.0, 1689.1)
    >>> read_tape("5' 6 1/2\"")
    1689.1
    >>> read_tape("1,650")
    Traceback (most recent call last):
    ...
    ValueError: "1,650" can mean 1650 or 1.65 mm; write "1650 mm" or "1.65 mm"
    """
    found = _tidy(text)
    if not found or len(found) > _LONGEST_TEXT:
        raise ValueError(f'"{_short(text)}" is no length; write e.g. {_EXAMPLES[unit]}')
    length_mm = _length_mm(found, text, unit)
    if not length_mm <= LONGEST_MM:
        raise ValueError(f'"{_short(text)}" is longer than any vehicle; write e.g. {_EXAMPLES[unit]}')
    return round(length_mm, 6)


def length_says(length_mm: float, unit: str = "mm") -> str:
    """Return a length as it is read off a tape: whole millimetres, or inches to the nearest sixteenth.

    >>> length_says(1689.1), length_says(1689.1, "in"), length_says(12.7, "in"), length_says(50.8, "in")
    ('1689 mm', '66 1/2 in', '1/2 in', '2 in')
    """
    if unit == "mm":
        return f"{length_mm:.0f} mm"
    sign, sixteenths = "-" if length_mm < 0 else "", round(abs(length_mm) / 25.4 * 16)
    whole, above, below = sixteenths // 16, sixteenths % 16, 16
    while above and above % 2 == 0:
        above, below = above // 2, below // 2
    parts = [str(whole)] if whole or not above else []
    return sign + " ".join([*parts, *([f"{above}/{below}"] if above else [])]) + " in"


def _tidy(text: str) -> str:
    return re.sub(r" +", " ", unicodedata.normalize("NFC", text).translate(_PRIMES).strip())


def _short(text: str) -> str:
    printable = "".join(sign if sign.isprintable() else "?" for sign in text)
    return printable if len(printable) <= _LONGEST_TEXT else f"{printable[:_LONGEST_TEXT]}..."


def _length_mm(found: str, text: str, unit: str) -> float:
    if parts := _FEET_AND_INCHES.fullmatch(found):
        inches = _number(parts, "in", text)
        if not inches < 12:
            raise ValueError(f'"{_short(text)}" has 12 inches or more beside its feet; write e.g. 5\' 6 1/2"')
        return 304.8 * int(parts["feet"]) + 25.4 * inches
    if parts := _METRES_AND_MORE.fullmatch(found):
        rest_mm = int(parts["rest"]) * _MM[parts["unit"]]
        if not rest_mm < 1000:
            raise ValueError(f'"{_short(text)}" has a metre or more beside its metres; write e.g. "1.65 m"')
        return 1000.0 * int(parts["metres"]) + rest_mm
    if parts := _BARE.fullmatch(found):
        return _number(parts, unit, text) * _MM[unit]
    if parts := _WITH_UNIT.fullmatch(found):
        named = _WORDS.get(parts["unit"].casefold(), parts["unit"])
        if named not in _MM:
            raise ValueError(f'"{_short(text)}" has the unknown unit "{named}"; use one of mm, cm, m, in, ft')
        return _number(parts, named, text) * _MM[named]
    raise ValueError(f'"{_short(text)}" {_what_is_wrong(found)}; write e.g. {_EXAMPLES[unit]}')


def _what_is_wrong(found: str) -> str:
    if found.startswith("-"):
        return "is less than nothing, which no tape shows"
    if re.fullmatch(r"[0-9]{1,3}(?: [0-9]{1,3})+(?: *[a-z\"']+)?", found):
        return "is two numbers"
    return "is no length"


def _number(parts: re.Match[str], unit: str, text: str) -> float:
    if (decimal := parts["decimal"]) is not None:
        _refuse_thousands(decimal, unit, text)
        return float(decimal.replace(",", "."))
    above, below = int(parts["above"]), int(parts["below"])
    if unit not in ("in", "ft"):
        raise ValueError(f'"{_short(text)}" has a fraction; write a decimal number with {unit}')
    if below not in _DENOMINATORS or not 0 < above < below:
        raise ValueError(f'"{_short(text)}" has an odd fraction; write halves to 64ths, e.g. "66 1/2 in"')
    return int(parts["whole"] or 0) + above / below


def _refuse_thousands(decimal: str, unit: str, text: str) -> None:
    """Refuse `1,650`: the sign may part thousands, or decimals. In metres only the second can be meant."""
    if not _IN_THOUSANDS.fullmatch(decimal) or decimal.startswith("0") or unit in ("m", "ft"):
        return
    whole = re.sub("[.,]", "", decimal)
    part = f"{float(decimal.replace(',', '.')):g}"
    words = f'can mean {whole} or {part} {unit}; write "{whole} {unit}" or "{part} {unit}"'
    raise ValueError(f'"{_short(text)}" {words}')
