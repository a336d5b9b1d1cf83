"""What a killed writer leaves behind is swept away, as long as nobody else writes into the folder."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

LEFT_BEHIND = (".*.tmp", "plans/*/.*.tmp")


@contextmanager
def alone_at_first(folder: Path) -> Iterator[None]:
    """Sweep a folder if nobody else is at work in it, and let others know that somebody is from now on.

    The lock is on the folder itself and ends with its process, however that ends. Where the system has no
    such locks nothing is swept: what is left behind does no harm.
    """
    try:
        import fcntl  # noqa: PLC0415 - not on every system
    except ImportError:
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            pass  # another fleet is at work here
        else:
            for pattern in LEFT_BEHIND:
                for path in folder.glob(pattern):
                    path.unlink(missing_ok=True)
        fcntl.flock(handle, fcntl.LOCK_SH)
        yield
    finally:
        os.close(handle)
