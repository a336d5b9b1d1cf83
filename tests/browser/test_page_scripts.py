"""The page's scripts: typed by their comments, their logic tested by node, their lists those of the model."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from router.drawing.layers.hazards import HAZARD_STYLES
from router.facts import HAZARD_LETTERS
from router.model.vehicle import (
    BATTERY_POLES,
    Drill,
    Edge,
    Faces,
    Fix,
    Hazard,
    Screw,
    SpaceKind,
    SupportKind,
    TerminalKind,
)
from router.reading.profile.profile_file import SECTIONS

ROOT = Path(__file__).parents[2]
STATIC = ROOT / "router" / "page" / "static"
TSC = ROOT / "tests" / "browser" / "node_modules" / ".bin" / "tsc"
NODE = shutil.which("node")
with_node = pytest.mark.skipif(
    NODE is None and os.environ.get("BROWSER_CHECKS") != "required", reason="node is not installed here"
)


def in_node(script):
    """Return what a module's script prints, read as JSON."""
    command = [NODE or "node", "--input-type=module", "--eval", script]
    done = subprocess.run(command, capture_output=True, text=True, check=True, cwd=STATIC)
    return json.loads(done.stdout)


@with_node
def test_the_logic_holds():
    done = subprocess.run(
        [NODE or "node", "--test", "tests/page/"], check=False, capture_output=True, text=True, cwd=ROOT
    )
    assert done.returncode == 0, done.stdout[-3000:]
    assert int(re.search(r"^# pass (\d+)", done.stdout, re.MULTILINE).group(1)) > 90


@pytest.mark.skipif(
    not TSC.exists() and os.environ.get("BROWSER_CHECKS") != "required",
    reason="typescript is not installed: npm install --prefix tests/browser",
)
def test_every_type_is_kept():
    done = subprocess.run(
        [TSC, "-p", "tests/page/tsconfig.json"], check=False, capture_output=True, text=True, cwd=ROOT
    )
    assert done.stdout == ""
    assert done.returncode == 0


@with_node
def test_hazards_are_drawn_as_on_the_map():
    drawn = in_node('import { HAZARDS } from "./hazards.js"; console.log(JSON.stringify(HAZARDS))')
    assert set(drawn) == {str(hazard) for hazard in Hazard}
    for hazard, style in HAZARD_STYLES.items():
        on_page = drawn[str(hazard)]
        assert on_page["letter"] == HAZARD_LETTERS[hazard]
        assert (on_page["colour"], on_page["outline"]) == (style.colour, style.outline)
        assert [tuple(each) for each in on_page["hatches"]] == list(style.hatches)
        assert tuple(on_page["dash"]) == style.dash


@with_node
def test_forms_offer_what_a_file_may_say_and_nothing_else():
    script = """
        import { FIELDS } from "./fields.js";
        const lists = Object.entries(FIELDS).flatMap(([part, fields]) => fields
          .filter((field) => field.choices)
          .map((field) => [`${part} ${field.keys.join(".")}`, field.choices]));
        console.log(JSON.stringify(Object.fromEntries(lists)));
    """
    known = {
        "space kind": SpaceKind,
        "panel drill": Drill,
        "panel screw": Screw,
        "keep-out hazard": Hazard,
        "pass edge": Edge,
        "support kind": SupportKind,
        "support fix": Fix,
        "opening edge": Edge,
        "terminal kind": TerminalKind,
        "terminal pole": BATTERY_POLES,
        "terminal faces": Faces,
        "place kind": TerminalKind,
    }
    assert in_node(script) == {field: [str(word) for word in words] for field, words in known.items()}


@with_node
def test_every_section_of_a_profile_has_its_part():
    sections = in_node('import { SECTIONS } from "./edits.js"; console.log(JSON.stringify(SECTIONS))')
    assert set(sections.values()) == set(SECTIONS)


def test_nothing_on_the_page_is_markup_or_from_elsewhere():
    """Text goes in as text, styles by their properties: what the page's own policy allows."""
    scripts = {path.name: path.read_text(encoding="utf-8") for path in STATIC.glob("*.js")}
    assert len(scripts) > 20
    forbidden = r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|eval\(|new Function|https?://(?!www\.w3\.org)"
    assert {
        name: re.findall(forbidden, text) for name, text in scripts.items() if re.search(forbidden, text)
    } == {}
    page = (STATIC / "index.html").read_text(encoding="utf-8")
    assert re.findall(r"\sstyle=|\son\w+=|<script(?![^>]*src=\"/static/)|https?://", page) == []
