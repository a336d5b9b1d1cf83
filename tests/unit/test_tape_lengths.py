"""Lengths as people write them off a tape; what is expected is arithmetic by hand, 25.4 mm to the inch."""

import pytest

from router.tape_lengths import length_says, read_tape

READ = (
    ("1650", "mm", 1650.0),
    (" 1650 mm", "mm", 1650.0),
    ("165 cm", "mm", 1650.0),
    ("165,5 cm", "mm", 1655.0),
    ("1,5 m", "mm", 1500.0),
    ("1.650 m", "in", 1650.0),
    ("1,650 m", "mm", 1650.0),
    ("1 m 65 cm", "mm", 1650.0),
    ("0.125 in", "mm", 3.175),
    ("66 1/2 in", "mm", 1689.1),
    ("66-1/2", "in", 1689.1),
    ("66 1/2", "in", 1689.1),
    ('66.5"', "mm", 1689.1),
    ("5' 6 1/2\"", "mm", 1689.1),
    ("5’ 6 1/2”", "mm", 1689.1),
    ("5 ft 6 1/2 in", "mm", 1689.1),
    ("5'6''", "mm", 1676.4),
    ("5' 6", "in", 1676.4),
    ("5.5 ft", "mm", 1676.4),
    ("1/2 in", "mm", 12.7),
    ("0", "mm", 0.0),
)


@pytest.mark.parametrize(("text", "unit", "length_mm"), READ)
def test_a_length_is_read(text, unit, length_mm):
    assert read_tape(text, unit) == pytest.approx(length_mm, abs=1e-9)


REFUSED = (
    ("", "mm", '"" is no length; write e.g. "1650", "165 cm" or "1.65 m"'),
    ("long", "mm", '"long" is no length; write e.g. "1650", "165 cm" or "1.65 m"'),
    ("1,650", "mm", '"1,650" can mean 1650 or 1.65 mm; write "1650 mm" or "1.65 mm"'),
    ("1.650 mm", "mm", '"1.650 mm" can mean 1650 or 1.65 mm; write "1650 mm" or "1.65 mm"'),
    ("1,650 in", "mm", '"1,650 in" can mean 1650 or 1.65 in; write "1650 in" or "1.65 in"'),
    ("5 6", "in", '"5 6" is two numbers; write e.g. "66 1/2" or 5\' 6 1/2"'),
    ("-40", "mm", '"-40" is less than nothing, which no tape shows; write e.g. "1650", "165 cm" or "1.65 m"'),
    ("1650 1/2", "mm", '"1650 1/2" has a fraction; write a decimal number with mm'),
    ("66 1/3 in", "mm", '"66 1/3 in" has an odd fraction; write halves to 64ths, e.g. "66 1/2 in"'),
    ("66 3/2 in", "mm", '"66 3/2 in" has an odd fraction; write halves to 64ths, e.g. "66 1/2 in"'),
    ("5' 12\"", "mm", '"5\' 12"" has 12 inches or more beside its feet; write e.g. 5\' 6 1/2"'),
    ("1 m 1500 mm", "mm", '"1 m 1500 mm" has a metre or more beside its metres; write e.g. "1.65 m"'),
    ("165 furlong", "mm", '"165 furlong" has the unknown unit "furlong"; use one of mm, cm, m, in, ft'),
    ("165 M", "mm", '"165 M" has the unknown unit "M"; use one of mm, cm, m, in, ft'),
    ("900 m", "mm", '"900 m" is longer than any vehicle; write e.g. "1650", "165 cm" or "1.65 m"'),
    ("nan", "mm", '"nan" is no length; write e.g. "1650", "165 cm" or "1.65 m"'),
    ("1e3", "mm", '"1e3" is no length; write e.g. "1650", "165 cm" or "1.65 m"'),
    ("1\n650", "mm", '"1?650" is no length; write e.g. "1650", "165 cm" or "1.65 m"'),
)


@pytest.mark.parametrize(("text", "unit", "words"), REFUSED)
def test_what_is_no_length_or_two_is_refused(text, unit, words):
    with pytest.raises(ValueError) as refusal:
        read_tape(text, unit)
    assert str(refusal.value) == words


def test_a_length_is_said_as_a_tape_shows_it():
    said = [length_says(length_mm, "in") for length_mm in (0.0, 25.4, 1689.1, 3.175, 1690.0, -50.8)]
    assert said == ["0 in", "1 in", "66 1/2 in", "1/8 in", "66 9/16 in", "-2 in"]


@pytest.mark.parametrize("sixteenths", range(0, 2000, 7))
def test_what_is_said_in_inches_is_read_again(sixteenths):
    length_mm = sixteenths / 16 * 25.4
    assert read_tape(length_says(length_mm, "in")) == pytest.approx(length_mm, abs=1e-6)
