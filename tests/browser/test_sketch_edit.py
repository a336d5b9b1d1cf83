"""The vehicle on the page in a real browser: begun from a type, drawn, dragged, typed, undone."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml
from sketching import browsing, in_a_sketch, served

pytestmark = in_a_sketch
PLOVER = Path(__file__).parents[2] / "profiles" / "plover-crossover.yaml"
HOSTILE = "<img src=x onerror=alert(1)>"


def expect(locator):
    """Return what Playwright holds a part of the page against, again and again until it is so."""
    from playwright.sync_api import expect as told

    return told(locator)


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "profile.yaml").write_bytes(PLOVER.read_bytes())
    return tmp_path


def profile_in(folder):
    return yaml.safe_load((folder / "profile.yaml").read_text(encoding="utf-8"))


def part_in(folder, section, name):
    return next((part for part in profile_in(folder)[section] if part["name"] == name), None)


def pick(watched, x_mm, y_mm, name):
    """Tap a place of the plan, and wait until the part there has its form open."""
    watched.page.mouse.click(*watched.screen_place(x_mm, y_mm))
    expect(watched.page.locator("#panel-part h2")).to_have_text(name)


def drag(watched, start_mm, end_mm):
    mouse = watched.page.mouse
    mouse.move(*watched.screen_place(*start_mm))
    mouse.down()
    mouse.move(*watched.screen_place(*end_mm), steps=5)
    mouse.up()


def saved(watched):
    """Wait until every edit is acknowledged, which is when it is on disk."""
    watched.page.wait_for_timeout(50)
    expect(watched.page.locator("#plan")).to_have_attribute("aria-busy", "false")


def shown(watched):
    expect(watched.page.locator(".part.space")).to_have_count(1)


def test_from_a_type_to_a_vehicle_with_eleven_numbers_at_most(tmp_path):
    with served(tmp_path) as address, browsing(address) as watched:
        page = watched.page
        page.get_by_role("button", name=re.compile("^Crossover")).click()
        page.get_by_label("What do you call it").fill(HOSTILE)
        page.get_by_role("button", name="Begin measuring").click()
        answer = page.locator("#start-answer")
        answer.fill("9 m")
        answer.press("Enter")
        expect(page.locator("#start-fault")).to_contain_text("9000 mm is out of what such a vehicle has")
        needed = page.locator("#start-needed")
        expect(needed).to_be_hidden()
        watched.type(answer, "")
        page.get_by_role("button", name="Not now").click()
        page.get_by_role("button", name="Back").click()
        expect(needed).to_have_text("Needed: without it no way can be told from a wrong one.")
        answer.fill("2,7 m")
        expect(needed).to_be_hidden()
        answer.press("Enter")
        for _ in range(20):
            if page.get_by_role("button", name="Draw the vehicle").is_visible():
                break
            page.get_by_role("button", name="Not now").click()
        expect(needed).to_contain_text("needed: without them no way can be told from a wrong one")
        page.get_by_role("button", name="Draw the vehicle").click()
        shown(watched)
        expect(page.locator("#vehicle")).to_have_text(HOSTILE)
        made = profile_in(tmp_path)
        assert made["profile"] == HOSTILE
        assert made["needed"][0] == "rear-overhang"
        assert page.locator(".part.assumed").count() > 20
        assert watched.strangers() == []
        assert watched.wrong == []


def test_a_vehicle_of_the_library_is_copied_byte_for_byte(tmp_path):
    with served(tmp_path) as address, browsing(address) as watched:
        watched.page.get_by_role("button", name="Plover crossover").click()
        shown(watched)
        expect(watched.page.locator("#vehicle")).to_have_text("Plover crossover")
        assert (tmp_path / "profile.yaml").read_bytes() == PLOVER.read_bytes()
        assert watched.wrong == []


def test_what_is_typed_dragged_and_undone_is_on_disk_and_byte_for_byte_as_before(folder):
    before = (folder / "profile.yaml").read_bytes()
    with served(folder) as address, browsing(address) as watched:
        shown(watched)
        page = watched.page
        pick(watched, 2010, 270, "fuel tank")
        watched.type(page.get_by_label("Highest, mm"), "16 1/2 in")
        saved(watched)
        assert part_in(folder, "keep-outs", "fuel tank")["heights"] == ["210 mm", "419.1 mm"]  # 16.5 x 25.4
        drag(watched, (1790, 500), (1990, 650))
        saved(watched)
        area = part_in(folder, "keep-outs", "fuel tank")["area"]
        assert area[:3] == [[1790, 40], [2230, 40], [2230, 500]]  # only the corner that was dragged
        assert area[3] == pytest.approx([1990, 650], abs=15)
        text = (folder / "profile.yaml").read_text(encoding="utf-8")
        assert text.count("#") == PLOVER.read_text(encoding="utf-8").count("#")
        for _ in range(2):
            page.get_by_role("button", name="Undo").click()
            saved(watched)
        expect(page.get_by_role("button", name="Undo")).to_be_disabled()
        assert (folder / "profile.yaml").read_bytes() == before
        page.get_by_role("button", name="Redo").click()
        expect(page.get_by_label("Highest, mm")).to_have_value("419")
        assert watched.strangers() == []
        assert watched.wrong == []


def test_a_part_is_drawn_by_typing_alone_and_mirrored(folder):
    with served(folder) as address, browsing(address) as watched:
        shown(watched)
        page = watched.page
        page.keyboard.press("a")
        page.get_by_role("button", name="Keep-out: pipe or shaft").press("Enter")
        page.get_by_role("button", name="brake").press("Enter")
        page.get_by_label("To the rear, mm").fill("600")
        page.get_by_label("To the right").fill("-200")
        page.keyboard.press("Enter")
        page.get_by_label("Measured", exact=True).select_option("last")
        page.get_by_label("To the rear, mm").fill("1 m")
        page.keyboard.press("Enter")
        page.get_by_label("Measured", exact=True).select_option("along")
        page.get_by_label("Which").select_option("rear floor crossmember")  # from [1640, -790] to [1640, 790]
        page.get_by_label("Along, from its start, mm").fill("300")
        page.get_by_label("Across, − is left, mm").fill("-60")
        page.keyboard.press("Enter")
        page.get_by_role("button", name="Done").press("Enter")
        expect(page.locator("#part-name")).to_be_focused()
        page.keyboard.type(f"left {HOSTILE}")
        page.keyboard.press("Tab")
        expect(page.locator("#panel-part h2")).to_have_text(f"left {HOSTILE}")
        drawn = part_in(folder, "keep-outs", f"left {HOSTILE}")
        assert drawn["along"] == [[600, -200], [1600, -200], [1700, -490]]
        assert "assumed" not in drawn
        page.get_by_role("button", name="Mirror to the other side").press("Enter")
        expect(page.locator("#panel-part h2")).to_have_text(f"right {HOSTILE}")
        mirrored = part_in(folder, "keep-outs", f"right {HOSTILE}")
        assert mirrored["along"] == [[600, 200], [1600, 200], [1700, 490]]
        assert mirrored["hazard"] == "brake"
        assert watched.wrong == []


def tap_a_hot_part(watched):
    page = watched.page
    page.get_by_role("button", name="+ Add a part").click()
    page.get_by_role("button", name="Keep-out: area").click()
    for x_mm, y_mm in ((700, -700), (900, -700), (900, -600)):
        page.mouse.click(*watched.screen_place(x_mm, y_mm))
    page.get_by_role("button", name="Done").click()
    expect(page.locator("#panel-part h2")).to_have_text("hot part")


def test_what_is_tapped_is_assumed_and_asks_for_its_heights(folder):
    with served(folder) as address, browsing(address) as watched:
        shown(watched)
        page = watched.page
        tap_a_hot_part(watched)
        assert part_in(folder, "keep-outs", "hot part")["assumed"] == "50 mm"
        expect(page.locator("#tab-todo .count")).to_have_text("1")
        expect(page.locator(".no-heights")).to_contain_text("hot part")
        page.get_by_role("tab", name="To do").click()
        page.get_by_role("button", name="Next").click()
        expect(page.locator(".walk")).to_contain_text("has no heights")
        expect(page.locator("#part-heights-0")).to_have_class("wanted")
        watched.type(page.locator("#part-heights-0"), "200")
        watched.type(page.locator("#part-heights-1"), "260")
        saved(watched)
        expect(page.locator("#tab-todo .count")).to_be_hidden()
        assert part_in(folder, "keep-outs", "hot part")["heights"] == ["200 mm", "260 mm"]


def test_only_its_readings_make_a_part_measured(folder):
    with served(folder) as address, browsing(address) as watched:
        shown(watched)
        page = watched.page
        tap_a_hot_part(watched)
        saved(watched)
        before = part_in(folder, "keep-outs", "hot part")
        watched.type(page.locator("#part-assumed"), "0")
        expect(page.locator("#part-assumed")).to_have_value("50")
        page.get_by_role("button", name="I measured it").click()
        boxes = page.locator("#measured input")
        expect(boxes).to_have_count(6)  # x and y of three points
        assert boxes.evaluate_all("all => all.map(each => each.value)") == [""] * 6
        drawn = [f"{mm} mm" for point in before["area"] for mm in point]
        assert page.locator("#measured .small").all_text_contents() == [f"drawn at {each}" for each in drawn]
        take = page.get_by_role("button", name="Take these readings")
        take.click()
        expect(page.locator("#measured p.fault")).to_contain_text("6 of 6 readings are missing")
        read = ["705", "-710", "27 1/2 in", "-700", "910", "-595"]  # 27.5 x 25.4 = 698.5
        for number in range(5):
            boxes.nth(number).fill(read[number])
        take.click()
        expect(page.locator("#measured p.fault")).to_contain_text("1 of 6 readings are missing")
        saved(watched)
        assert part_in(folder, "keep-outs", "hot part") == before
        boxes.nth(5).fill(read[5])
        take.click()
        expect(page.locator("#measured")).to_have_count(0)
        saved(watched)
        measured = part_in(folder, "keep-outs", "hot part")
        assert measured["area"] == [[705, -710], [699, -700], [910, -595]]
        assert "assumed" not in measured
        page.get_by_role("button", name="Undo").click()
        expect(page.get_by_role("button", name="I measured it")).to_be_visible()
        saved(watched)
        assert part_in(folder, "keep-outs", "hot part") == before
        assert watched.wrong == []


def test_a_fault_stands_at_the_part_itself_with_its_cure(folder):
    with served(folder) as address, browsing(address) as watched:
        shown(watched)
        page = watched.page
        pick(watched, 2010, 270, "fuel tank")
        watched.type(page.get_by_label("Name"), "rear silencer")
        expect(page.locator("#panel-part p.fault").first).to_contain_text("rear silencer")
        expect(page.locator(".problem-mark.fault").first).to_be_visible()
        page.keyboard.press("Escape")  # lets go of the field
        page.keyboard.press("Escape")  # and of the part
        page.keyboard.press("n")
        expect(page.locator(".walk.fault")).to_be_visible()
        assert watched.wrong == []


def test_two_windows_end_in_agreement(folder):
    with served(folder) as address, browsing(address) as watched:
        shown(watched)
        other = watched.page.context.new_page()
        other.goto(address)
        expect(other.locator(".part.space")).to_have_count(1)
        other.get_by_role("button", name="fuel tank").first.click()
        pick(watched, 2010, 270, "fuel tank")
        watched.type(watched.page.get_by_label("Highest, mm"), "430")
        expect(other.get_by_label("Highest, mm")).to_have_value("430")
        other.get_by_label("Lowest, mm").fill("190")
        other.keyboard.press("Tab")
        expect(watched.page.get_by_label("Lowest, mm")).to_have_value("190")
        assert part_in(folder, "keep-outs", "fuel tank")["heights"] == ["190 mm", "430 mm"]


@pytest.mark.parametrize("answer, highest", [("The other program's", "444"), ("Mine, as drawn here", "430")])
def test_what_a_text_editor_changed_meanwhile_ends_in_a_question(folder, answer, highest):
    path = folder / "profile.yaml"
    with served(folder) as address, browsing(address) as watched:
        shown(watched)
        page = watched.page
        pick(watched, 2010, 270, "fuel tank")
        watched.type(page.get_by_label("Highest, mm"), "430")
        saved(watched)
        path.write_text(
            path.read_text(encoding="utf-8").replace("[210 mm, 430 mm]", "[210 mm, 444 mm]"), encoding="utf-8"
        )
        page.get_by_role("button", name=answer).click(timeout=10_000)
        expect(page.get_by_label("Highest, mm")).to_have_value(highest)
        expect(page.locator(".notice")).to_have_count(0)
        assert part_in(folder, "keep-outs", "fuel tank")["heights"][1] == f"{highest} mm"


def test_heights_are_dragged_beside_the_plan(folder):
    with served(folder) as address, browsing(address) as watched:
        shown(watched)
        page = watched.page
        pick(watched, 2010, 270, "fuel tank")
        expect(page.locator("#side .handle-hit")).to_have_count(4)  # lowest and highest, in both views
        knob = page.locator("#side .handle-hit").nth(1).bounding_box()
        assert knob["height"] >= 48
        page.mouse.move(knob["x"] + 25, knob["y"] + 25)
        page.mouse.down()
        page.mouse.move(knob["x"] + 25, knob["y"] + 13, steps=3)
        page.mouse.up()
        saved(watched)
        low, high = part_in(folder, "keep-outs", "fuel tank")["heights"]
        assert low == "210 mm"
        assert 430 < float(high.removesuffix(" mm")) < 560


def test_two_fingers_come_nearer_and_one_pans(folder):
    with served(folder) as address, browsing(address, "phone", has_touch=True) as watched:
        shown(watched)
        page = watched.page
        box = page.locator("#plan").bounding_box()
        middle_x, middle_y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        touch = page.context.new_cdp_session(page)

        def touches(kind, *points):
            points = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(points)]
            touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

        def pixels_a_metre():
            (ax, ay), (bx, by) = watched.screen_place(0, 0), watched.screen_place(1000, 0)
            return abs(bx - ax) + abs(by - ay)

        before = pixels_a_metre()
        touches("touchStart", (middle_x - 40, middle_y), (middle_x + 40, middle_y))
        for off in (50, 60, 70, 80):
            touches("touchMove", (middle_x - off, middle_y), (middle_x + off, middle_y))
        touches("touchEnd")
        assert pixels_a_metre() == pytest.approx(2 * before, rel=0.1)  # fingers twice as far apart
        still, (x, y) = pixels_a_metre(), watched.screen_place(0, 0)
        touches("touchStart", (middle_x, middle_y))
        for off in (10, 20, 40):
            touches("touchMove", (middle_x + off, middle_y + off))
        touches("touchEnd")
        moved_x, moved_y = watched.screen_place(0, 0)
        assert (moved_x - x, moved_y - y) == (pytest.approx(40, abs=12), pytest.approx(40, abs=12))
        assert pixels_a_metre() == pytest.approx(still)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("screen", ["wide", "tablet", "phone", "phone on its side"])
def test_every_state_is_for_everybody(folder, screen, scheme):
    """Judged by axe-core; nothing smaller than a finger; nothing makes the page scroll sideways."""
    found = {}
    with served(folder) as address, browsing(address, screen, judged=True, color_scheme=scheme) as watched:
        shown(watched)
        page = watched.page

        def look(state):
            page.wait_for_timeout(150)
            found[state] = (watched.judged(), watched.too_small(), watched.is_wider_than_its_window())

        look("plan")
        page.locator(".sheet").focus()
        page.keyboard.press("]")
        look("step")
        pick_by_name(page, "fuel tank")
        page.locator("summary", has_text="Its 4 points").click()
        page.locator("#part-point-1").click()
        look("form")
        page.get_by_role("button", name="Mark as not measured yet").click()
        page.get_by_role("button", name="I measured it").click()
        page.get_by_role("button", name="Take these readings").click()
        look("readings")
        page.get_by_role("tab", name="Add").click()
        look("add")
        page.get_by_role("button", name="Keep-out: area").click()
        look("draw")
        page.get_by_role("tab", name="To do").click()
        look("to do")
        page.get_by_role("button", name="Help").click()
        look("help")
    assert len(found) == 8
    assert {state: each for state, each in found.items() if each != ([], [], False)} == {}


def pick_by_name(page, name):
    """Pick a part from the list, whatever panel is open."""
    page.keyboard.press("Escape")
    page.get_by_role("tab", name="Add").click()
    page.get_by_role("tab", name="Parts").click()
    page.get_by_role("button", name=name).first.click()


@pytest.mark.parametrize("screen", ["wide", "phone"])
def test_the_start_is_for_everybody(tmp_path, screen):
    found = {}
    with served(tmp_path) as address, browsing(address, screen, judged=True) as watched:
        page = watched.page
        page.get_by_role("button", name=re.compile("^Crossover")).wait_for()
        found["types"] = (watched.judged(), watched.too_small(), watched.is_wider_than_its_window())
        page.get_by_role("button", name=re.compile("^Crossover")).click()
        found["name"] = (watched.judged(), watched.too_small(), watched.is_wider_than_its_window())
        page.get_by_role("button", name="Begin measuring").click()
        found["question"] = (watched.judged(), watched.too_small(), watched.is_wider_than_its_window())
    assert found == dict.fromkeys(("types", "name", "question"), ([], [], False))


EDIT = """async heights => {
  const token = document.querySelector('meta[name="sketch-token"]').content;
  const headers = { "X-Sketch-Token": token, "Content-Type": "application/json" };
  const { revision, data } = await (await fetch("/state", { headers })).json();
  const at = data.profile["keep-outs"].findIndex(each => each.name === "fuel tank");
  window.drawn = [...document.querySelectorAll(".layer.parts > .part, .layer.words > .word")];
  const edits = [{ file: "profile", op: "set", path: ["keep-outs", at, "heights"], value: heights }];
  await fetch("/edit", { method: "POST", headers, body: JSON.stringify({ revision, group: null, edits }) });
}"""
"""Gives the fuel tank other heights, as another window would."""
OLD_AND_NEW = """() => {
  const now = [...document.querySelectorAll(".layer.parts > .part, .layer.words > .word")];
  const called = each => each.querySelector("title")?.textContent ?? each.textContent;
  return [now.length === window.drawn.length, now.filter(each => !window.drawn.includes(each)).map(called)];
}"""


def test_only_what_changed_is_drawn_again(folder):
    with served(folder) as address, browsing(address) as watched:
        shown(watched)
        watched.page.evaluate(EDIT, ["211 mm", "420 mm"])
        watched.page.wait_for_function(f"() => ({OLD_AND_NEW})()[1].length > 0")
        is_whole, new = watched.page.evaluate(OLD_AND_NEW)
        assert is_whole
        assert len(new) == 2 and all(each.endswith("fuel tank") for each in new)  # the part and its name
