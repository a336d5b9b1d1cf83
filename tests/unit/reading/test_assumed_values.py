"""What nobody measured yet: `assumed` is read on every part, in any unit, in variants and places alike."""

import json

import pytest

from router.reading import advice_on, check_file, json_schema, read_profile, read_question

VEHICLE = """\
profile: Heron flatbed
revision: 1
measured: {on: 2026-03-14, tolerance: 10 mm}
unit: mm
datum: front axle, centre line, workshop floor
spaces:
  underfloor:
    kind: underfloor
    height: 400 mm
    assumed: 15 mm
    outline: [[0, -900], [3000, -900], [3000, 900], [0, 900]]
    steps: [{area: [[2700, -900], [3000, -900], [3000, 900], [2700, 900]], height: 450 mm, assumed: 20 mm}]
  deck: {kind: load area, height: 700 mm, outline: [[2000, -900], [3000, -900], [3000, 900], [2000, 900]]}
panels:
  - {name: floor, between: [underfloor, deck], height: 600 mm, assumed: 25 mm}
keep-outs:
  - {name: tank, hazard: fuel, heights: [300 mm, 500 mm], assumed: 60 mm,
     area: [[200, 100], [500, 100], [500, 400], [200, 400]]}
  - {name: pipe, hazard: hot, heights: [300 mm, 400 mm], along: [[200, 700], [900, 700]], width: 60 mm}
members:
  - {name: beam, space: underfloor, along: [[1500, -900], [1500, 900]], width: 90 mm, assumed: 2 in,
     passes: [{over: [[1500, -300], [1500, 300]], rise: 55 mm, assumed: 1.5 in},
              {through: [1500, 700], bore: 30 mm, edge: bare, assumed: 35 mm}]}
supports:
  - {name: rail, space: underfloor, kind: rail, fix: tie, assumed: 4 cm, along: [[300, -500], [2800, -500]]}
  - {name: fuel line, space: underfloor, kind: line, fix: never, assumed: 45 mm, height: 350 mm,
     along: [[300, -800], [2800, -800]]}
covers:
  - {name: shield, space: underfloor, fasteners: 4, assumed: 50 mm,
     area: [[100, -400], [900, -400], [900, -600], [100, -600]]}
openings:
  - {name: plug, joins: [underfloor, deck], at: [2500, 0], bore: 38 mm, edge: rubber, assumed: 55 mm}
terminals:
  - {name: lamp, space: deck, kind: lamp, at: [2900, -800], height: 720 mm, assumed: 65 mm}
  - {name: stud, space: deck, kind: earth point, at: [2900, -700], height: 720 mm, stud: M8}
variants:
  other lamp:
    replace:
      terminals: [{name: lamp, space: deck, kind: lamp, at: [2900, 800], height: 720 mm, assumed: 70 mm}]
    add:
      supports:
        - {name: strap, space: deck, kind: rail, fix: clip, assumed: 75 mm, along: [[2100, 0], [2900, 0]]}
"""


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "heron.yaml"
    path.write_text(VEHICLE)
    return path


def test_every_part_carries_what_is_assumed_of_it(file):
    read = read_profile(file)
    underfloor, beam = read.space("underfloor"), read.member("beam")
    assert underfloor.assumed_mm == 15.0
    assert underfloor.steps[0].assumed_mm == 20.0
    assert read.panel("floor").assumed_mm == 25.0
    assert read.keep_out("tank").assumed_mm == 60.0
    assert beam.assumed_mm == pytest.approx(50.8)
    assert [each.assumed_mm for each in beam.passes] == [pytest.approx(38.1), 35.0]
    assert read.support("rail").assumed_mm == 40.0
    assert read.cover("shield").assumed_mm == 50.0
    assert read.opening("plug").assumed_mm == 55.0
    assert read.terminal("lamp").assumed_mm == 65.0


def test_what_says_nothing_of_it_was_measured(file):
    read = read_profile(file)
    assert read.space("deck").assumed_mm is None
    assert read.keep_out("pipe").assumed_mm is None
    assert read.terminal("stud").assumed_mm is None


def test_a_line_that_nothing_is_fixed_to_is_as_uncertain_as_a_body(file):
    assert read_profile(file).keep_out("fuel line").assumed_mm == 45.0


def test_a_variant_replaces_and_adds_what_is_assumed(file):
    read = read_profile(file, "other lamp")
    assert read.terminal("lamp").assumed_mm == 70.0
    assert read.support("strap").assumed_mm == 75.0


def test_a_place_of_a_job_may_be_assumed_too(file):
    job = file.with_name("job.yaml")
    job.write_text("""\
job: Second lamp
profile: heron.yaml
source: {nominal: 12 V, resting: 12.6 V, at: lamp}
places: [{name: new lamp, kind: lamp, space: deck, at: [2900, 0], height: 720 mm, assumed: 80 mm}]
runs: [{run: supply, from: stud, to: new lamp, conductors: [{name: supply, colour: red, load: 2 A}]}]
""")
    assert read_question(job).profile.terminal("new lamp").assumed_mm == 80.0


def test_what_is_assumed_to_less_than_the_tolerance_is_advised_of(file):
    file.write_text(VEHICLE.replace("assumed: 60 mm", "assumed: 6 mm"))
    assert check_file(file) == "profile"
    assert [f"{each.line}: {each.where}: {each.what}" for each in advice_on(file)] == [
        '17: keep-out "tank": is assumed to 6 mm, less than the 10 mm that what was measured is good for, '
        "which stands; leave it out, or write more"
    ]


def test_the_schema_for_editors_knows_it_on_every_part():
    parts = json_schema("profile")["$defs"]
    knowing = sorted(
        name.removesuffix("File") for name, part in parts.items() if "assumed" in part.get("properties", ())
    )
    assert knowing == [
        *("Cover", "KeepOut", "Member", "Opening", "Panel", "Pass", "Space", "Step", "Support", "Terminal")
    ]
    assert "mm" in json.dumps(parts["KeepOutFile"]["properties"]["assumed"]["pattern"])
