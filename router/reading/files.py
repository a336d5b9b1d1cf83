"""Which files are read: plain ones of some size, and by what another file names only those near it.

A file may come from a stranger. What it names leads to the library, or into its own folder and the folders
above it: two of them, and more where the folder that we work in is one of those, but never as high as the
home folder or the root of the disk. So it cannot make us read, or tell of, what is none of its business.
"""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from types import MappingProxyType

FOLDERS_ABOVE = 2
"""A shop keeps shop/profiles beside shop/jobs/van-17/job.yaml."""
_PACKAGE = Path(__file__).parent.parent


def library_folder() -> Path:
    """Return the folder of shipped profiles: inside an installed package, else beside it in the sources."""
    inside = _PACKAGE / "profiles"
    return inside if inside.is_dir() else _PACKAGE.parent / "profiles"


@contextmanager
def holding(texts: Mapping[Path, str | None]) -> Iterator[None]:
    """Let files be read, in here and in this thread, as somebody has them open; None: there is none.

    What is held stands in place of what the disk has, so that a text is judged by the very code that reads
    the file once it is saved. Half a character, which UTF-8 cannot hold, makes it a file that is no text.

    Parameters
    ----------
    texts : mapping of pathlib.Path to str
        What each of some files would hold. Links are not followed: a file is held by the name that it is
        asked for.
    """
    held = {
        _whole(path): None if text is None else text.encode("utf-8", "surrogatepass")
        for path, text in texts.items()
    }
    before = _HELD.set({**_HELD.get(), **held})
    try:
        yield
    finally:
        _HELD.reset(before)


_HELD: ContextVar[Mapping[str, bytes | None]] = ContextVar("files held", default=MappingProxyType({}))


def _whole(path: Path) -> str:
    try:
        return os.path.abspath(path)  # noqa: PTH100 - a link is not followed: the name counts
    except ValueError:
        return str(path)


def plain_bytes(path: Path, most: int) -> bytes:
    """Return what a plain file holds, and no more of it than one byte over `most`.

    Raises
    ------
    OSError or ValueError
        There is none, or it is a folder, a pipe or a device, or cannot be read.
    """
    held, whole = _HELD.get(), _whole(path)
    if whole in held:
        if (content := held[whole]) is None:
            raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), str(path))
        return content[: most + 1]
    mode = path.stat().st_mode
    if not stat.S_ISREG(mode) and not stat.S_ISDIR(mode):  # opening a pipe would wait for its writer
        raise OSError(errno.EINVAL, "it is a pipe or a device; save it as a file first")
    with path.open("rb") as file:
        return file.read(most + 1)


def is_file(path: Path) -> bool:
    """Return whether there is a plain file; a name that no file can have is that of none."""
    return stat.S_ISREG(_mode(path))


def is_folder(path: Path) -> bool:
    """Return whether there is a folder; a name that no folder can have is that of none."""
    return stat.S_ISDIR(_mode(path))


def shut_out(path: Path, folder: Path, *, trusts_paths: bool) -> str | None:
    """Return the words for a path that a file in a folder may not name, None for one that it may.

    Symbolic links are followed first, on both sides.
    """
    if trusts_paths:
        return None
    try:
        target, reach = path.resolve(), _reach(folder)
        library = library_folder().resolve()
    except (OSError, ValueError, RuntimeError):  # a loop of links, a name that is too long
        return "is a path that leads nowhere; check it"
    if any(target.is_relative_to(each) for each in (reach, library)):
        return None
    words = f"leads out of {reach}, further than a file may look that could be a stranger's"
    return f"{words}; put what it names in there, or trust its paths: --trust-paths"


def _reach(folder: Path) -> Path:
    """Return the highest folder that a file may look into."""
    here, work = folder.resolve(), Path.cwd().resolve()
    highest = here
    for above in here.parents:
        if _is_too_high(above):
            break
        if work == above or above in here.parents[:FOLDERS_ABOVE]:
            highest = above
    return highest


def _is_too_high(folder: Path) -> bool:
    """Return whether a folder is the root of a disk, or the home folder or above it."""
    try:
        home = Path.home().resolve()
    except (OSError, RuntimeError):
        return folder == Path(folder.anchor)
    return folder == Path(folder.anchor) or home.is_relative_to(folder)


def _mode(path: Path) -> int:
    held, whole = _HELD.get(), _whole(path)
    if whole in held:
        return 0 if held[whole] is None else stat.S_IFREG
    try:
        return path.stat().st_mode
    except (OSError, ValueError):
        return 0
