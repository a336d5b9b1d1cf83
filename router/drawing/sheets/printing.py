"""The map's sheets as one PDF, a page each in true size, where the optional libraries are installed."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET
from typing import Any

from router.drawing.paper.letters import CAPITAL_HEIGHT, text_width_mm
from router.drawing.sheets.pixels import NoRendererError

SVG = "{http://www.w3.org/2000/svg}"
MISSING = "--pdf needs two libraries: pip install 'underbody-router[pdf]', or print the map from a browser"
HALO_OPACITY = "0.75"


class NotPrintableError(Exception):
    """The map has letters that the fonts which every PDF reader brings along do not have."""


def draw_pdf(map_svg: str) -> bytes:
    """Return a map made by `draw_map` as a PDF with one page a sheet, the same bytes for the same map.

    Raises
    ------
    NoRendererError
        Where the libraries are not installed; its words say what to do.
    NotPrintableError
        For words in other than western European letters.
    """
    try:
        from reportlab.graphics import renderPDF  # noqa: PLC0415 - optional, and slow to import
        from reportlab.pdfgen.canvas import Canvas  # noqa: PLC0415
        from svglib.svglib import svg2rlg  # noqa: PLC0415
    except ImportError as error:
        raise NoRendererError(MISSING) from error
    root = ET.fromstring(map_svg)
    _check_letters(root)
    _box_halos(root)
    written = io.BytesIO()
    canvas = Canvas(written, invariant=1)  # no clock in the file
    canvas.setTitle(root.findtext(f"{SVG}title", ""))
    for page in _pages(root):
        drawing: Any = svg2rlg(io.BytesIO(page))
        canvas.setPageSize((drawing.width, drawing.height))
        renderPDF.draw(drawing, canvas, 0, 0)
        canvas.showPage()
    canvas.save()
    return written.getvalue()


def _pages(root: ET.Element) -> list[bytes]:
    """Return each sheet as a document of its own."""
    ET.register_namespace("", SVG.strip("{}"))
    sheets = [group for group in root.findall(f"{SVG}g") if group.get("id", "").startswith("sheet-")]
    _, _, width, height = (float(number) for number in root.get("viewBox", "").split(","))
    height /= len(sheets)
    pages = []
    for number, sheet in enumerate(sheets):
        box = f"0 {number * height:g} {width:g} {height:g}"
        page = ET.Element(f"{SVG}svg", width=f"{width:g}mm", height=f"{height:g}mm", viewBox=box)
        page.append(sheet)
        pages.append(ET.tostring(page))
    return pages


def _check_letters(root: ET.Element) -> None:
    for text in root.iter(f"{SVG}text"):
        words = text.text or ""
        try:
            words.encode("cp1252")
        except UnicodeEncodeError as error:
            what = words[error.start : error.end]
            raise NotPrintableError(
                f'--pdf has no letter "{what}" as in "{words}"; print the map from a browser instead'
            ) from error


def _box_halos(root: ET.Element) -> None:
    """Put a light box in place of every halo: outlined letters are not drawn by the library."""
    for parent in list(root.iter()):
        for number, child in enumerate(list(parent)):
            if child.tag == f"{SVG}text" and child.get("fill") == child.get("stroke") == "#fff":
                parent[number] = _halo(child)


def _halo(text: ET.Element) -> ET.Element:
    size, grown = float(text.get("font-size", "0")), float(text.get("stroke-width", "0")) / 2
    width = text_width_mm(text.text or "", size, is_bold=text.get("font-weight") == "bold")
    share = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.get("text-anchor", "start")]
    left, foot = float(text.get("x", "0")) - share * width, float(text.get("y", "0"))
    numbers = {
        "x": left - grown,
        "y": foot - CAPITAL_HEIGHT * size - grown,
        "width": width + 2 * grown,
        "height": CAPITAL_HEIGHT * size + 2 * grown,
    }
    attributes = {name: f"{value:.3f}" for name, value in numbers.items()}
    return ET.Element(f"{SVG}rect", {**attributes, "fill": "#ffffff", "fill-opacity": HALO_OPACITY})
