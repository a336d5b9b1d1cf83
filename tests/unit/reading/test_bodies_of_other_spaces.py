"""Where a body with heights is listed decides nothing; without heights its space says where it is."""

from __future__ import annotations

from pathlib import Path

import pytest

from router.errors import UnreadableError
from router.reading import check_file

HERON = Path(__file__).parents[2] / "refusals/vehicles/heron.yaml"
BODY = (
    "keep-outs:\n  - {name: tray, space: load area, hazard: solid, "
    "%sdisc: {centre: [500, 500], radius: 20 mm}}\n"
)
"""Listed for the load area, which begins at x 2000."""


def check_with_tray(folder, heights):
    text = HERON.read_text(encoding="utf-8")
    assert text.count("keep-outs:\n") == 1
    path = folder / "heron.yaml"
    path.write_text(text.replace("keep-outs:\n", BODY % heights), encoding="utf-8")
    return check_file(str(path))


def test_a_body_with_heights_may_lie_in_any_space(tmp_path):
    assert check_with_tray(tmp_path, "heights: [300 mm, 350 mm], ") == "profile"


def test_a_body_without_heights_lies_near_its_own_space(tmp_path):
    with pytest.raises(UnreadableError, match='wholly outside space "load area"'):
        check_with_tray(tmp_path, "")
