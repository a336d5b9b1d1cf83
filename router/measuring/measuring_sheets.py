"""The measuring sheet of whatever a person names: a type to start from, or a profile to go on with."""

from __future__ import annotations

from pathlib import Path

from router.errors import Fault, UnreadableError
from router.measuring.profile_sheet import profile_sheet
from router.measuring.sheet_pages import SheetOptions
from router.measuring.type_reader import find_type, read_type, type_files
from router.measuring.type_sheet import type_sheet
from router.reading import Document, document_of, library, read_document
from router.units import nearest


def measuring_sheet(named: str | Path, paper: str = "a4", unit: str = "mm") -> str:
    """Return a measuring sheet as one HTML document that needs nothing else.

    Parameters
    ----------
    named : str or pathlib.Path
        The key of a type, a name in the library, or a file: of a profile, whole or not, or of a type.
    paper : str
        "a4" or "letter".
    unit : str
        "mm" or "in".

    Raises
    ------
    UnreadableError
        There is no such type or file, or it cannot be taken apart.
    ValueError
        There is no such paper or unit.
    """
    options = SheetOptions(paper, unit)
    if isinstance(named, str) and (found := find_type(named)):
        return type_sheet(found, options)
    document = read_document(_file(named))
    if next(iter(document.data), "") == "type":
        return type_sheet(read_type(_file(named)), options)
    return _of_profile(document, options)


def measuring_sheet_of(text: str, paper: str = "a4", unit: str = "mm") -> str:
    """Return the measuring sheet of a profile's text that is in no file yet, whole or not.

    Parameters
    ----------
    text : str
        The profile.
    paper, unit : str
        As for `measuring_sheet`, and its errors too.
    """
    return _of_profile(document_of(text, "profile"), SheetOptions(paper, unit))


def _of_profile(document: Document, options: SheetOptions) -> str:
    if next(iter(document.data), "") != "profile" and "spaces" not in document.data:
        raise UnreadableError((document.fault((), "is no profile and no type; name one of those"),))
    return profile_sheet(document.data, options)


def _file(named: str | Path) -> Path:
    books = dict(library())
    path = books.get(str(named), Path(named))
    if path.exists() or path.suffix in (".yaml", ".yml"):
        return path
    known = (*type_files(), *books)
    near = nearest(str(named), known)
    advice = f'did you mean "{near}"?' if near else f"use one of {', '.join(known)}, or a file"
    raise UnreadableError((Fault(str(named), 1, 1, "", f"there is no such type, profile or file; {advice}"),))
