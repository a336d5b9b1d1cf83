"""What differs between two profiles, and how far allowances are off by lengths that were used."""

import math
import statistics
from dataclasses import replace

import pytest
from small_vehicle import a_profile

from router.errors import UnreadableError
from router.facts.profile_differences import compare_profiles
from router.lengths.installed import compare_fitted, coverage_factor
from router.model.vehicle import Fix, Shape, ShapeKind, Space, Step, Support, SupportKind
from router.reading import library, read_profile, read_used_lengths
from router.tables import load_table


def test_a_vehicle_does_not_differ_from_itself():
    assert len(library()) >= 3
    for _, path in library():
        assert compare_profiles(read_profile(path), read_profile(path)) == ()


def test_each_change_is_told_once_and_by_how_much():
    before = read_profile("dunlin-lwb")
    first, second, *rest = before.keep_outs
    shape = first.shape
    moved = Shape(shape.kind, tuple((x + 3.0, y + 4.0) for x, y in shape.points), shape.reach_mm)
    added = replace(second, name="new tank", shape=Shape(ShapeKind.DISC, ((0.0, 0.0),), 50.0))
    after = replace(
        before, revision=before.revision + 1, keep_outs=(replace(first, shape=moved), *rest, added)
    )
    told = [(each.section, each.name, each.what) for each in compare_profiles(before, after)]
    assert told == [
        ("profile", "revision", f"{before.revision} -> {before.revision + 1}"),
        ("keep-out", second.name, "only in the first"),
        ("keep-out", first.name, "shape moved by up to 5 mm"),  # a 3-4-5 triangle
        ("keep-out", "new tank", "only in the second"),
    ]


def test_heights_are_told_as_heights():
    vehicle = read_profile("dunlin-lwb")
    low, all_ = (replace(vehicle.keep_outs[0], heights_mm=each) for each in ((100.0, 250.0), None))
    (told,) = compare_profiles(replace(vehicle, keep_outs=(low,)), replace(vehicle, keep_outs=(all_,)))
    assert told.what == "heights 100 to 250 mm -> all"


def share_within(t, freedom, steps=4000):
    """Student's distribution between -t and t, by Simpson's rule: its own formula, not a table."""
    scale = math.exp(math.lgamma((freedom + 1) / 2) - math.lgamma(freedom / 2)) / math.sqrt(freedom * math.pi)
    width = 2 * t / steps
    heights = [scale * (1 + (n * width - t) ** 2 / freedom) ** (-(freedom + 1) / 2) for n in range(steps + 1)]
    return width / 3 * (heights[0] + heights[-1] + 4 * sum(heights[1:-1:2]) + 2 * sum(heights[2:-1:2]))


@pytest.mark.parametrize(("freedom", "t"), load_table("student")["t_95"].items())
def test_students_t_covers_95_percent(freedom, t):
    assert share_within(t, freedom) == pytest.approx(0.95, abs=0.0012)


def test_mean_and_spread_are_those_of_pythons_statistics():
    used = [5421.0, 5433.5, 5440.0, 5418.0, 5436.0]
    found = compare_fitted("supply", 5400.0, 600.0, used)
    assert found.mean_mm == pytest.approx(statistics.mean(used) - 5400.0)
    assert found.spread_mm == pytest.approx(statistics.stdev(used))
    assert found.standard_mm == pytest.approx(statistics.stdev(used) / math.sqrt(5))
    assert found.expanded_mm == pytest.approx(2.78 * found.standard_mm)  # GUM table G.2, 4 degrees of freedom
    assert found.is_proven
    assert not compare_fitted("supply", statistics.mean(used), 600.0, used).is_proven


def test_one_vehicle_says_nothing_of_spread():
    with pytest.raises(ValueError, match="two vehicles"):
        compare_fitted("supply", 5400.0, 600.0, [5421.0])
    with pytest.raises(ValueError, match="at least 1"):
        coverage_factor(0)
    assert coverage_factor(24) == coverage_factor(20) > coverage_factor(25)


def test_lengths_are_read_or_refused_line_by_line(tmp_path):
    path = tmp_path / "used.csv"
    path.write_text(
        "vehicle,run,used\n17,supply,5.42 m\n18,supply,5433 mm\n\n17,earth,2 m\n", encoding="utf-8-sig"
    )
    assert read_used_lengths(path, ["supply", "earth"]) == {"supply": (5420.0, 5433.0), "earth": (2000.0,)}
    path.write_text(
        "vehicle,run,used\n17,suply,5 m\n17,supply,5\n17,supply,5 m\n17,supply,5 m\n1,2\n", encoding="utf-8"
    )
    with pytest.raises(UnreadableError) as refusal:
        read_used_lengths(path, ["supply"])
    assert [str(fault).split("used.csv:")[1] for fault in refusal.value.faults] == [
        '2:1: unknown run "suply"; did you mean "supply"?',
        '3:1: "5" has no unit; write e.g. "5 mm"',
        '5:1: vehicle "17" has run "supply" twice; keep one',
        "6:1: has 2 cells; write vehicle, run and length, e.g. 17,supply,5.42 m",
    ]


def test_steps_and_heights_by_point_are_told_as_heights():
    square = ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0))
    floors = [
        Space("floor", 400.0, square, None, tuple(Step(square, mm) for mm in mms)) for mms in ((), (510.0,))
    ]
    rail = Support("rail", "floor", SupportKind.RAIL, square, 400.0, Fix.TIE)
    rails = (rail, replace(rail, heights_mm=(400.0, 420.0, 455.0)))
    before, after = (
        a_profile(spaces=(floor,), supports=(own,)) for floor, own in zip(floors, rails, strict=True)
    )
    assert [each.what for each in compare_profiles(before, after)] == [
        "steps none -> at 510 mm",
        "heights level -> 400, 420, 455 mm",
    ]
