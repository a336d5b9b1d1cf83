"""Names of a package that are imported when first asked for: no command reads in what only others need."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any


def lazy_names(package: str, homes: Mapping[str, tuple[str, ...]]) -> Callable[[str], Any]:
    """Return a package's `__getattr__`.

    Parameters
    ----------
    package : str
        Its `__name__`.
    homes : mapping of str to tuple of str
        By module, below the package: the names that come from there.
    """
    home_of = {name: module for module, names in homes.items() for name in names}

    def get(name: str) -> Any:
        if name not in home_of:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        return getattr(import_module(f"{package}.{home_of[name]}"), name)

    return get
