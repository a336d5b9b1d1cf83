"""Published numbers and shop data, each with its source and status; the files say what they hold."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any

import yaml


@cache
def load_table(name: str) -> Any:
    """Return the table `<name>.yaml` of this package as plain data; the caller must not change it.

    Raises
    ------
    FileNotFoundError
        Where there is no such table.
    """
    text = files(__name__).joinpath(f"{name}.yaml").read_text(encoding="utf-8")
    return yaml.load(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
