"""The measuring sheets: what stands on them, and that tape and picture are true to the vehicle."""

import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from click.testing import CliRunner

from router.cli.measure_command import measure
from router.errors import UnreadableError
from router.measuring import measuring_sheet, vehicle_types
from router.measuring.pictures import flattened
from router.measuring.type_file import Seen

HALF_MEASURED = """\
profile: Half <b>measured</b>
unit: in
spaces:
  underfloor: {kind: underfloor, outline: [[0, -30], [100, -30], [100, 30], [0, 30]]}
keep-outs:
  - {name: tank, hazard: fuel, heights: [10 in, 15 in], area: [[40, 0], [60, 0], [60, 20]], assumed: 2 in}
  - {name: pipe, hazard: hot, along: [[0, 10], [50, 10]], width: 2 in, space: underfloor}
  - {name: shaft, hazard: moving, along: [[0, 0], [50, 0]], width: 3 in, heights: [12 in, 16 in]}
  - {name: nowhere, hazard: hot}
terminals:
  - {name: lamp, at: [95, -25], space: underfloor, height: soon}
"""


def rows_of(sheet):
    """Return each row of the sheet's tables by what it is about."""
    rows = re.findall(r'<tr><td>\d+</td><td><span class="named">(.*?)</span></td>(.*?)</tr>', sheet)
    return {
        name: re.findall(r'<span(?: class="(write(?: none)?)")?>([^<]*)</span>', row) for name, row in rows
    }


def test_a_profile_is_filled_in_where_it_is_known_and_has_boxes_where_not(tmp_path):
    path = tmp_path / "half.yaml"
    path.write_text(HALF_MEASURED)
    sheet = measuring_sheet(path, unit="in")
    rows = rows_of(sheet)
    assert rows["shaft"] == [("", "0"), ("", "50"), ("", "0"), ("", "12"), ("", "16")]
    assert rows["tank"] == [("write", each) for each in ("40", "60", "0", "20 R", "10", "15")]
    assert rows["pipe"] == [("", "0"), ("", "50"), ("", "10 R"), ("write none", ""), ("write none", "")]
    assert rows["lamp"] == [("", "95"), ("", "25 L"), ("write none", "")]
    assert rows["underfloor"][-1] == ("write none", "")
    assert "4 of 5 parts are not measured" in sheet


def test_a_name_never_becomes_markup(tmp_path):
    path = tmp_path / "half.yaml"
    path.write_text(HALF_MEASURED.replace("name: tank", "name: '<img src=x onerror=alert(1)>'"))
    sheet = measuring_sheet(path)
    assert "<img" not in sheet
    assert "<b>measured" not in sheet
    assert "&lt;img src=x onerror=alert(1)&gt;" in sheet


@pytest.mark.parametrize("key", [each.key for each in vehicle_types()])
def test_a_type_has_a_box_and_a_picture_for_each_length(key):
    sheet = measuring_sheet(key, "letter", "in")
    asked = next(each for each in vehicle_types() if each.key == key).measurements
    assert sheet.count('class="box') == len(asked)
    needed = sum(each.is_needed for each in asked)
    assert needed > 0
    assert sheet.count('class="box needed"') == sheet.count(">needed</span>") == needed
    assert "A heavy box is needed: without it no way can be told from a wrong one." in sheet
    assert sheet.count("<svg") == len(asked) + 2
    assert "@page{size:letter}" in sheet
    assert "http" not in sheet.replace("http-equiv", "").replace("http://www.w3.org/2000/svg", "")


def test_places_are_flattened_as_a_person_sees_them():
    """Right of the vehicle: down from below with the front on the left, to the right from behind."""
    right_and_high = (1000.0, 300.0, 500.0)
    seen = [flattened(each, right_and_high) for each in (Seen.SIDE, Seen.BELOW, Seen.BEHIND)]
    assert seen == [(1000.0, -500.0), (1000.0, 300.0), (300.0, -500.0)]


@pytest.mark.parametrize("key", [each.key for each in vehicle_types()])
def test_the_tape_of_the_wheelbase_goes_from_hub_to_hub(key):
    """Hubs are the two small black discs, the tape the thick black line; both are read from the picture."""
    shown = next(each for each in vehicle_types() if each.key == key)
    picture = next(each.picture for each in shown.measurements if each.name == "wheelbase")
    root = ET.fromstring(picture)
    names = [(each.tag.split("}")[1], each.attrib) for each in root.iter()]
    hubs = sorted(float(a["cx"]) for tag, a in names if tag == "circle" and a["r"] == "0.5")
    tapes = [a["points"] for tag, a in names if tag == "polyline" and a.get("stroke-width") == "0.75"]
    ends = sorted(float(point.split(",")[0]) for point in tapes[0].split())
    assert len(hubs) == 2
    assert ends == pytest.approx(hubs, abs=0.01)


def test_the_command_lists_types_and_writes_sheets(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    listed = CliRunner().invoke(measure, [])
    assert [line.split()[0] for line in listed.output.splitlines()[1:]] == [
        each.key for each in vehicle_types()
    ]
    written = CliRunner().invoke(measure, ["panel-van"])
    assert written.output == "written: measure-panel-van.html; print it from a browser\n"
    assert "Measuring sheet: Panel van" in Path("measure-panel-van.html").read_text()
    known = CliRunner().invoke(measure, ["dunlin-lwb", "--out", "-"])
    assert "0 of " in known.output
    assert 'class="write' not in known.output


def test_the_command_makes_a_profile_of_lengths(tmp_path, monkeypatch):
    """12' 11 1/2" are 155.5 in: 3949.7 mm, to the whole millimetre 3950."""
    monkeypatch.chdir(tmp_path)
    given = ["panel-van", "--profile", "van.yaml", "--name", "Our van", "--length", "wheelbase=12' 11 1/2\""]
    made = CliRunner().invoke(measure, given)
    first, *needed = made.output.splitlines()
    assert first == "written: van.yaml; what is still assumed: underbody measure van.yaml"
    words = "needed: rail-height; without it no way can be told from a wrong one"
    assert words in needed
    assert not any("wheelbase" in line for line in needed)
    text = Path("van.yaml").read_text()
    assert "# Measured: wheelbase 3950 mm.\n" in text
    assert "\nprofile: Our van\n" in text


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (
            ["panel-van", "--profile", "x.yaml", "--length", "wheelbase"],
            'underbody: --length "wheelbase" has no =; ',
        ),
        (
            ["panel-van", "--profile", "x.yaml", "--length", "a=1", "--length", "a=2"],
            '"a=2" is written twice; ',
        ),
        (
            ["panel-van", "--profile", "x.yaml", "--length", "wheelbase=1 m"],
            "wheelbase: is 1000 mm, on such a ",
        ),
        (["panel-van", "--length", "wheelbase=4 m"], "--length and --name are for --profile FILE"),
        (["--profile", "x.yaml"], "name a type or a profile"),
        (["van", "--profile", "x.yaml"], 'type: there is no type "van"; use one of chassis-cab, '),
    ],
)
def test_lengths_that_make_no_profile_are_refused_and_nothing_is_written(
    arguments, words, tmp_path, monkeypatch
):
    monkeypatch.chdir(tmp_path)
    refused = CliRunner().invoke(measure, arguments)
    assert refused.exit_code == 2
    assert words in refused.output
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("named", "words"),
    [
        ("panel-vam", 'there is no such type, profile or file; did you mean "panel-van"?'),
        ("examples/work-lamp/job.yaml", "is no profile and no type; name one of those"),
    ],
)
def test_what_is_neither_is_refused(named, words):
    with pytest.raises(UnreadableError) as refusal:
        measuring_sheet(named)
    assert words in str(refusal.value)
