"""Profiles made from types; lengths expected are worked out by hand from the types' own arithmetic."""

from datetime import date
from pathlib import Path

import pytest
import yaml

from router.errors import UnreadableError
from router.measuring import AnswersError, lengths_needed, made_profile, read_type, vehicle_types
from router.measuring.type_reader import shipped_types

DAY = date(2026, 11, 30)
SMALL = """\
type: Handcart
says: two boards
tyre: 300
side: [[0, 0], [length, 0], [length, 400]]
measurements:
  - name: length
    ask: How long is it?
    from: front
    to: rear
    usual: 2000 mm
    least: 1000 mm
    most: 3000 mm
    spread: 100 mm
    tape: {seen: side, from: [0, 0, 0], to: [length, 0, 0]}
  - name: wheelbase
    ask: How far are the wheels apart?
    from: front wheel
    to: rear wheel
    usual: 1500 mm
    least: 900 mm
    most: 2500 mm
    spread: 80 mm
    tape: {seen: side, from: [0, 0, 150], to: [wheelbase, 0, 150]}
    needed: true
follows:
  half: length / 2
together:
  - {less: wheelbase + 100, than: length, says: the rear wheel would stand behind the cart}
vehicle:
  # A cart
  profile: Handcart
  revision: 1
  measured: {on: 2026-01-01, tolerance: 10 mm}
  unit: mm
  datum: front axle
  spaces:
    bed: {kind: outside, height: 400 mm, assumed: 10 mm, outline: [[0, 0], [length, 0], [length, 600]]}
  keep-outs:
    - {name: axle, hazard: moving, heights: [half - 900, 350 mm],   # rear
       along: [[wheelbase, 0], [wheelbase, half]], width: 40 mm, assumed: 20 mm}
"""


@pytest.fixture
def handcart(tmp_path, monkeypatch):
    """Make a small type the only shipped one."""
    (tmp_path / "handcart.yaml").write_text(SMALL)
    monkeypatch.setattr("router.measuring.type_reader.types_folder", lambda: tmp_path)
    return tmp_path / "handcart.yaml"


@pytest.mark.usefixtures("handcart")
def test_numbers_follow_from_what_was_measured_and_the_text_stays():
    text = made_profile("handcart", {"length": "2.4 m", "wheelbase": "1600"}, "My cart", on=DAY)
    assert "- {name: axle, hazard: moving, heights: [300 mm, 350 mm],   # rear\n" in text
    assert "     along: [[1600, 0], [1600, 1200]], width: 40 mm, assumed: 20 mm}\n" in text
    assert "\nprofile: My cart\n" in text
    assert "\nmeasured: {on: 2026-11-30, tolerance: 10 mm}\n" in text
    assert "\n# A cart\n" in text
    assert "outline: [[0, 0], [2400, 0], [2400, 600]]}" in text


@pytest.mark.usefixtures("handcart")
def test_what_was_not_measured_is_usual_and_widens_what_hangs_on_it():
    """By hand: `half` moves by 100 / 2, x of the axle by 80; the greater is added to the part's own 20."""
    data = yaml.safe_load(made_profile("handcart", {"length": "", "wheelbase": "1600 mm"}, "x", on=DAY))
    assert data["spaces"]["bed"]["assumed"] == "110 mm"
    assert data["keep-outs"][0]["assumed"] == "70 mm"
    nothing = yaml.safe_load(made_profile("handcart", {}, "x", on=DAY))
    assert nothing["keep-outs"][0]["assumed"] == "100 mm"
    assert nothing["keep-outs"][0]["along"] == [[1500, 0], [1500, 1000]]


@pytest.mark.usefixtures("handcart")
def test_a_needed_length_that_is_left_empty_is_named_in_the_profile():
    """Of the two lengths the wheelbase is needed, as the type says; blanks are no answer."""
    without = {"length": "2 m", "wheelbase": "  "}
    assert yaml.safe_load(made_profile("handcart", without, "x", on=DAY))["needed"] == ["wheelbase"]
    assert lengths_needed("handcart", without) == ("wheelbase",)
    measured = {"length": "", "wheelbase": "1500 mm"}
    assert "needed" not in yaml.safe_load(made_profile("handcart", measured, "x", on=DAY))
    assert lengths_needed("handcart", measured) == lengths_needed("hovercraft", {}) == ()


@pytest.mark.usefixtures("handcart")
@pytest.mark.parametrize(
    "name", ["null", 'a "b": #c', "[x]", "1650", "Ärmel & Söhne", "<script>", "it's: so"]
)
def test_any_name_is_written_so_that_it_is_read_again(name):
    assert yaml.safe_load(made_profile("handcart", {}, name, on=DAY))["profile"] == name


@pytest.mark.usefixtures("handcart")
def test_all_faults_of_answers_come_at_once():
    answers = {"length": "long", "wheelbase": "3 m", "height": "1 m"}
    with pytest.raises(AnswersError) as error:
        made_profile("handcart", answers, "\t", unit="in", on=DAY)
    assert [(fault.name, fault.what) for fault in error.value.faults] == [
        ("name", "is no name; write up to 200 printable characters"),
        ("height", "is not asked; what is asked is length, wheelbase"),
        ("length", '"long" is no length; write e.g. "66 1/2" or 5\' 6 1/2"'),
        ("wheelbase", "is 118 1/8 in, on such a vehicle from 35 7/16 in to 98 7/16 in; measure again"),
    ]


@pytest.mark.usefixtures("handcart")
def test_what_cannot_be_together_is_named():
    with pytest.raises(AnswersError) as error:
        made_profile("handcart", {"length": "1200", "wheelbase": "1300"}, "x", on=DAY)
    (fault,) = error.value.faults
    words = "the rear wheel would stand behind the cart: 1400 mm where at most 1200 mm can be"
    assert (fault.name, fault.what) == ("wheelbase", f"{words}; measure again: length, wheelbase")


def test_an_unknown_type_is_refused():
    with pytest.raises(AnswersError, match='there is no type "hovercraft"; use one of '):
        made_profile("hovercraft", {}, "x", on=DAY)


BROKEN = (
    (
        "[length, 600]",
        "[lenght, 600]",
        'has the unknown name "lenght"; did you mean "length"?',
        "[lenght, 600]",
        1,
    ),
    ("half - 900", "half - (900", 'wants ")" here', "half - (900", 11),
    ("assumed: 20 mm", "assumed: 20", '"20" has no unit; write e.g. "20 mm"', "assumed: 20}", 9),
    ("half: length / 2", "half: half / 2", 'has the unknown name "half"', "half: half / 2", 6),
    ("usual: 2000 mm", "usual: 4000 mm", "is not between least and most", "usual: 4000", 7),
    ("less: wheelbase", "less: 40 mm + wheelbase", 'has "mm" where it should end', "less: 40 mm", 9),
    (
        "seen: side, from: [0, 0, 0]",
        "seen: top, from: [0, 0, 0]",
        'is "top"; write one of side, below, behind',
        "top",
        0,
    ),
    ("says: two boards", "say: two boards", "unknown key", "say: two", 0),
)


@pytest.mark.parametrize(("before", "after", "words", "at", "offset"), BROKEN)
def test_a_fault_of_a_type_is_told_where_it_stands(handcart, before, after, words, at, offset):
    assert before in SMALL
    text = SMALL.replace(before, after)
    handcart.write_text(text)
    line = next(number for number, each in enumerate(text.splitlines(), start=1) if at in each)
    column = text.splitlines()[line - 1].index(at) + offset + 1
    with pytest.raises(UnreadableError) as refusal:
        read_type(handcart)
    told = [(fault.line, fault.column) for fault in refusal.value.faults if words in fault.what]
    assert told == [(line, column)], [str(fault) for fault in refusal.value.faults]


def test_every_shipped_type_asks_what_a_person_can_measure():
    types = vehicle_types()
    assert len(types) >= 5
    assert {len(each.measurements) for each in types} <= set(range(10, 15))
    asked = [one for each in types for one in each.measurements]
    assert all(one.ask.endswith("?") and one.from_where and one.to_where for one in asked)
    assert all(one.least_mm <= one.usual_mm <= one.most_mm for one in asked)


def test_each_key_is_the_name_of_its_file():
    assert [each.key for each in shipped_types()] == sorted(
        p.stem for p in Path("profiles/types").glob("*.yaml")
    )
