"""The sheet as a browser prints it: how many pages, on which paper, and the map in its true size."""

from __future__ import annotations

import pytest
from browsing import in_a_browser, printed_pages
from sample_plan import sample_plan

from router.drawing import draw_map
from router.sheet.job_sheet import make_sheet

pytestmark = in_a_browser
TEXT_PAGES = 5
"""A person under a vehicle turns no more than this for two runs."""


@pytest.mark.parametrize("paper, size", [("A4", (210, 297)), ("letter", (215.9, 279.4))])
def test_the_sheet_is_short_and_its_map_comes_last_in_true_size(tmp_path, paper, size):
    """Sizes: ISO 216, A4; ANSI/ASME Y14.1, A. The map of the sample has three sheets of A4 across."""
    plan = sample_plan()
    pages = printed_pages(make_sheet(plan, draw_map(plan)), tmp_path, paper)
    text, maps = pages[:-3], pages[-3:]
    assert 0 < len(text) <= TEXT_PAGES
    for page in text:
        assert page == pytest.approx(size, abs=0.5)
    for page in maps:
        assert page == pytest.approx((297, 210), abs=0.5)
