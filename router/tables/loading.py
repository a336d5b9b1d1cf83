"""Tables read from their files, each once a process."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import yaml

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)  # C: ten times faster, but not in every wheel


@cache
def load_table(name: str) -> Any:
    """Return the content of `router/tables/<name>.yaml`, read once a process; do not change it.

    Raises
    ------
    FileNotFoundError
        Where there is no table of that name.
    """
    with (Path(__file__).parent / f"{name}.yaml").open(encoding="utf-8") as file:
        return yaml.load(file, Loader=_Loader)
