"""The files of one folder: held by one server alone, read as bytes, written whole."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Mapping
from pathlib import Path

from router.reading import plain_bytes
from router.writing import write_whole

try:
    import fcntl
except ImportError:  # pragma: no cover - Windows
    fcntl = None  # type: ignore[assignment]

NAMES = {"profile": "profile.yaml", "job": "job.yaml"}
JOURNAL = "sketch.journal"
MOST_BYTES = 2_000_000
"""Of a profile or a job, as wherever they are read."""


class FolderError(Exception):
    """A folder that cannot be worked in; one line that says why."""


class FolderFiles:
    """The files of a folder; while it is open no other server has them."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder.resolve()
        self._lock = self._open()

    def _open(self) -> int | None:
        """Return the lock that is held on the folder; it ends with its process, however that ends."""
        try:
            self.folder.mkdir(exist_ok=True)
        except OSError as error:
            what = "it is a file" if self.folder.is_file() else error.strerror
            raise FolderError(f"cannot work in {self.folder}: {what}") from None
        if not os.access(self.folder, os.W_OK | os.X_OK):
            raise FolderError(f"cannot write into {self.folder}; name a folder that is yours")
        for name in (*NAMES.values(), JOURNAL):
            if (self.folder / name).is_symlink():
                raise FolderError(f"{name} in {self.folder} is a link; put the file itself there")
        if fcntl is None:
            return None
        handle = os.open(self.folder, os.O_RDONLY | os.O_CLOEXEC)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            os.close(handle)
            raise FolderError(f"another `underbody sketch` works in {self.folder}; use that one") from None
        return handle

    def close(self) -> None:
        """Let another server have the folder."""
        if self._lock is not None:
            os.close(self._lock)

    @property
    def journal(self) -> Path:
        """Return where the journal is."""
        return self.folder / JOURNAL

    def read(self, file: str) -> bytes | None:
        """Return what a file holds; None where there is none.

        Raises
        ------
        FolderError
            It cannot be read, or is too large.
        """
        path = self.folder / NAMES[file]
        try:
            if path.is_symlink():
                raise FolderError(f"{path.name} is a link; put the file itself there")
            content = plain_bytes(path, MOST_BYTES)
        except FileNotFoundError:
            return None
        except (OSError, ValueError) as error:
            words = getattr(error, "strerror", None) or error
            raise FolderError(f"{path.name} cannot be read: {words}") from None
        if len(content) > MOST_BYTES:
            raise FolderError(f"{path.name} is larger than 2 MB")
        return content

    def sign(self, file: str) -> tuple[int, ...]:
        """Return what changes with a file, without reading it."""
        with contextlib.suppress(OSError):
            stat = (self.folder / NAMES[file]).lstat()
            return (stat.st_mtime_ns, stat.st_size, stat.st_ino)
        return ()

    def write(self, contents: Mapping[str, bytes | None]) -> None:
        """Write files whole, all or none; None takes one away."""
        paths = {self.folder / NAMES[file]: content for file, content in contents.items()}
        write_whole({path: content for path, content in paths.items() if content is not None})
        for path, content in paths.items():
            if content is None:
                path.unlink(missing_ok=True)
