"""Profiles: what was written arrives in the records, in mm, in every variant."""

from pathlib import Path

import pytest

from router.errors import UnreadableError
from router.model.vehicle import Edge, Fix, Hazard, OverPass, Shape, ShapeKind, ThroughPass
from router.reading import library, read_profile
from router.reading.profile.profiles import find_profile

HERON = Path(__file__).parents[2] / "refusals" / "vehicles" / "heron.yaml"


@pytest.fixture(scope="module")
def heron():
    return read_profile(HERON)


@pytest.fixture
def changed(tmp_path):
    """Return a reader of the good vehicle with some of its text replaced."""

    def read(*changes, variant=None):
        text = HERON.read_text()
        for old, new in changes:
            assert text.count(old) >= 1
            text = text.replace(old, new)
        path = tmp_path / "heron.yaml"
        path.write_text(text)
        return read_profile(path, variant)

    return read


def test_head(heron):
    assert (heron.key, heron.name, heron.revision) == ("heron", "Heron test van", 1)
    assert (heron.measured_on, heron.tolerance_mm) == ("2026-03-14", 10.0)
    assert (heron.variant, heron.variants) == (None, ("tow bar",))


def test_records_hold_what_was_written(heron):
    assert heron.space("underfloor").outline == ((0, 0), (3000, 0), (3000, 1000), (0, 1000))
    shaft = heron.keep_out("prop shaft")
    assert shaft.shape == Shape(ShapeKind.LINE, ((500, 500), (2500, 500)), 40.0)  # half of width: 80 mm
    assert (shaft.hazard, shaft.heights_mm, shaft.is_shielded) == (Hazard.MOVING, None, False)
    assert heron.member("middle crossmember").passes == (
        OverPass((1500, 50), (1500, 300), 55.0),
        ThroughPass((1500, 700), 30.0, Edge.BARE),
    )
    assert heron.support("left brake line").fix is Fix.NEVER
    assert heron.cover("floor panel").fasteners == 7
    assert heron.terminal("battery positive").stud == "M6"
    assert heron.terminal("rear lamp").stud is None


LEANING = ("along: [[1500, 0], [1500, 1000]]", "along: [[1200, 100], [1800, 900]]")  # ahead is (3, 4) / 5


@pytest.mark.parametrize(
    "changes",
    [
        [("[1500, 700]", "[1501, 700]")],
        [("[1500, 700]", "[1455, 700]")],  # at the very edge of its 90 mm
        [("[[1500, 50], [1500, 300]]", "[[1500, 50], [1510, 300]]")],
    ],
)
def test_a_pass_measured_beside_its_member_is_on_its_middle_line(heron, changed, changes):
    assert changed(*changes).members == heron.members


def test_a_pass_of_a_leaning_member_goes_square_to_its_line(changed):
    """5 mm to the side of (1500, 500) is (-4, 3); 20 mm beyond the end on the line is (1188, 84)."""
    moved_hole, moved_pass = (
        ("[1500, 700]", "[1496, 503]"),
        ("[[1500, 50], [1500, 300]]", "[[1188, 84], [1320, 260]]"),
    )
    over, hole = changed(LEANING, moved_hole, moved_pass).member("middle crossmember").passes
    assert hole.at == pytest.approx((1500.0, 500.0), abs=1e-9)
    assert (over.start, over.end) == ((1188.0, 84.0), (1320.0, 260.0))  # on the line: as measured


def test_heights_that_the_file_leaves_out(changed):
    """A support lies at its space's height, an opening at that of the level panel that it is in."""
    floor = "panels: [{name: load floor, between: [load area, underfloor], height: 610 mm}]\nkeep-outs:"
    profile = changed((", height: 500 mm", ""), ("keep-outs:", floor))
    assert profile.support("left sill").height_mm == 400
    assert profile.opening("floor plug").height_mm == 610


def test_heights_that_the_file_gives_also_zero(changed):
    profile = changed(("kind: flange,", "kind: flange, height: 0 mm,"), ("height: 500 mm", "height: 0 mm"))
    assert profile.support("left sill").height_mm == 0
    assert profile.opening("floor plug").height_mm == 0


def test_points_in_inches(tmp_path):
    """Inch 25.4 mm, exactly: NIST SP 811 (2008), appendix B.8."""
    path = tmp_path / "cart.yaml"
    path.write_text(
        "profile: Cart\nrevision: 1\nmeasured: {on: 2026-03-14, tolerance: 1/4 in}\nunit: in\ndatum: axle\n"
        "spaces: {floor: {height: 10 in, outline: [[0, 0], [100, 0], [100, 40]]}}\n"
        "keep-outs: [{name: axle, space: floor, hazard: moving, along: [[1, 0], [1, 1]], width: 40 mm}]\n"
    )
    profile = read_profile(path)
    assert profile.tolerance_mm == 6.35
    assert profile.space("floor").outline == ((0, 0), (2540, 0), (2540, 1016))
    assert profile.keep_out("axle").shape == Shape(ShapeKind.LINE, ((25.4, 0), (25.4, 25.4)), 20.0)


def test_other_shapes(changed):
    line = "along: [[500, 500], [2500, 500]]\n    width: 80 mm"
    disc = changed(
        (line, "disc: {centre: [900, 500], radius: 5 cm}\n    heights: [220 mm, 290 mm]")
    ).keep_outs[0]
    assert disc.shape == Shape(ShapeKind.DISC, ((900, 500),), 50.0)
    assert disc.heights_mm == (220, 290)
    area = changed(
        (line, "area: [[1, 1], [9, 1], [9, 9]]\n    clearance: 0 mm\n    shielded: true")
    ).keep_outs[0]
    assert area.shape == Shape(ShapeKind.AREA, ((1, 1), (9, 1), (9, 9)), 0.0)
    assert (area.clearance_mm, area.is_shielded) == (0.0, True)


def test_variant_removes(heron):
    tow_bar = read_profile(HERON, "tow bar")
    assert (tow_bar.variant, tow_bar.covers) == ("tow bar", ())
    assert tow_bar.terminals == heron.terminals


def test_variant_replaces_in_place_and_adds_at_the_end(changed):
    replacing = """{replace: {
        terminals: [{name: battery positive, space: load area, at: [2500, 500], height: 1 m}],
        spaces: {load area: {height: 800 mm, outline: [[2000, 0], [3000, 0], [3000, 1000], [2000, 1000]]}}},
      add: {covers: [{name: tank guard, space: underfloor, area: [[1, 1], [9, 1], [9, 9]], fasteners: 0}]}}"""
    profile = changed(("{remove: [floor panel]}", replacing), variant="tow bar")
    assert [terminal.name for terminal in profile.terminals] == ["battery positive", "rear lamp"]
    assert (profile.terminals[0].space, profile.terminals[0].height_mm) == ("load area", 1000)
    assert [cover.name for cover in profile.covers] == ["floor panel", "tank guard"]
    assert profile.space("load area").height_mm == 800
    assert changed().terminals[0].space == "underfloor"


def test_a_variant_that_makes_a_space_smaller_leaves_something_outside(changed):
    """The lamp at x 2900 stays where it is; the load area ends at 2800 then."""
    smaller = """{replace: {
      spaces: {load area: {height: 700 mm, outline: [[2000, 0], [2800, 0], [2800, 1000], [2000, 1000]]}}}}"""
    with pytest.raises(UnreadableError) as refused:
        changed(("{remove: [floor panel]}", smaller))
    (fault,) = refused.value.faults
    assert fault.where == 'in variant "tow bar", terminal "rear lamp"'
    assert fault.what == '[2900, 900] is 100 mm outside space "load area"; move it or widen the outline'


def test_points_on_the_outline_are_inside(changed):
    profile = changed(
        ("at: [100, 900]", "at: [0, 1000]"),
        ("[2900, 100]", "[3000, 0]"),
        ("at: [2600, 800]", "at: [2000, 0]"),
    )
    assert profile.terminal("battery positive").at == (0, 1000)


def test_a_point_on_a_slanting_outline_is_inside_in_spite_of_rounding(changed):
    """[1000, 700.1] is on the edge from [0, 700] to [3000, 700.3]; in binary, 4e-14 mm outside."""
    slanting = ("[3000, 1000], [0, 1000]]}\n  load", "[3000, 700.3], [0, 700]]}\n  load")
    inside = ("at: [2600, 800]", "at: [2600, 600]")
    changed(slanting, inside, ("at: [100, 900]", "at: [1000, 700.1]"))
    with pytest.raises(UnreadableError, match=r"\[1000, 700.101\] is 0.001 mm outside space"):
        changed(slanting, inside, ("at: [100, 900]", "at: [1000, 700.101]"))


def test_unknown_names():
    with pytest.raises(UnreadableError, match='unknown variant "tow bat"; did you mean "tow bar"'):
        read_profile(HERON, "tow bat")
    with pytest.raises(UnreadableError, match='unknown profile "dunlin-lbw"; did you mean "dunlin-lwb"'):
        read_profile("dunlin-lbw")
    with pytest.raises(UnreadableError, match="there is no such file"):
        read_profile("no/such.yaml")


@pytest.mark.parametrize("key", ["dunlin-lwb", "godwit-pickup", "sanderling-estate"])
def test_the_library_reads_in_every_variant(key):
    assert key in dict(library())
    profile = read_profile(key)
    assert profile.key == key
    for variant in profile.variants:
        assert read_profile(key, variant).variant == variant


def test_a_name_that_the_library_lacks_is_the_file_beside(tmp_path):
    known, own = "dunlin-lwb", tmp_path / "our-van.yaml"
    own.write_text("profile: Our van\n", encoding="utf-8")
    (tmp_path / f"{known}.yaml").write_text("profile: Not this\n", encoding="utf-8")
    assert find_profile("our-van", tmp_path, trusts_paths=False) == own
    assert (
        find_profile(known, tmp_path, trusts_paths=False) == dict(library())[known]
    )  # the library's comes first
    assert "unknown profile" in str(find_profile("their-van", tmp_path, trusts_paths=False))


@pytest.mark.parametrize("screw", ["nut", "rivet nut", "self-cutting"])
def test_what_a_screw_holds_in_is_the_panels_and_a_nut_where_nothing_is_said(changed, screw):
    floor = "panels: [{name: load floor, between: [load area, underfloor], height: 610 mm}]\nkeep-outs:"
    said = floor.replace("610 mm", f"610 mm, screw: {screw}")
    assert changed(("keep-outs:", said)).panel("load floor").screw == screw
    assert changed(("keep-outs:", floor)).panel("load floor").screw == "nut"
