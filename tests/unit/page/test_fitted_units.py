"""What people fit, put into jobs on the shipped vehicles: read without a fault, and planned."""

from __future__ import annotations

from pathlib import Path

import pytest
import shapely
import yaml

from router.conductors import circuit_findings
from router.errors import NoAnswerError
from router.facts import core_of, network_of
from router.model.plan import Severity
from router.page.fitted_units import fit, fitted
from router.planner import Planner
from router.reading import holding, read_profile, read_question

SHIPPED = sorted((Path(__file__).parents[3] / "profiles").glob("*.yaml"))
KEYS = [unit["key"] for unit in fitted()]
WALL_MM, ROOM_MM = 60.0, 150.0
"""How far a place to sit is from walls at least, and how much room round it is room enough."""
COLUMNS, ROWS = 24, 12


def text_of(name):
    return next(path for path in SHIPPED if path.stem == name).read_text(encoding="utf-8")


def spaces_for(profile, key):
    kinds = next(unit["space_kinds"] for unit in fitted() if unit["key"] == key)
    return [space for space in profile.spaces if space.kind in kinds]


def free_place(profile, space):
    """Return the place of a grid in a space that has most room, the first of those with enough."""
    low, high = space.height_mm - ROOM_MM, space.height_mm + ROOM_MM
    bodies = [
        core_of(each.shape).buffer(each.shape.reach_mm)
        for each in profile.keep_outs
        if (each.heights_mm or (low, high))[0] < high and (each.heights_mm or (low, high))[1] > low
    ]
    members = [each for each in profile.members if each.space == space.name]
    taken = shapely.union_all([*bodies, *(shapely.LineString(m.along).buffer(m.width_mm) for m in members)])
    outline = shapely.Polygon(space.outline).buffer(-WALL_MM)
    x0, y0, x1, y1 = outline.bounds
    shares = [((i + 0.5) / COLUMNS, (j + 0.5) / ROWS) for i in range(COLUMNS) for j in range(ROWS)]
    places = [shapely.Point(round(x0 + i * (x1 - x0)), round(y0 + j * (y1 - y0))) for i, j in shares]
    inside = [place for place in places if outline.contains(place)]
    best = max(inside, key=lambda place: min(ROOM_MM, place.distance(taken)))
    return [best.x, best.y]


def request_for(profile, key, space):
    return {"key": key, "space": space.name, "at": free_place(profile, space)}


@pytest.mark.parametrize("key", KEYS)
@pytest.mark.parametrize("shipped", SHIPPED, ids=lambda path: path.stem)
def test_a_first_unit_makes_a_whole_job_without_a_fault(shipped, key, tmp_path):
    profile, text = read_profile(shipped), shipped.read_text(encoding="utf-8")
    spaces = spaces_for(profile, key)
    made = fit((text, None), tmp_path, request_for(profile, key, spaces[0]))
    job = yaml.safe_load(made["text"])
    assert job["source"]["at"] == "battery positive"
    assert [place["space"] for place in job["places"]] == [spaces[0].name]
    assert set(job["limits"]["ambient"]) == {space.name for space in profile.spaces}
    assert {
        conductor["size"] for run in job["runs"] for conductor in run["conductors"] if "load" in conductor
    } <= {"auto"}
    ends = {end for run in job["runs"] for end in (run["from"], run["to"]) if isinstance(end, str)}
    assert {"battery positive", job["places"][0]["name"]} <= ends


ONE_EACH = [
    ("refrigerator", "dunlin-lwb", "cab"),
    ("work-lamp", "sanderling-estate", "load area"),
    ("inverter", "dunlin-lwb", "cab"),
    ("winch", "dunlin-lwb", "engine bay"),
    ("second-battery-charger", "dunlin-lwb", "cab"),
    ("camera", "turnstone-electric-van", "load area"),
    ("beacon", "dunlin-lwb", "cab"),
    ("trailer", "turnstone-electric-van", "load area"),
]


def answer(text, job, folder):
    file = folder / "job.yaml"
    with holding({folder / "profile.yaml": text, file: job}):
        return Planner(file).answer().record


@pytest.mark.parametrize(("key", "vehicle", "space"), ONE_EACH)
def test_each_unit_is_planned(key, vehicle, space, tmp_path):
    text, profile = text_of(vehicle), read_profile(vehicle)
    request = request_for(profile, key, profile.space(space))
    if key == "trailer":
        request["at"] = [3600, 500]  # near its socket, as people have it
    made = fit((text, None), tmp_path, request)
    plan = answer(text, made["text"], tmp_path)
    assert len(plan.runs) == len(yaml.safe_load(made["text"])["runs"])


def test_there_is_one_of_each_above():
    assert sorted(key for key, _, _ in ONE_EACH) == sorted(KEYS)


@pytest.mark.study
@pytest.mark.parametrize("key", KEYS)
@pytest.mark.parametrize("shipped", SHIPPED, ids=lambda path: path.stem)
def test_every_unit_is_planned_wherever_it_may_sit_or_it_is_said_why_not(shipped, key, tmp_path):
    profile, text = read_profile(shipped), shipped.read_text(encoding="utf-8")
    said = []
    for space in spaces_for(profile, key):
        made = fit((text, None), tmp_path, request_for(profile, key, space))
        try:
            said.append(len(answer(text, made["text"], tmp_path).runs))
        except NoAnswerError as error:
            said.append(error.why)
    assert [each for each in said if not each] == []
    assert any(isinstance(each, int) for each in said)


JOB = """\
# our own words
job: Lamp    # as on the card
profile: profile.yaml
source: {nominal: 12 V, resting: 12.6 V, at: battery positive}
runs:
  # the lamp
  - run: refrigerator supply
    from: battery positive
    to: refrigerator unit
    conductors: [{name: feed, colour: red, load: 2 A, size: auto}]
    fuse: auto
  - {run: back, from: refrigerator unit, to: rear earth stud, conductors: [{name: back, colour: black,
     returns: feed}]}
"""


def test_what_is_in_a_job_stays_with_its_comments_and_names_are_not_used_twice(tmp_path):
    request = {"key": "refrigerator", "space": "load area", "at": [4000, 300], "height_mm": 812.5}
    made = fit((text_of("dunlin-lwb"), JOB), tmp_path, request)["text"]
    assert [line for line in JOB.splitlines() if line not in made.splitlines()] == []
    job = yaml.safe_load(made)
    assert job["places"][0]["height"] == "812.5 mm"
    assert [run["run"] for run in job["runs"]] == [
        "refrigerator supply",
        "back",
        "refrigerator supply 2",
        "refrigerator earth 2",
    ]
    assert job["runs"][3]["conductors"][0]["returns"] == "refrigerator supply 2"
    again = fit((text_of("dunlin-lwb"), made), tmp_path, request)["text"]
    assert [place["name"] for place in yaml.safe_load(again)["places"]] == [
        "refrigerator 2",
        "refrigerator 3",
    ]


def test_a_place_is_written_in_the_unit_of_the_profile(tmp_path):
    text = "profile: V\nrevision: 1\nmeasured: {on: 2026-03-14, tolerance: 10 mm}\nunit: in\ndatum: floor\n"
    text += (
        "spaces: {bay: {kind: engine bay, height: 20 in, outline: [[0, 0], [90, 0], [90, 60], [0, 60]]}}\n"
    )
    text += "terminals:\n"
    for kind, at in (("battery post, pole: positive", "[10, 10]"), ("earth point", "[20, 20]")):
        text += f"  - {{name: {kind[:5]}, kind: {kind}, space: bay, at: {at}, height: 20 in, stud: M6}}\n"
    made = fit((text, None), tmp_path, {"key": "work-lamp", "space": "bay", "at": [1016.0, 635.0]})
    place = yaml.safe_load(made["text"])["places"][0]
    assert (place["at"], place["height"]) == ([40, 25], "508 mm")


@pytest.mark.parametrize(
    ("request_", "says"),
    [
        ({"key": "toaster", "space": "load area", "at": [4000, 0]}, 'there is no unit "toaster"'),
        ({"key": "camera", "space": "attic", "at": [4000, 0]}, 'there is no space "attic"'),
        ({"key": "camera", "space": "load area", "at": [4000]}, "at is no place"),
        ({"key": "camera", "space": "load area", "at": [9000, 0]}, "outside"),
        (
            {"key": "camera", "space": "load area", "at": [4000, 0], "height_mm": 9000},
            "higher than any road vehicle",
        ),
        ({}, "there is no unit"),
    ],
)
def test_what_cannot_be_fitted_is_said(request_, says, tmp_path):
    made = fit((text_of("dunlin-lwb"), None), tmp_path, request_)
    assert says in made["faults"][0]["what"]


def test_all_that_a_vehicle_lacks_is_said_at_once(tmp_path):
    text = (
        text_of("dunlin-lwb")
        .replace("kind: trailer socket", "kind: connector")
        .replace("kind: lamp", "kind: unit")
    )
    made = fit((text, None), tmp_path, {"key": "trailer", "space": "load area", "at": [4600, 0]})
    assert [fault["what"].split(";")[0] for fault in made["faults"]] == [
        "this vehicle has no rear lamp on its left yet",
        "this vehicle has no rear lamp on its right yet",
        "this vehicle has no trailer socket yet",
    ]


def test_a_job_with_faults_is_mended_first(tmp_path):
    request = {"key": "camera", "space": "load area", "at": [4000, 0]}
    made = fit((text_of("dunlin-lwb"), JOB.replace("12.6 V", "24 V")), tmp_path, request)
    assert "resting 24 V" in made["faults"][0]["what"]


def test_the_lamps_of_the_rear_corners_are_taken(tmp_path):
    made = fit(
        (text_of("dunlin-lwb"), None), tmp_path, {"key": "trailer", "space": "load area", "at": [4600, 0]}
    )
    ends = {run["run"]: run["to"] for run in yaml.safe_load(made["text"])["runs"]}
    assert ends["left lamp branch"] == "left rear lamp"
    assert ends["right lamp branch"] == "right rear lamp"  # not the work lamp, which is as far to the rear
    assert ends["trailer earth"] == "rear earth stud"


@pytest.mark.parametrize("unit", fitted(), ids=lambda unit: unit["key"])
def test_what_a_unit_draws_is_what_its_conductors_draw(unit):
    """By hand: 300 W / (0.85 x 10.5 V) = 33.6 A; the trailer's lamps at once 83 W at 12 V = 6.9 A."""
    wanted = {"refrigerator": 6.0, "work-lamp": 4.0, "inverter": 33.6, "winch": 35.0, "camera": 0.25}
    wanted |= {"second-battery-charger": 25.0, "beacon": 2.0, "trailer": 6.9}
    assert unit["load_a"] == wanted[unit["key"]]
    assert unit["needs"][0] == "the battery's plus"


def asked_of(vehicle, job, folder):
    """Return the question that a job asks on a shipped vehicle."""
    file = folder / "job.yaml"
    with holding({folder / "profile.yaml": text_of(vehicle), file: job}):
        return read_question(file)


def fitted_trailer(vehicle, folder):
    request = request_for(read_profile(vehicle), "trailer", read_profile(vehicle).space("load area"))
    return fit((text_of(vehicle), None), folder, request)["text"]


def joined_in(asked):
    found = circuit_findings(asked.job, asked.profile, asked.practice)
    return [each for each in found if each.kind == "joined circuits"]


def test_every_circuit_of_the_trailer_module_has_a_contact_of_its_own(tmp_path):
    """By the module's wiring: a feed, six senses and six outputs are thirteen points."""
    asked = asked_of("dunlin-lwb", fitted_trailer("dunlin-lwb", tmp_path), tmp_path)
    pieces = network_of(asked.job, asked.profile).pieces
    ends = [
        node
        for piece in pieces
        if not piece.is_return
        for node in (piece.start, piece.end)
        if node.terminal == "trailer module"
    ]
    assert (len(ends), len(set(ends))) == (13, 13)
    assert asked.profile.terminal("trailer module").is_connector
    assert joined_in(asked) == []


def test_a_trailer_module_with_one_plus_stud_is_a_must(tmp_path):
    job = yaml.safe_load(fitted_trailer("dunlin-lwb", tmp_path))
    job["places"][0]["studs"] = {"plus": "M5", "minus": "M5"}
    (found,) = joined_in(asked_of("dunlin-lwb", yaml.safe_dump(job, sort_keys=False), tmp_path))
    assert found.severity is Severity.MUST
    for words in (
        "trailer supply, left sense",
        "trailer left tail are joined on one stud of trailer module",
        "would feed back into the circuits at left rear lamp and right rear lamp",
        "would light what is on trailer socket with everything switched off",
        "leave studs out of trailer module",
    ):
        assert words in found.what


@pytest.mark.parametrize("key", [key for key in KEYS if key != "trailer"])
def test_no_other_unit_joins_circuits(key, tmp_path):
    profile = read_profile("dunlin-lwb")
    request = request_for(profile, key, spaces_for(profile, key)[0])
    made = fit((text_of("dunlin-lwb"), None), tmp_path, request)["text"]
    assert joined_in(asked_of("dunlin-lwb", made, tmp_path)) == []


@pytest.mark.parametrize("key", ["work-lamp", "beacon", "camera"])
def test_what_nothing_switches_says_so_on_the_page_and_on_the_sheet(key, tmp_path):
    """A job has no switch as a part, so the run's own name says it wherever the run is told of."""
    assert "No switch or relay is planned: fit one" in next(u["says"] for u in fitted() if u["key"] == key)
    profile = read_profile("dunlin-lwb")
    request = request_for(profile, key, spaces_for(profile, key)[0])
    job = yaml.safe_load(fit((text_of("dunlin-lwb"), None), tmp_path, request)["text"])
    supply, earth = job["runs"]
    assert supply["run"].startswith("unswitched ")
    assert earth["conductors"][0]["returns"] == supply["conductors"][0]["name"] == supply["run"]
