"""The map as PDF: a page a sheet, in true size, the same bytes; words where it cannot be made."""

from __future__ import annotations

import re
import sys
from dataclasses import replace

import pytest
from sample_plan import sample_job, sample_plan, sample_profile

from router.drawing import draw_map
from router.drawing.sheets.pixels import NoRendererError
from router.drawing.sheets.printing import NotPrintableError, draw_pdf


@pytest.fixture(scope="module")
def plan():
    return sample_plan()


def test_every_sheet_is_a_page_in_the_size_of_its_paper(plan):
    for paper, size_mm in (("a4", (297, 210)), ("tabloid", (17 * 25.4, 11 * 25.4))):
        drawn = draw_map(plan, paper=paper)
        pdf = draw_pdf(drawn)
        assert pdf.startswith(b"%PDF-1.")  # ISO 32000-1, 7.5.2
        boxes = re.findall(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", pdf)
        assert len(boxes) == drawn.count('<g id="sheet-')
        for box in boxes:  # ISO 32000-1, 8.3.2.3: a unit is 1/72 inch
            assert [float(number) * 25.4 / 72 for number in box] == pytest.approx(size_mm, abs=0.01)


def test_the_same_map_gives_the_same_bytes(plan):
    drawn = draw_map(plan)
    assert draw_pdf(drawn) == draw_pdf(drawn)


def test_letters_that_the_fonts_do_not_have_are_refused_in_words():
    drawn = draw_map(sample_plan(sample_profile(), replace(sample_job(), name="Łódź")))
    with pytest.raises(NotPrintableError, match='no letter "Ł"'):
        draw_pdf(drawn)


def test_without_the_libraries_one_line_says_what_to_do(plan, monkeypatch):
    monkeypatch.setitem(sys.modules, "svglib.svglib", None)
    with pytest.raises(NoRendererError, match=r"pip install 'underbody-router\[pdf\]'"):
        draw_pdf(draw_map(plan))
