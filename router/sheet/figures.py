"""Numbers as a person reads them: metres off a tape, millimetres off a ruler."""

from __future__ import annotations

from router.units import tape_m

NEAREST_MM = 5.0
"""A tape along a loom reads no finer."""


def metres(length_mm: float) -> str:
    """Return a length in metres, to the centimetre.

    >>> metres(5400.0)
    '5.40 m'
    """
    return f"{length_mm / 1000:.2f} m"


def station(station_mm: float) -> str:
    """Return a station in metres, to the nearest 5 mm, without the unit.

    >>> station(4673.0), station(4679.0), station(100.0)
    ('4.675', '4.68', '0.10')
    """
    return tape_m(station_mm)


def nearest_mm(length_mm: float) -> float:
    """Return a length to the nearest 5 mm.

    >>> nearest_mm(4677.4)
    4675.0
    """
    return NEAREST_MM * round(length_mm / NEAREST_MM)


def at_station(station_mm: float) -> str:
    """Return where something is along a run.

    >>> at_station(1250.0)
    'at 1.25 m'
    """
    return f"at {station(station_mm)} m"


def millimetres(length_mm: float) -> str:
    """Return a short length in whole millimetres.

    >>> millimetres(62.4)
    '62 mm'
    """
    return f"{length_mm:.0f} mm"


def to_spare(required_mm: float, actual_mm: float) -> str:
    """Return what is left between two lengths as they are shown: a reader takes one from the other.

    >>> to_spare(60.8, 61.8), millimetres(60.8), millimetres(61.8)
    ('1 mm', '61 mm', '62 mm')
    """
    return f"{round(actual_mm) - round(required_mm)} mm"


def percent(fraction: float) -> str:
    """Return a share in per cent.

    >>> percent(0.0243)
    '2.4 %'
    """
    return f"{fraction * 100:.1f} %"


def count_of(count: int, thing: str) -> str:
    """Return a count with its thing.

    >>> count_of(1, "fastener"), count_of(7, "fastener")
    ('1 fastener', '7 fasteners')
    """
    return f"{count} {thing}" + ("" if count == 1 else "s")


def sentence(words: str) -> str:
    """Return words as a sentence.

    >>> sentence("goes round the tank")
    'Goes round the tank.'
    """
    return words[:1].upper() + words[1:].rstrip(".") + "."


def to_side(value_mm: float, positive: str, negative: str) -> str:
    """Return how far to which side of the datum a place lies, in whole mm: "120 behind"."""
    value = nearest_mm(value_mm)
    return f"{abs(value):.0f} {positive if value >= 0 else negative}"
