"""Files under temporary names: of one writer, which lives as long as it holds their lock.

A killed writer leaves its temporary files behind; whoever finds their lock free may remove them. Locks end
with their process, however that ends, and are seen from other containers too, where a process's number says
nothing. Where the system has no such locks nothing is removed: what is left behind does no harm.
"""

from __future__ import annotations

import contextlib
import os
import re
import secrets
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path
from typing import BinaryIO

try:
    import fcntl
except ImportError:  # pragma: no cover - Windows
    fcntl = None  # type: ignore[assignment]

_NAME = re.compile(r"\.underbody-([0-9a-f]{16})(?:-[0-9]+)?\.tmp")


class Temporaries:
    """Names for temporary files in some folders, locked within `with`; what is left at its end is removed."""

    def __init__(self, folders: Iterable[Path]) -> None:
        self._folders = tuple(folders)
        self._tokens: dict[Path, str] = {}
        self._numbers = count(1)
        self._open = contextlib.ExitStack()

    def __enter__(self) -> Temporaries:
        with self._open:
            for folder in self._folders:
                self._tokens[folder] = self._open.enter_context(_locked_token(folder))
            self._open = self._open.pop_all()
        return self

    def __exit__(self, *_: object) -> None:
        self._open.close()

    def name_in(self, folder: Path) -> Path:
        """Return a name in one of the folders that nothing has."""
        return folder / f".underbody-{self._tokens[folder]}-{next(self._numbers)}.tmp"


def sweep_temporaries(folder: Path) -> None:
    """Remove the temporary files in a folder whose writer is no more; anybody else's stay."""
    if fcntl is None:
        return
    by_token: dict[str, list[Path]] = {}
    with contextlib.suppress(OSError):
        for path in folder.iterdir():
            if (named := _NAME.fullmatch(path.name)) and _is_own(path):
                by_token.setdefault(named[1], []).append(path)
    for token, paths in by_token.items():
        with contextlib.suppress(OSError), _taken(_lock_in(folder, token)) as is_free:
            for path in sorted(paths, reverse=True) if is_free else ():  # the lock itself at last
                path.unlink(missing_ok=True)


def _is_own(path: Path) -> bool:
    """Return whether a file is a plain one of this user."""
    is_plain = path.is_file() and not path.is_symlink()
    return is_plain and path.stat().st_uid == os.getuid()


def _lock_in(folder: Path, token: str) -> Path:
    return folder / f".underbody-{token}.tmp"


@contextmanager
def _locked_token(folder: Path) -> Iterator[str]:
    """Yield a token whose lock file in a folder is ours; at the end all files of that token are removed."""
    with contextlib.ExitStack() as opened:
        while True:
            token = secrets.token_hex(8)
            lock = _lock_in(folder, token)
            _lock(opened.enter_context(lock.open("xb")), is_patient=True)
            if lock.exists():
                break  # else somebody swept it away before it was locked
        try:
            yield token
        finally:
            for path in (*folder.glob(f".underbody-{token}-*.tmp"), lock):
                path.unlink(missing_ok=True)


@contextmanager
def _taken(lock: Path) -> Iterator[bool]:
    """Yield whether nobody holds a lock file, or it is gone; it is held meanwhile."""
    try:
        file = lock.open("r+b")
    except FileNotFoundError:
        yield True
        return
    with file:
        yield _lock(file, is_patient=False)


def _lock(file: BinaryIO, *, is_patient: bool) -> bool:
    """Lock an open file, waiting for whoever holds it or not; return whether that was possible."""
    if fcntl is None:
        return False
    try:
        fcntl.flock(file, fcntl.LOCK_EX if is_patient else fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
