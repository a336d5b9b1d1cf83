"""Whatever is measured in its range makes a vehicle that can be read; a trailer module is planned on it."""

from itertools import islice
from pathlib import Path

import pytest
import yaml
from made_vehicles import DAY, KEYS, broken_rules, random_answers, write_made

from router.measuring import made_profile, vehicle_types
from router.measuring.vehicle_parts import parts_of
from router.reading import advice_on

SHIPPED = {
    "panel-van": (
        "dunlin-lwb",
        "wheelbase 3950, front-overhang 870, rear-overhang 970, cab-back 1445, sill-width 1760, "
        "load-floor 680, rail-height 450, rail-width 940, exhaust 310, tank-front 1250, "
        "tank-length 870, battery 460",
    ),
    "pick-up": (
        "godwit-pickup",
        "wheelbase 3200, front-overhang 780, rear-overhang 1030, cab-back 2280, sill-width 1600, "
        "bed-floor 760, frame-height 585, frame-width 1010, tank-front 1980, tank-depth 255, "
        "crossmember 1890, battery 450",
    ),
    "crossover": (
        "plover-crossover",
        "wheelbase 2680, front-overhang 800, rear-overhang 700, sill-width 1540, sill-height 250, "
        "boot-floor 565, tank-front 1790, tank-depth 210, crossmember 1640, silencer 510, battery "
        "255",
    ),
    "estate": (
        "sanderling-estate",
        "wheelbase 2600, front-overhang 740, rear-overhang 800, sill-width 1490, sill-height 260, "
        "load-floor 480, tank-front 1900, tank-depth 180, silencer 1200, crossmember 1720, "
        "battery 345",
    ),
    "electric-van": (
        "turnstone-electric-van",
        "wheelbase 3110, front-overhang 800, rear-overhang 750, cab-back 1255, sill-width 1680, "
        "sill-height 260, load-floor 560, battery-front 700, battery-rear 2440, battery-width "
        "1200, battery-depth 180",
    ),
}
"""What a tape shows on each shipped vehicle, read off its profile by hand."""


def lengths_of(key):
    """Return what is measured of the shipped vehicle of a type, in mm by name."""
    pairs = (each.split() for each in SHIPPED[key][1].split(", "))
    return {name: int(length_mm) for name, length_mm in pairs}


def named_parts(data):
    return {(part.section, part.name): part for part in parts_of(data)}


def off_by_mm(made, shipped):
    """Return how far any corner or height of a made part is from the shipped one's, along x, y or z."""
    places = [(*a, *b) for a, b in zip(made.points, shipped.points, strict=True)]
    off = [max(abs(x - u), abs(y - v)) for x, y, u, v in places]
    if made.heights_mm and shipped.heights_mm:
        off += [abs(a - b) for a, b in zip(made.heights_mm, shipped.heights_mm, strict=True)]
    return max(off)


def differing(key, answers):
    """Return the parts that are further from the shipped vehicle than they say, and the share compared."""
    vehicle, _ = SHIPPED[key]
    shipped = named_parts(yaml.safe_load(Path(f"profiles/{vehicle}.yaml").read_text()))
    made = named_parts(yaml.safe_load(made_profile(key, answers, "made", on=DAY)))
    both = [name for name in shipped if name in made and len(made[name].points) == len(shipped[name].points)]
    far = {
        name: (off_by_mm(made[name], shipped[name]), made[name].assumed_mm)
        for name in both
        if off_by_mm(made[name], shipped[name]) > (made[name].assumed_mm or 0.0)
    }
    return far, len(both) / len(shipped)


@pytest.mark.parametrize("key", SHIPPED)
def test_made_to_the_numbers_of_a_shipped_vehicle_it_differs_by_no_more_than_it_says(key):
    answers = {name: f"{length} mm" for name, length in lengths_of(key).items()}
    far, share = differing(key, answers)
    assert far == {}
    assert share > 0.9


ONE_LEFT_OUT = [(key, name) for key in SHIPPED for name in lengths_of(key)]


@pytest.mark.parametrize(("key", "left_out"), ONE_LEFT_OUT)
def test_with_one_length_not_measured_it_says_how_far_it_may_then_differ(key, left_out):
    lengths = lengths_of(key)
    asked = next(each.measurements for each in vehicle_types() if each.key == key)
    usual_mm = next(one.usual_mm for one in asked if one.name == left_out)
    far, _ = differing(key, {name: f"{mm} mm" for name, mm in lengths.items() if name != left_out})
    assert far == {}, f"{left_out} is {lengths[left_out]} mm, usually {usual_mm:g} mm"


@pytest.mark.parametrize("key", KEYS)
def test_random_measurements_make_a_vehicle_without_faults_or_doubts(key, tmp_path):
    advised = []
    within, at_ends = random_answers(key, seed=1), random_answers(key, seed=3, at_ends=0.6)
    for answers in (*islice(within, 4), *islice(at_ends, 8)):
        advised += [str(each) for each in advice_on(write_made(tmp_path, key, answers))]
    usual = write_made(tmp_path, key, {})
    assert [*advised, *map(str, advice_on(usual))] == []


@pytest.mark.parametrize("key", KEYS)
def test_a_vehicle_a_little_out_of_the_usual_is_taken(key):
    """Of one kind, the wheelbase differs by a twenty-fifth and more, the front overhang by a twentieth."""
    asked = next(each.measurements for each in vehicle_types() if each.key == key)
    wheelbase = next(one for one in asked if one.name == "wheelbase")
    overhang = next(one for one in asked if one.name == "front-overhang")
    assert wheelbase.least_mm <= 0.96 * wheelbase.usual_mm
    assert wheelbase.most_mm >= 1.07 * wheelbase.usual_mm
    assert overhang.least_mm <= 0.95 * overhang.usual_mm
    assert overhang.most_mm >= 1.1 * overhang.usual_mm


@pytest.mark.parametrize("key", KEYS)
def test_a_trailer_module_is_planned_on_a_made_vehicle(key, tmp_path):
    answers = next(random_answers(key, seed=2))
    write_made(tmp_path, key, answers)
    assert broken_rules(tmp_path) == []
