"""The profile that a page begins with where no type fits, read by the same reader as every other."""

from __future__ import annotations

import json

import pytest
from test_page_scripts import in_node, with_node

from router.reading import read_profile

HOSTILE = 'a: "b" #c \\ <img src=x onerror=alert(1)> ünï'


@with_node
@pytest.mark.parametrize("unit, mm", [("mm", 1.0), ("in", 25.4)])
@pytest.mark.parametrize("name", ["Heron", HOSTILE], ids=["plain", "hostile"])
def test_it_has_no_faults_and_keeps_its_name(tmp_path, unit, mm, name):
    call = f"blankProfile({json.dumps(name)}, {json.dumps(unit)}, '2026-11-30')"
    text = in_node(f'import {{ blankProfile }} from "./blank.js"; console.log(JSON.stringify({call}))')
    path = tmp_path / "profile.yaml"
    path.write_text(text, encoding="utf-8")
    profile = read_profile(path)
    assert profile.name == name
    assert profile.unit == unit
    (space,) = profile.spaces
    assert space.outline[1][0] == pytest.approx(3500, abs=mm)
    assert space.height_mm == pytest.approx(350, abs=6)
