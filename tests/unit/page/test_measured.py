"""What the page begins with: copies of the library's profiles, byte for byte."""

from __future__ import annotations

from pathlib import Path

import pytest

from router.page.measured import Measured

PROFILES = Path(__file__).parents[3] / "profiles"


def test_the_library_is_told_by_the_names_that_its_vehicles_have(tmp_path):
    told = Measured(tmp_path).library()
    assert {each["key"] for each in told} == {path.stem for path in PROFILES.glob("*.yaml")}
    assert {"key": "dunlin-lwb", "name": "Dunlin panel van, long wheelbase"} in told


def test_a_copy_is_the_file_to_the_byte(tmp_path):
    made = Measured(tmp_path).made({"profile": "plover-crossover"})
    assert made["text"].encode() == (PROFILES / "plover-crossover.yaml").read_bytes()


@pytest.mark.parametrize("key", ["../dunlin-lwb", "types/estate", "", None, ["dunlin-lwb"], "/etc/passwd"])
def test_what_is_not_in_the_library_is_refused(tmp_path, key):
    (fault,) = Measured(tmp_path).made({"profile": key})["faults"]
    assert fault["what"].startswith("there is no such profile; take dunlin-lwb, ")
