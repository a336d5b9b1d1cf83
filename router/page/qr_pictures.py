"""An address as a picture that a phone reads off a terminal."""

from __future__ import annotations

import io

import segno


def qr_lines(url: str) -> str:
    """Return the QR code of an address as lines of characters, two of its rows in each."""
    out = io.StringIO()
    segno.make(url, micro=False, error="l").terminal(out, compact=True, border=2)
    return out.getvalue()
