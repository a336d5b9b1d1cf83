"""Our generated JSON Schemas, judged by somebody else's validator (python-jsonschema, 2020-12)."""

import copy
import json
from pathlib import Path

import jsonschema
import pytest

import router.tables
from router.reading import json_schema, library
from router.reading.yaml.documents import read_document

ROOT = Path(__file__).parents[3]
SHIPPED = [
    *(("profile", path) for _, path in library()),
    *(("job", path) for path in sorted((ROOT / "examples").glob("*/job.yaml"))),
    *(("fleet", path) for path in sorted((ROOT / "examples").glob("*/fleet.yaml"))),
    ("practice", Path(router.tables.__file__).parent / "practice.yaml"),
]
KINDS = ("profile", "job", "practice", "fleet")


def validator(kind):
    return jsonschema.Draft202012Validator(json_schema(kind))


@pytest.mark.parametrize("kind", KINDS)
def test_schemas_are_schemas(kind):
    jsonschema.Draft202012Validator.check_schema(json_schema(kind))
    assert '"null"' not in json.dumps(json_schema(kind))


@pytest.mark.parametrize(("kind", "path"), SHIPPED, ids=lambda each: str(getattr(each, "stem", each)))
def test_shipped_files_are_valid(kind, path):
    validator(kind).validate(read_document(path).data)


@pytest.mark.parametrize(("kind", "path"), SHIPPED, ids=lambda each: str(getattr(each, "stem", each)))
def test_a_misspelt_key_anywhere_is_not(kind, path):
    """Each kind of mapping in turn gets a key that is none; in a mapping of names any key is one."""
    data = read_document(path).data
    kinds = {
        tuple(step if isinstance(step, str) else 0 for step in place): place for place in mappings(data, ())
    }
    judge, places = validator(kind), list(kinds.values())
    assert len(places) >= 4
    for place in places:
        broken = copy.deepcopy(data)
        target = broken
        for step in place:
            target = target[step]
        target["widht"] = "40 mm"
        assert not judge.is_valid(broken), place


NAMED = ("spaces", "variants", "ambient", "spacing", "jobs")


def mappings(data, place):
    if isinstance(data, dict):
        if not place or place[-1] not in NAMED:
            yield place
        for key, value in data.items():
            yield from mappings(value, (*place, key))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from mappings(value, (*place, index))


@pytest.mark.parametrize(
    ("kind", "key", "value"),
    [
        ("profile", "measured", {"on": "2026-03-14", "tolerance": 10}),
        ("profile", "measured", {"on": "2026-03-14", "tolerance": "10"}),
        ("profile", "measured", {"on": "2026-03-14", "tolerance": "10 A"}),
        ("profile", "unit", "furlong"),
        ("profile", "covers", [{"name": "panel", "space": "s", "area": [[0, 0], [1, 0]], "fasteners": 1}]),
        ("profile", "exposed", None),
        ("job", "source", {"nominal": "12 V", "resting": "12,6 V", "at": "post"}),
        ("job", "series", "metrical"),
        ("job", "runs", []),
        ("practice", "clearance", {"hot": 200}),
        ("practice", "clearance", {"hot": "200 degC"}),
        ("practice", "conductor", {"drop": 3}),
    ],
)
def test_a_wrong_value_is_not(kind, key, value):
    data = read_document(next(path for each, path in SHIPPED if each == kind)).data
    assert validator(kind).is_valid(data)
    assert not validator(kind).is_valid({**data, key: value})


def test_keys_tell_an_editor_what_they_mean():
    profile = json_schema("profile")
    width = profile["$defs"]["KeepOutFile"]["properties"]["width"]
    assert width["description"] and width["examples"] == ["40 mm"] and width["type"] == "string"
    assert profile["$defs"]["Hazard"]["enum"][0] == "hot"


def test_no_other_kind():
    with pytest.raises(KeyError):
        json_schema("boat")
