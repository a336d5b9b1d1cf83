"""What `check` advises of in a vehicle whose parts each can be: a person looks, nothing is refused."""

import pytest

from router.reading import advice_on, check_file

VEHICLE = """\
profile: Heron flatbed
revision: 1
measured: {{on: 2026-03-14, tolerance: 10 mm}}
unit: mm
datum: front axle, centre line, workshop floor
spaces:
  underfloor: {{kind: underfloor, height: 400 mm, outline: [[0, -900], [3000, -900], [3000, 900], [0, 900]]}}
  deck: {{kind: load area, height: 700 mm, outline: [[2000, -900], [3000, -900], [3000, 900], [2000, 900]]}}
{panels}
keep-outs:
  - {{name: battery, hazard: solid, heights: [380 mm, 560 mm],
     area: [[200, 100], [500, 100], [500, 400], [200, 400]]}}
{bodies}
supports:
  - {{name: rail, space: underfloor, kind: rail, height: {rail}, fix: tie,
     along: [[300, -500], [2800, -500]]}}
openings:
  - {{name: plug, joins: [underfloor, deck], at: [2500, 0], {plug}bore: 38 mm, edge: rubber}}
terminals:
  - {{name: plus, space: underfloor, kind: battery post, pole: positive, at: {plus}, height: 500 mm}}
  - {{name: left lamp, space: deck, kind: lamp, at: {lamp}, height: 720 mm}}
"""
USUAL = {
    "panels": "panels: [{name: floor, between: [underfloor, deck], height: 600 mm}]",
    "bodies": "",
    "rail": "410 mm",
    "plug": "",
    "plus": "[520, 250]",
    "lamp": "[2900, -800]",
}


def advice(folder, **changes):
    path = folder / "heron.yaml"
    path.write_text(VEHICLE.format(**{**USUAL, **changes}))
    assert check_file(path) == "profile"
    return [f"{each.where}: {each.what}" for each in advice_on(path)]


def test_a_vehicle_that_makes_sense_has_no_advice(tmp_path):
    assert advice(tmp_path) == []


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        (
            {"plus": "[900, 250]"},
            'terminal "plus": no solid keep-out is within 300 mm of this post; add its battery',
        ),
        (
            {"lamp": "[2900, 800]"},
            'terminal "left lamp": is called left and lies on the right, y 800; '
            "y goes to the vehicle's right",
        ),
        (
            {"lamp": "[2900, 0]", "bodies": "  - {name: step, hazard: solid, heights: [650 mm, 800 mm],"
             " area: [[2800, -50], [3000, -50], [3000, 50], [2800, 50]]}"},
            'terminal "left lamp": is inside keep-out "step", so that no loom can end there; put it outside',
        ),
        (
            {"bodies": "  - {name: tank, hazard: fuel, heights: [300 mm, 500 mm], disc:"
             " {centre: [1500, -500], radius: 200 mm}}"},
            'support "rail": goes through keep-out "tank"; nothing is fixed there. Check both places',
        ),
        (
            {"bodies": "  - {name: undertray, hazard: sharp, heights: [390 mm, 420 mm],"
             " area: [[-10, -950], [3010, -950], [3010, 950], [-10, 950]]}", "rail": "430 mm"},
            'keep-out "undertray": leaves nothing of space "underfloor" at 400 mm, where its looms lie; '
            "write only as far as it was measured",
        ),
        (
            {"rail": "610 mm"},
            'support "rail": lies beyond panel "floor" of its space, at 600 mm; '
            "check its space and its height",
        ),
        (
            {"panels": ""},
            'opening "plug": has no height, so half-way between those of its spaces stands for it; '
            "write height, or the panels that it goes through",
        ),
    ],
)  # fmt: skip
def test_each_doubt_by_itself(tmp_path, changes, words):
    assert advice(tmp_path, **changes) == [words]


def test_a_rising_support_is_judged_where_the_panel_is(tmp_path):
    """The floor is from x 2000 on; the rail rises evenly from 620 to 370 mm, so it is at 450 mm there."""
    panel = "panels: [{name: floor, between: [underfloor, deck], height: %d mm, area:"
    panel += " [[2000, -900], [3000, -900], [3000, 900], [2000, 900]]}]"
    path = tmp_path / "heron.yaml"
    for height_mm, is_said in ((600, False), (449, True), (451, False)):
        text = VEHICLE.format(**{**USUAL, "panels": panel % height_mm})
        path.write_text(text.replace("height: 410 mm", "heights: [620 mm, 370 mm]"))
        said = ["lies beyond panel" in each.what for each in advice_on(path)]
        assert said == [True] * is_said, height_mm


def test_a_body_below_a_support_is_no_matter(tmp_path):
    place = "heights: [200 mm, 409 mm], disc: {centre: [1500, -500], radius: 200 mm}"
    assert advice(tmp_path, bodies=f"  - {{name: tank, hazard: fuel, {place}}}") == []


def test_a_doubt_of_a_variant_is_told_as_well(tmp_path):
    moved = (
        "variants: {long: {replace: {terminals: [{name: left lamp, space: deck, kind: lamp, at: [2900, 5],"
    )
    path = tmp_path / "heron.yaml"
    path.write_text(VEHICLE.format(**USUAL) + moved + " height: 720 mm}]}}}\n")
    assert ["lies on the right" in each.what for each in advice_on(path)] == [True]
