"""Numbers as a person reads them: metres off a tape, millimetres off a ruler."""

from __future__ import annotations


def metres(length_mm: float) -> str:
    """Return a length in metres, to the centimetre.

    >>> metres(5400.0)
    '5.40 m'
    """
    return f"{length_mm / 1000:.2f} m"


def millimetres(length_mm: float) -> str:
    """Return a short length in whole millimetres.

    >>> millimetres(62.4)
    '62 mm'
    """
    return f"{length_mm:.0f} mm"


def at_station(station_mm: float) -> str:
    """Return where something is along a run.

    >>> at_station(1250.0)
    'at station 1.25 m'
    """
    return f"at station {metres(station_mm)}"


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
