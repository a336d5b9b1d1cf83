"""Data as written, walked without trusting its shape, so that one fault does not hide another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from router.reading.yaml.wording import Path


def mapping_in(held: object) -> Mapping[str, Any]:
    """Return a mapping, empty where something else is written."""
    return held if isinstance(held, dict) else {}


def items_in(held: object, path: Path) -> Iterator[tuple[Path, Mapping[str, Any]]]:
    """Yield each mapping of a list with its path; nothing where something else is written."""
    for index, each in enumerate(held if isinstance(held, list) else []):
        if isinstance(each, dict):
            yield (*path, index), each
