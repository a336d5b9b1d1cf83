"""Where words go: results are written and exit codes stand, though nobody reads, or the device is full."""

from __future__ import annotations

import errno
import io
import os
import sys
from typing import Any, TextIO

_NOBODY = (errno.EPIPE, errno.EBADF)
"""A reader that has left, or never was: it asked for no more, so that nothing is lost."""


class Outlet(io.RawIOBase):
    """The end of a stream that takes everything; what cannot be written is left out, and noted."""

    def __init__(self, handle: int) -> None:
        super().__init__()
        self._handle = handle
        self.lost = 0
        """Number of the first error; 0 where everything was written."""

    def writable(self) -> bool:
        """Return whether it can be written to: always."""
        return True

    def fileno(self) -> int:
        """Return the system's handle."""
        return self._handle

    def isatty(self) -> bool:
        """Return whether somebody watches."""
        return os.isatty(self._handle)

    def write(self, data: Any, /) -> int:
        """Write what can be written; count everything as written once something could not be."""
        while not self.lost:
            try:
                return os.write(self._handle, data)
            except BlockingIOError:
                self._wait()
            except OSError as error:
                self.lost = error.errno or errno.EIO
        return len(data)

    def _wait(self) -> None:
        import select

        select.select([], [self._handle], [])


def keep_streams() -> None:
    """Let nothing that happens to stdout or stderr stop this process.

    A stream that was closed by whoever started us goes nowhere, not into the next file that is opened.
    """
    while (handle := os.open(os.devnull, os.O_RDWR)) <= 2:
        pass
    os.close(handle)
    if sys.stdout is sys.__stdout__:
        sys.stdout = _kept(sys.stdout)
    if sys.stderr is sys.__stderr__:
        sys.stderr = _kept(sys.stderr)


def words_lost() -> str:
    """Return why results could not be written to stdout; nothing where they were, or nobody wanted them."""
    lost = getattr(getattr(getattr(sys.stdout, "buffer", None), "raw", None), "lost", 0)
    return os.strerror(lost) if lost and lost not in _NOBODY else ""


def _kept(stream: TextIO | None) -> TextIO:
    if stream is None:
        return open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123 - open to the end of the process
    if os.name == "nt" and stream.isatty():
        return stream  # a console there is no file
    stream.flush()
    outlet = io.BufferedWriter(Outlet(stream.fileno()))
    return io.TextIOWrapper(outlet, encoding=stream.encoding, errors="replace", line_buffering=True)
