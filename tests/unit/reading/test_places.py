"""Places of a job: read in the unit of the profile's file, and terminals from there on."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import router
from router.errors import UnreadableError
from router.model.job import Fuse
from router.model.vehicle import Faces, Studs, Terminal, TerminalKind
from router.reading import check_file, json_schema, read_profile, read_question
from router.reading.yaml.part_words import CONTACT_FAMILIES, FUSE_FAMILIES
from router.tables import load_table

HERON = (Path(__file__).parents[2] / "refusals" / "vehicles" / "heron.yaml").read_text(encoding="utf-8")
PLACE = {
    "name": "cool box", "kind": "unit", "space": "load area", "at": [2500, 900], "height": "720 mm",
    "studs": {"plus": "M5", "minus": "M6"},
}  # fmt: skip
RUNS = [
    {
        "run": "supply", "from": "battery positive", "to": "cool box",
        "conductors": [{"name": "feed", "colour": "red", "load": "5 A"}],
    }
]  # fmt: skip


def a_question(**changes: object) -> dict[str, object]:
    source = {"nominal": "12 V", "resting": "12.6 V", "at": "battery positive"}
    return {
        "job": "Cool box",
        "profile": "heron.yaml",
        "source": source,
        "places": [PLACE],
        "runs": RUNS,
    } | changes


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("heron.yaml").write_text(HERON, encoding="utf-8")
    return tmp_path


def test_a_place_is_a_terminal_of_the_vehicle(folder):
    question = read_question(a_question())
    own = read_profile("heron.yaml")
    assert question.profile.terminals[:-1] == own.terminals
    assert question.profile.terminals[-1] == Terminal(
        "cool box", "load area", (2500.0, 900.0), 720.0, None, Faces.UP, TerminalKind.UNIT, None,
        Studs("M5", "M6"), is_place=True,
    )  # fmt: skip


def test_its_points_are_in_the_unit_of_the_profile(folder):
    """1 in is 25.4 mm, by definition (ISO 80000-3)."""
    floor = {"height": "16 in", "outline": [[0, 0], [120, 0], [120, 40], [0, 40]]}
    post = {"name": "battery positive", "space": "floor", "at": [4, 36], "height": "18 in", "stud": "M6"}
    vehicle = {
        "profile": "Heron", "revision": 1, "measured": {"on": "2026-03-14", "tolerance": "10 mm"},
        "unit": "in", "datum": "front axle", "spaces": {"floor": floor}, "terminals": [post],
    }  # fmt: skip
    place = PLACE | {"at": [96, 34], "space": "floor"}
    found = read_question(a_question(places=[place]), vehicle=vehicle).profile.terminal("cool box")
    assert found.at == pytest.approx((96 * 25.4, 34 * 25.4))


def test_places_of_another_job_are_gone(folder):
    first = read_question(a_question())
    other = read_question(a_question(places=[PLACE | {"height": "700 mm"}]), vehicle=first.profile)
    assert [each.height_mm for each in other.profile.terminals if each.is_place] == [700.0]


def test_the_source_may_be_a_place_with_the_right_pole(folder):
    battery = {
        "name": "second battery", "kind": "battery post", "pole": "negative", "space": "load area",
        "at": [2500, 200], "height": "700 mm", "stud": "M8",
    }  # fmt: skip
    source = {"nominal": "12 V", "resting": "12.6 V", "at": "second battery"}
    with pytest.raises(UnreadableError) as refusal:
        read_question(a_question(places=[PLACE, battery], source=source))
    assert [str(fault) for fault in refusal.value.faults] == [
        'source.at: source: "second battery" is a negative battery post; name the positive one'
    ]
    right = battery | {"pole": "positive"}
    assert read_question(a_question(places=[PLACE, right], source=source)).job.source.at == "second battery"


def test_faults_of_a_job_in_memory_name_their_keys(folder):
    far = PLACE | {"at": [9000, 900], "studs": {"plus": "5 mm", "minus": "M6"}}
    with pytest.raises(UnreadableError) as refusal:
        read_question(a_question(places=[far | {"studs": None}, far, PLACE]))
    places = [fault.key_path for fault in refusal.value.faults]
    assert places == [
        "places[0].at",
        "places[0].studs",
        "places[1].name",
        "places[1].studs.plus",
        "places[2].name",
    ]


def test_the_schema_knows_places_and_lists_of_ends():
    schema = json_schema("job")
    place = schema["$defs"]["PlaceFile"]["properties"]
    assert set(place) == {
        "name",
        "assumed",
        "kind",
        "space",
        "at",
        "height",
        "stud",
        "studs",
        "faces",
        "pole",
        "side",
        "stands-on",
        "unit",
        "source",
        "short-circuit",
        "wire",
        "contact",
    }
    assert "unit of the profile's file" in place["at"]["description"]
    to = json.dumps(schema["$defs"]["RunFile"]["properties"]["to"])
    assert '"array"' in to and '"string"' in to


def test_check_takes_a_job_with_places(folder):
    text = json.dumps(a_question())  # JSON is YAML
    Path("job.yaml").write_text(text, encoding="utf-8")
    assert check_file("job.yaml") == "job"
    assert router.check("job.yaml") == ()


def test_the_families_that_a_file_may_name_are_those_of_the_tables():
    fuses = [family["name"] for family in load_table("fuses")["families"]]
    contacts = [row["contact"] for row in load_table("terminals")["contacts"]["families"]]
    assert (list(FUSE_FAMILIES), list(CONTACT_FAMILIES)) == (fuses, contacts)


def test_what_a_file_says_of_fuses_contacts_and_wires_is_in_the_records(folder):
    plug = {key: value for key, value in PLACE.items() if key != "studs"}
    places = [{**plug, "contact": "6.3 mm tab", "wire": "2.5 mm2"}]
    fused = {"fuse": "30 A", "fuse-family": "large blade", "holder-leads": "6 mm2"}
    source = {"nominal": "12 V", "resting": "12.6 V", "at": "battery positive", "short-circuit": "1500 A"}
    changes = {"places": places, "runs": [{**RUNS[0], **fused}], "source": source}
    question = read_question(a_question(**changes))
    assert question.job.run("supply").fuse == Fuse(30.0, family="large blade", leads="6 mm2")
    assert question.job.source.short_circuit_a == 1500.0
    assert (question.profile.terminals[-1].contact, question.profile.terminals[-1].wire) == (
        "6.3 mm tab",
        "2.5 mm2",
    )
