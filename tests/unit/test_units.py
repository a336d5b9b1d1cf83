"""Quantities at the door. Conversion factors: NIST Special Publication 811 (2008), appendix B.8."""

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from router.units import DIMENSIONS, nearest, parse_quantity, parse_size, quantity_pattern, unit_of


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        # NIST SP 811 B.8: inch 2.54 E-02 m exactly, foot 3.048 E-01 m exactly
        ("450 mm", "length", 450.0),
        ("450mm", "length", 450.0),
        ("  450 mm ", "length", 450.0),
        ("45 cm", "length", 450.0),
        ("1.5 m", "length", 1500.0),
        ("18in", "length", 457.2),
        ('18"', "length", 457.2),
        ("18″", "length", 457.2),
        ("1 1/2 in", "length", 38.1),
        ("1/4 in", "length", 6.35),
        ("-1 1/2 in", "length", -38.1),
        ("3 ft", "length", 914.4),
        ("1 ft 6 in", "length", 457.2),
        ("1' 6\"", "length", 457.2),
        ("1ft 6 1/2in", "length", 469.9),
        ("0 mm", "length", 0.0),
        ("-40 degC", "temperature", -40.0),
        # NIST SP 811 B.8: t/degC = (t/degF - 32)/1.8, t/degC = T/K - 273.15
        ("212 degF", "temperature", 100.0),
        ("85 °C", "temperature", 85.0),
        ("373.15 K", "temperature", 100.0),
        # NIST SP 811 B.8: pound-force 4.448 222 N, pound 4.535 924 E-01 kg
        ("1 lbf", "force", pytest.approx(4.448222, abs=1e-6)),
        ("1 lb", "mass", pytest.approx(0.4535924, abs=1e-7)),
        ("1 in2", "area", 645.16),  # NIST SP 811 B.8: 6.4516 E-04 m2 exactly
        ("2.5 mm2", "area", 2.5),
        ("2.5 mm²", "area", 2.5),
        ("500 mA", "current", 0.5),
        ("0.005 ohm", "resistance", 0.005),
        ("5 mΩ", "resistance", 0.005),
        ("5 m\u2126", "resistance", 0.005),  # the ohm sign, which Unicode takes for the letter
        ("3 %", "ratio", 0.03),
        ("1.25 ratio", "ratio", 1.25),
        ("2 count", "count", 2.0),
        ("45 deg", "angle", 45.0),
        ("21 W", "power", 21.0),
        ("12.6 V", "voltage", 12.6),
    ],
)
def test_reads_what_people_write(text, dimension, value):
    assert parse_quantity(text, dimension) == value


@pytest.mark.parametrize(
    ("text", "words"),
    [
        # what a general parser made of these: 0.5 in, 15 m, megamolar, a division by zero, nan, 1 mm, no end
        ("1,5 m", '"1,5 m" has a comma; write a point for decimals and nothing between thousands'),
        ("1,500 mm", '"1,500 mm" has a comma; write a point for decimals and nothing between thousands'),
        ("450 MM", '"450 MM" has the unknown unit "MM"; did you mean mm?'),
        ("4/0 AWG", '"4/0 AWG" is a conductor size; write a length, e.g. "40 mm"'),
        ("nan mm", '"nan mm" is not a finite number; write e.g. "40 mm"'),
        ("-inf mm", '"-inf mm" is not a finite number; write e.g. "40 mm"'),
        ("mm", '"mm" has no number; write e.g. "40 mm"'),
        ("9**9**9 mm", '"9**9**9 mm" is more than one number and one unit; write one, e.g. "40 mm"'),
        ("40", '"40" has no unit; write e.g. "40 mm"'),
        ("40.5", '"40.5" has no unit; write e.g. "40.5 mm"'),
        ("", '"" is empty; write e.g. "40 mm"'),
        ("1e3 mm", '"1e3 mm" has an exponent; write the number out, e.g. "40 mm"'),
        ("1e3mm", '"1e3mm" has an exponent; write the number out, e.g. "40 mm"'),
        ("1E-3 m", '"1E-3 m" has an exponent; write the number out, e.g. "40 mm"'),
        ("10 20 mm", '"10 20 mm" is more than one number and one unit; write one, e.g. "40 mm"'),
        ("10-20 mm", '"10-20 mm" is more than one number and one unit; write one, e.g. "40 mm"'),
        ("10 mm 20 mm", '"10 mm 20 mm" is more than one number and one unit; write one, e.g. "40 mm"'),
        (".5 in", '".5 in" has a bare point; write a digit on both sides of it'),
        ("5. mm", '"5. mm" has a bare point; write a digit on both sides of it'),
        ("40 A", '"40 A" is a current; write a length, e.g. "40 mm"'),
        ("3 furlong", '"3 furlong" has the unknown unit "furlong"; use one of mm, cm, m, in, ft'),
        ("900 m", '"900 m" is implausible; write a length from -50000 to 50000 mm'),
        ("999999999 mm", '"999999999 mm" is implausible; write a length from -50000 to 50000 mm'),
        ("1 1/2 mm", '"1 1/2 mm" has a fraction; write a decimal number with mm'),
        ("1/0 in", '"1/0 in" has an odd fraction; write halves to 64ths less than one, e.g. "1 1/2 in"'),
        ("1 3/2 in", '"1 3/2 in" has an odd fraction; write halves to 64ths less than one, e.g. "1 1/2 in"'),
        ("2 ft 18 in", '"2 ft 18 in" has 12 inches or more beside its feet; write e.g. "2 ft 6 in"'),
        ("1½ in", '"1½ in" is not a number and a unit; write e.g. "40 mm"'),
        ("४० mm", '"४० mm" is not a number and a unit; write e.g. "40 mm"'),
        ("40 mm\n", '"40 mm?" is not a number and a unit; write e.g. "40 mm"'),
        ("0x10 mm", '"0x10 mm" is more than one number and one unit; write one, e.g. "40 mm"'),
    ],
)
def test_refuses_with_a_hint(text, words):
    with pytest.raises(ValueError) as refusal:
        parse_quantity(text, "length")
    assert str(refusal.value) == words


@pytest.mark.parametrize("text", ["9" * 1_000, "9" * 1_000_000, f"9{' ' * 1_000}mm"], ids=len)
def test_long_text_is_refused_and_cut(text):
    with pytest.raises(ValueError, match="is too long for a quantity") as refusal:
        parse_quantity(text, "length")
    assert len(str(refusal.value)) < 120


def test_a_bare_number_for_a_ratio_is_taken_for_percent_in_the_hint():
    with pytest.raises(ValueError, match=r'write e\.g\. "3 %"'):
        parse_quantity("3", "ratio")


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_every_dimension_reads_its_own_example_and_no_other_ones(dimension):
    wanted = DIMENSIONS[dimension]
    assert wanted.low <= parse_quantity(wanted.example, dimension) <= wanted.high
    for other in DIMENSIONS.values():
        if other is not wanted:
            with pytest.raises(ValueError, match=f"write {wanted.article} {wanted.name}"):
                parse_quantity(other.example, dimension)


@given(st.text(max_size=60))
def test_any_text_is_a_number_or_a_refusal(text):
    try:
        said = parse_quantity(text, "length")
    except ValueError as refusal:
        said = str(refusal)
    assert said.isprintable() if isinstance(said, str) else -50_000 <= said <= 50_000


@given(st.decimals(0, 49_999, places=3, allow_nan=False), st.sampled_from(["mm", " mm", "  mm"]))
def test_millimetres_stay_what_they_are(number, unit):
    assert parse_quantity(f"{number}{unit}", "length") == float(number)


@given(st.integers(0, 100), st.integers(0, 191))
def test_feet_and_inches_add_up(feet, sixteenths):
    """Foot 304.8 mm, inch 25.4 mm: NIST SP 811 B.8, exact."""
    whole, part = divmod(sixteenths, 16)
    text = f"{feet} ft {whole} {part}/16 in" if part else f"{feet} ft {whole} in"
    assert parse_quantity(text, "length") == pytest.approx(feet * 304.8 + sixteenths * 25.4 / 16, abs=1e-8)


@pytest.mark.parametrize(
    ("text", "as_bought", "number"),
    [
        ("2.5 mm2", "2.5 mm2", 2.5),
        ("2.50mm²", "2.5 mm2", 2.5),
        ("16 mm2", "16 mm2", 16),
        ("14 AWG", "14 AWG", 14),
        # ASTM B258: sizes 2/0, 3/0, 4/0 are the numbers -1, -2, -3
        ("1/0 AWG", "1/0 AWG", 0),
        ("2/0 AWG", "2/0 AWG", -1),
        ("4/0 AWG", "4/0 AWG", -3),
    ],
)
def test_conductor_sizes(text, as_bought, number):
    assert (str(parse_size(text)), parse_size(text).number) == (as_bought, number)


@pytest.mark.parametrize(
    "text", ["5/0 AWG", "0/0 AWG", "14", "2.5", "2.5 mm", "14 awg", "AWG 14", "1,5 mm2", "", "1/2 AWG"]
)
def test_other_sizes_are_refused(text):
    with pytest.raises(ValueError, match="is no conductor size"):
        parse_size(text)


@pytest.mark.parametrize("text", ["0 mm2", "0.01 mm2", "900 mm2", "0 AWG", "41 AWG", "2.5 AWG"])
def test_sizes_that_nobody_sells_are_refused(text):
    with pytest.raises(ValueError, match="is no size that is sold"):
        parse_size(text)


def test_nearest_takes_no_wild_guess():
    assert nearest("widht", ("width", "height")) == "width"
    assert nearest("WIDTH", ("width", "height")) == "width"
    assert nearest("zzz", ("width", "height")) is None


def test_unit_of_a_rule():
    assert unit_of("0.001 ohm") == ("ohm", "resistance")
    with pytest.raises(ValueError, match="no unit"):
        unit_of("12 parsec")


def test_pattern_for_editors_agrees_with_the_parser():
    import re

    for text, dimension in (
        ("40 mm", "length"),
        ("1 1/2 in", "length"),
        ("1 ft 6 in", "length"),
        ('18"', "length"),
    ):
        parse_quantity(text, dimension)
        assert re.match(quantity_pattern(dimension), text)
    for text in ("40", "40 A", "1,5 m", "nan mm", "1e3 mm"):
        assert not re.match(quantity_pattern("length"), text)


def test_inside_units_load_no_pint():
    """Importing pint and making its registry takes 0.3 s, which a metric shop need not spend."""
    code = (
        "import sys; from router.units import parse_quantity as parse;"
        "parse('40 mm', 'length'), parse('3 %', 'ratio'), parse('85 degC', 'temperature');"
        "assert 'pint' not in sys.modules; parse('1 in', 'length'); assert 'pint' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
