"""What `check` says of a file that has no fault, and where."""

from __future__ import annotations

from pathlib import Path

import pytest

from router.reading import advice_on, check_file, library

PROFILE = """\
profile: Heron test van
revision: 1
measured: {on: 2026-03-14, tolerance: 10 mm}
unit: mm
datum: front axle, centre line, workshop floor
spaces:
  Motor bay: {height: 400 mm, outline: [[0, 0], [3000, 0], [3000, 1000], [0, 1000]]}
  hold: {height: 700 mm, outline: [[2000, 0], [3000, 0], [3000, 1000], [2000, 1000]]}
keep-outs:
  - {name: fan, space: hold, hazard: moving, along: [[2100, 500], [2500, 500]], width: 80 mm, clearance: 0 mm}
  - {name: seam, space: hold, hazard: sharp, along: [[2100, 600], [2500, 600]], width: 5 mm, clearance: 0 mm}
terminals:
  - {name: battery positive, space: hold, at: [2100, 900], height: 700 mm, stud: M6}
  - {name: lamp, kind: lamp, space: hold, at: [2900, 900], height: 720 mm}
variants:
  other:
    add:
      terminals: [{name: joint, space: hold, at: [2900, 800], height: 720 mm}]
"""


@pytest.fixture
def advice(tmp_path, monkeypatch):
    def written(text: str) -> list[str]:
        monkeypatch.chdir(tmp_path)
        Path("file.yaml").write_text(text, encoding="utf-8")
        check_file("file.yaml")  # no fault
        return [str(each) for each in advice_on("file.yaml")]

    return written


def test_every_kind_left_unsaid_is_told_with_its_place_and_a_guess_from_the_name(advice):
    stands = "has no kind, so the most careful rule of all kinds stands for it"
    spaces = "engine bay, underfloor, wheel house, cabin, load area, boot, outside"
    terminals = "battery post, stud, fuse box, earth point, unit, lamp, trailer socket, connector"
    told = [each for each in advice(PROFILE) if "no kind" in each]
    assert told == [
        f'file.yaml:7:3: space "Motor bay": {stands}; perhaps kind: engine bay',
        f'file.yaml:8:3: space "hold": {stands}; write one of {spaces}',
        f'file.yaml:13:5: terminal "battery positive": {stands}; perhaps kind: battery post',
        f'file.yaml:18:19: terminal "joint": {stands}; write one of {terminals}',
    ]


def test_a_clearance_of_0_is_told_where_touching_does_harm(advice):
    (told,) = [each for each in advice(PROFILE) if "clearance" in each]
    assert told.startswith('file.yaml:10:106: keep-out "fan": a clearance of 0')
    rules = "clearance: {hot: 2 mm, moving: 0 mm, hot shielded: 0 in, sharp: 0 mm}\n"
    told = advice(f"practice: House\nbased-on: default\n{rules}")
    assert [each.partition(" keeps")[0] for each in told] == [
        "file.yaml:3:32: clearance: moving 0",
        "file.yaml:3:52: clearance: hot shielded 0",
    ]


@pytest.mark.parametrize(("_name", "file"), library())
def test_shipped_profiles_say_every_kind(_name, file):
    assert advice_on(file) == ()
