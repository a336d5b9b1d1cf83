"""The map as PNG: what the format's own standard says must be there; words where it cannot be made."""

from __future__ import annotations

import struct
import sys

import pytest
from sample_plan import sample_plan

from router.drawing import draw_map
from router.drawing.sheets.pixels import NoRendererError, draw_pictures, sheets_apart


@pytest.fixture(scope="module")
def map_svg():
    return draw_map(sample_plan())


def test_every_sheet_is_a_picture_of_its_paper(map_svg):
    pictures = draw_pictures(map_svg)
    assert len(pictures) == 3
    for picture in pictures:
        # ISO/IEC 15948 (PNG) 5.2 and 11.2.2: eight bytes of signature, then IHDR with width and height.
        assert picture[:8] == b"\x89PNG\r\n\x1a\n"
        assert picture[12:16] == b"IHDR"
        width, height = struct.unpack(">II", picture[16:24])
        assert (width, height) == pytest.approx((297 / 25.4 * 200, 210 / 25.4 * 200), abs=1.0)  # A4, 200 dpi
    assert len({picture[:2000] for picture in pictures}) == 3


def test_sheets_apart_show_one_sheet_each(map_svg):
    views = [sheet[: sheet.index("<title>")] for sheet in sheets_apart(map_svg)]
    assert len(views) == 3
    for number, view in enumerate(views):
        assert f'viewBox="0,{number * 210},297,210"' in view
        assert 'height="210mm"' in view
    with pytest.raises(ValueError, match="no SVG"):
        sheets_apart("<svg/>")


def test_without_the_renderer_one_line_says_what_to_do(map_svg, monkeypatch):
    monkeypatch.setitem(sys.modules, "resvg_py", None)
    with pytest.raises(NoRendererError, match=r"pip install 'underbody-router\[png\]'"):
        draw_pictures(map_svg)
