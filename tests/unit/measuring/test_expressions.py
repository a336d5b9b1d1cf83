"""The arithmetic of types; what is expected is worked out by hand, or by Python's own arithmetic."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from router.measuring.expressions import ExpressionError, names_in, parse_expression, value_of

NAMES = {"wheelbase": 2600.0, "rear-axle": 2500.0, "a": 3.0}
VALUES = (
    ("42", 42.0),
    ("-40", -40.0),
    ("wheelbase / 2 - 50", 1250.0),
    ("2 - 3 - 4", -5.0),
    ("24 / 4 / 3", 2.0),
    ("2 + 3 * 4", 14.0),
    ("(2 + 3) * 4", 20.0),
    ("-880 - a", -883.0),
    ("-(880 - a)", -877.0),
    ("rear-axle-110", 2390.0),
    ("rear-axle - a", 2497.0),
    ("min(wheelbase, rear-axle, 2700)", 2500.0),
    ("max(a * 2, min(9, 8))", 8.0),
    ("1.5 * a", 4.5),
    ("--a", 3.0),
)


@pytest.mark.parametrize(("text", "value"), VALUES)
def test_the_value(text, value):
    assert value_of(parse_expression(text), NAMES) == pytest.approx(value, abs=1e-12)


FAULTS = (
    ("", 0, "wants a number, a name or a bracket here"),
    ("1 +", 3, "wants a number, a name or a bracket here"),
    ("(1", 2, 'wants ")" here'),
    ("1 2", 2, 'has "2" where it should end'),
    ("40 mm", 3, 'has "mm" where it should end'),
    ("40mm", 0, 'has "40mm", which is no number, name or sign; lengths are in mm and take no unit'),
    ("a ** 2", 3, "wants a number, a name or a bracket here"),
    ("a; b", 1, 'has "; b", which is no number, name or sign; lengths are in mm and take no unit'),
    ("min()", 4, "wants a number, a name or a bracket here"),
    (
        "__import__",
        0,
        'has "__import__", which is no number, name or sign; lengths are in mm and take no unit',
    ),
)


@pytest.mark.parametrize(("text", "at", "words"), FAULTS)
def test_what_is_wrong_is_said_where_it_stands(text, at, words):
    with pytest.raises(ExpressionError) as error:
        parse_expression(text)
    assert (error.value.at, str(error.value)) == (at, words)


def test_it_is_not_nested_without_end():
    with pytest.raises(ExpressionError, match="nested deeper than 30 levels"):
        parse_expression("(" * 400 + "1" + ")" * 400)


def test_nothing_is_divided_by_zero():
    with pytest.raises(ExpressionError, match="divides by 0"):
        value_of(parse_expression("4 / (a - 3)"), NAMES)


def test_names_are_found_where_they_stand():
    found = [(each.name, each.at) for each in names_in(parse_expression("a + min(wheelbase, 3) - a"))]
    assert found == [("a", 0), ("wheelbase", 8), ("a", 24)]


NUMBERS = st.integers(0, 999).map(str)
ARITHMETIC = st.recursive(
    NUMBERS,
    lambda inner: st.one_of(
        st.tuples(inner, st.sampled_from("+-*"), inner).map(
            lambda parts: f"({parts[0]} {parts[1]} {parts[2]})"
        ),
        st.tuples(st.sampled_from(["min", "max"]), inner, inner).map(lambda p: f"{p[0]}({p[1]}, {p[2]})"),
        inner.map(lambda part: f"-{part}"),
    ),
    max_leaves=8,
)


@given(ARITHMETIC)
def test_it_counts_as_pythons_own_arithmetic(text):
    own = eval(text, {"__builtins__": {}, "min": min, "max": max})
    assert value_of(parse_expression(text), {}) == own
