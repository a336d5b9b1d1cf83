"""The hour of a fitter who cannot program: from an empty folder to map and sheet, by the page alone."""

from __future__ import annotations

import math
import re
import subprocess
import sys

import yaml
from sketching import ROOT, browsing, in_a_sketch, served

pytestmark = in_a_sketch
SLOW_MS = 240_000
"""A whole plan on a machine that others use too."""
MOST_TYPED = 120
PLOVER = {
    "wheelbase": "2680",
    "front-overhang": "800",
    "rear-overhang": "70 cm",
    "sill-width": "1,54 m",
    "sill-height": "250",
    "boot-floor": "565",
    "tank-front": "1790",
    "tank-depth": "210",
    "crossmember": "1640",
    "silencer": "510",
    "battery": "255",
}
"""What a tape reads on the vehicle of profiles/plover-crossover.yaml, which was written by hand."""
MODULE = ("3200", "-600")
"""Where the trailer module is put: in the boot, on the left. [mm]"""


def measurement_names():
    text = (ROOT / "profiles" / "types" / "crossover.yaml").read_text(encoding="utf-8")
    return [each["name"] for each in yaml.safe_load(text)["measurements"]]


def command(*words):
    done = subprocess.run(
        [sys.executable, "-m", "router", *words], cwd=ROOT, capture_output=True, text=True, check=False
    )
    return done.returncode, done.stdout + done.stderr


def make_the_vehicle(watched, expect):
    """Choose the type and answer every measurement, each typed as it is read."""
    page = watched.page
    page.get_by_role("button", name=re.compile("^Crossover")).click(timeout=SLOW_MS)
    watched.type(page.get_by_label("What do you call it?"), "Plover on stands")
    page.get_by_label("Millimetres").check()
    page.get_by_role("button", name="Begin measuring").click()
    for number, name in enumerate(measurement_names(), start=1):
        expect(page.get_by_text(f"{number} of {len(PLOVER)}", exact=True)).to_be_visible(timeout=SLOW_MS)
        watched.type(page.locator("#start-answer"), PLOVER[name])
        page.get_by_role("button", name="Next").click()
    page.get_by_role("button", name="Draw the vehicle").click(timeout=SLOW_MS)
    expect(page.get_by_role("dialog")).to_have_count(0, timeout=SLOW_MS)
    expect(page.locator("#spaces")).to_contain_text("boot", timeout=SLOW_MS)


def place_the_module(watched, expect):
    page = watched.page
    page.locator("#tab-job").click()
    page.locator(".fit-choice", has_text="Trailer").click(timeout=SLOW_MS)
    form = page.locator("form.placing")
    form.locator("select").select_option("boot")
    for label, text in zip(("Rearward", "To the right"), MODULE, strict=True):
        watched.type(form.get_by_label(label), text)
    form.get_by_role("button", name="Put it there").click()
    expect(form).to_have_count(0, timeout=SLOW_MS)


def paper(watched, name):
    """Open a paper in its own tab and return what stands on it."""
    with watched.page.context.expect_page() as opened:
        watched.page.locator("a.paper", has=watched.page.get_by_text(name, exact=True)).click()
    opened.value.wait_for_load_state()
    words = opened.value.evaluate("document.documentElement.textContent")
    opened.value.close()
    return words


def test_an_hour_from_an_empty_folder_to_map_and_sheet(tmp_path):
    with served(tmp_path) as address, browsing(address) as watched:
        from playwright.sync_api import expect

        make_the_vehicle(watched, expect)
        place_the_module(watched, expect)
        watched.page.locator("#tab-way").click()
        expect(watched.page.locator(".plan-head")).to_contain_text("The way is proven", timeout=SLOW_MS)
        watched.page.locator("#tab-print").click()
        sheet, on_map = paper(watched, "Sheet"), paper(watched, "Map")
        assert "trailer supply" in sheet
        assert "Plover on stands" in on_map
        assert 0 < watched.typed_numbers() < MOST_TYPED
        assert watched.strangers() == []
        assert watched.wrong == []
    assert command("check", str(tmp_path / "profile.yaml"), str(tmp_path / "job.yaml"))[0] == 0
    code, said = command("plan", str(tmp_path), "--out", str(tmp_path / "out"))
    assert (code, "0 must" in said or "findings: none" in said) == (0, True)
    made = yaml.safe_load((tmp_path / "profile.yaml").read_text(encoding="utf-8"))
    by_hand = yaml.safe_load((ROOT / "profiles" / "plover-crossover.yaml").read_text(encoding="utf-8"))
    compared, off = beyond_what_it_says(made, by_hand)
    assert compared > 20
    assert off == []


def beyond_what_it_says(made, by_hand):
    """Return how many parts two profiles share by name, and which of them lie further apart than is said."""
    compared, off = 0, []
    for section in ("terminals", "openings", "supports"):
        others = {each["name"]: each for each in by_hand[section]}
        for part in made[section]:
            if part["name"] not in others:
                continue
            compared += 1
            said_mm = mm(part.get("assumed", made["measured"]["tolerance"]))
            if apart_mm(part, others[part["name"]]) > said_mm:
                off.append((part["name"], said_mm))
    return compared, off


def apart_mm(part, other):
    """Return how far two parts lie apart at most, point by point, and in height."""
    pairs = [(part["at"], other["at"])] if "at" in part else zip(part["along"], other["along"], strict=True)
    heights = [(mm(part["height"]), mm(other["height"]))] if {"height"} <= part.keys() & other.keys() else []
    return max([math.dist(*pair) for pair in pairs] + [abs(one - two) for one, two in heights])


def mm(text):
    number, unit = text.split()
    return float(number) * {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}[unit]


def test_a_part_that_is_farther_off_than_said_is_found():
    by_hand = yaml.safe_load((ROOT / "profiles" / "plover-crossover.yaml").read_text(encoding="utf-8"))
    made = yaml.safe_load((ROOT / "profiles" / "plover-crossover.yaml").read_text(encoding="utf-8"))
    x, y = made["terminals"][0]["at"]
    made["terminals"][0] |= {"at": [x + 21, y], "assumed": "20 mm"}
    made["openings"][0] |= {"at": [made["openings"][0]["at"][0] + 19, y], "assumed": "2 m"}
    assert beyond_what_it_says(made, by_hand)[1] == [(made["terminals"][0]["name"], 20.0)]
