"""Files written whole, all of them or none."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TypeAlias

from router.signals import held
from router.writing.temporaries import Temporaries, sweep_temporaries

Content: TypeAlias = bytes | Iterable[bytes]
"""Of a file; in parts where it may be long."""


def write_whole(files: Mapping[Path, Content]) -> None:
    """Write all files, or none: each appears whole under its name, or is left as it was.

    Everything is first written beside its place under a temporary name and flushed to the disk, which is
    where a full disk or a read-only folder shows; only then do the files take their names, one after the
    other. Where that fails half-way, those already changed are put back. A key press waits for the end. What
    a killed writer has left in these folders is removed.

    Raises
    ------
    OSError
        With a message of one line that names the file.
    """
    with held():
        made = [folder for path in files for folder in _make_folder(path.parent)]
        folders = {path.parent: None for path in files}
        try:
            for path in files:
                if path.exists() and not path.is_file():
                    raise OSError(f"cannot write {path}: it is {'a folder' if path.is_dir() else 'no file'}")
            for folder in folders:
                sweep_temporaries(folder)
            with Temporaries(folders) as temporaries:
                _take_names({path: _written(temporaries, path, files[path]) for path in files}, temporaries)
        except OSError as error:
            raise _one_line(error, files) from error
        finally:
            _remove_if_empty(made)
        for folder in folders:
            _sync_folder(folder)


def _make_folder(folder: Path) -> list[Path]:
    """Make a folder and those above it; return the ones that were not there, the deepest first."""
    missing = [each for each in (folder, *folder.parents) if not each.exists()]
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        _remove_if_empty(missing)
        raise OSError(f"cannot make the folder {folder}: {error.strerror or error}") from error
    return missing


def _remove_if_empty(folders: list[Path]) -> None:
    for folder in folders:
        with contextlib.suppress(OSError):
            folder.rmdir()  # refuses where something is in it


def _written(temporaries: Temporaries, path: Path, content: Content) -> Path:
    """Return the temporary file beside a place that now holds its content."""
    temporary = temporaries.name_in(path.parent)
    with temporary.open("xb") as file:
        for part in (content,) if isinstance(content, bytes) else content:
            file.write(part)
        file.flush()
        os.fsync(file.fileno())
    return temporary


def _take_names(written: Mapping[Path, Path], temporaries: Temporaries) -> None:
    before = {path: path.read_bytes() if path.exists() else None for path in written}
    taken: list[Path] = []
    try:
        for path, temporary in written.items():
            temporary.replace(path)
            taken.append(path)
    except BaseException:
        for path in taken:
            _put_back(path, before[path], temporaries)
        raise


def _put_back(path: Path, content: bytes | None, temporaries: Temporaries) -> None:
    if content is None:
        path.unlink(missing_ok=True)
    else:
        _written(temporaries, path, content).replace(path)


def _one_line(error: OSError, files: Mapping[Path, Content]) -> OSError:
    if error.errno is None:
        return error
    folders = ", ".join(sorted({str(path.parent) for path in files}))
    return OSError(f"cannot write into {folders}: {error.strerror}")


def _sync_folder(folder: Path) -> None:
    """Make the new names themselves safe against a power cut, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
