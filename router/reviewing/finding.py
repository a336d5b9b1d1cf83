"""How the review says what it found."""

from __future__ import annotations

from router.model.plan import Finding, FindingKind, Severity
from router.model.practice import Rule


def found(
    kind: FindingKind,
    severity: Severity,
    run: str,
    station_mm: float | None,
    fact: str,
    *,
    required: str,
    actual: str,
    rule: Rule | None = None,
    more: str = "",
) -> Finding:
    """Return a finding; the keywords keep what was asked and what was met from being swapped."""
    return Finding(kind, severity, run, station_mm, fact, more, required, actual, rule)


def told_apart(required_mm: float, actual_mm: float) -> tuple[str, str]:
    """Return two lengths in words, with as many decimals as it takes to tell them apart (six at most).

    >>> told_apart(200.0, 150.0)
    ('200 mm', '150 mm')
    >>> told_apart(200.0, 199.98)
    ('200.00 mm', '199.98 mm')
    """
    for decimals in range(7):
        required, actual = f"{required_mm:.{decimals}f} mm", f"{actual_mm:.{decimals}f} mm"
        if required != actual:
            break
    return required, actual
