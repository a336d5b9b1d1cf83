"""The job and its plan on the page: what is dragged, told, read and printed, in a real browser."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import yaml
from sketching import ROOT, SCREENS, browsing, in_a_sketch, served

pytestmark = in_a_sketch
SLOW_MS = 240_000
"""A plan on a machine that others use too."""
AT = (2750, 680)
"""Where the refrigerator stands. [mm]"""
JOB = f"""job: Refrigerator
profile: profile.yaml
insulation: class C
source: {{nominal: 12 V, resting: 12.6 V, at: battery positive}}
places:
  - {{name: cool box, kind: unit, space: load area, at: [{AT[0]}, {AT[1]}], height: 770 mm}}
runs:
  - run: supply                          # keep it short
    from: battery positive
    to: cool box
    conductors: [{{name: supply, colour: red, load: 9 A, duty: continuous, size: auto}}]
    fuse: auto
  - run: earth
    from: cool box
    to: rear earth stud
    conductors: [{{name: earth, colour: black, returns: supply, size: auto}}]
limits: {{drop: 3 %, ambient: {{engine bay: 85 degC, underfloor: 50 degC, load area: 40 degC}}}}
"""


def folder_with(folder: Path, profile: str, job: str) -> Path:
    """Return a folder with a shipped profile and a job, as the page keeps them."""
    shutil.copy(ROOT / "profiles" / f"{profile}.yaml", folder / "profile.yaml")
    (folder / "job.yaml").write_text(job, encoding="utf-8")
    return folder


@pytest.fixture
def cool_box(tmp_path):
    with served(folder_with(tmp_path, "dunlin-lwb", JOB)) as address:
        yield tmp_path, address


def job_in(folder):
    return yaml.safe_load((folder / "job.yaml").read_text(encoding="utf-8"))


def expected(locator):
    from playwright.sync_api import expect

    return expect(locator)


def open_tab(watched, key):
    """Open a panel; a tab that is open already would put it away."""
    expected(watched.page.locator("#spaces button").first).to_be_visible(timeout=SLOW_MS)
    tab = watched.page.locator(f"#tab-{key}")
    if tab.get_attribute("aria-selected") != "true" or tab.get_attribute("aria-expanded") != "true":
        tab.click()


def show_space(watched, name):
    watched.page.locator("#spaces button", has_text=re.compile(f"^{name}$")).click()


def headline(watched):
    open_tab(watched, "way")
    return watched.page.locator(".plan-head")


def wait_for_proof(watched):
    expected(headline(watched)).to_contain_text("The way is proven", timeout=SLOW_MS)


def drag(watched, start, by, *, let_go=True):
    """Drag from a place of the window by so many pixels, as a hand does: in steps."""
    mouse = watched.page.mouse
    mouse.move(*start)
    mouse.down()
    mouse.move(start[0] + by[0], start[1] + by[1], steps=12)
    if let_go:
        mouse.up()


def waited(watched, is_so):
    """Return whether something comes to be so in good time."""
    for _ in range(SLOW_MS // 100):
        if is_so():
            return True
        watched.page.wait_for_timeout(100)
    return False


def ends_of(lines):
    """Return x of the last point of each drawn line. [mm]"""
    drawn = lines.evaluate_all("lines => lines.map(line => line.getAttribute('d'))")
    return [float(re.findall(r"-?[\d.]+", d)[-2]) for d in drawn]


def test_the_plan_says_what_the_command_says(cool_box, tmp_path_factory):
    folder, address = cool_box
    out = tmp_path_factory.mktemp("out")
    command = [sys.executable, "-m", "router", "plan", str(folder), "--out", str(out)]
    subprocess.run(command, check=True, capture_output=True, cwd=ROOT)
    told = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    with browsing(address) as watched:
        wait_for_proof(watched)
        runs = watched.page.locator(".plan-body details[data-key^='run '] > summary")
        cuts = [re.search(r"cut at ([\d.]+) m", words) for words in runs.all_text_contents()]
        assert runs.locator("strong").all_text_contents() == [run["name"] for run in told["runs"]]
        assert [float(cut.group(1)) for cut in cuts] == [run["cut_mm"] / 1000 for run in told["runs"]]
        assert watched.page.locator(".findings .weight:is(.must, .should, .note)").count() == len(
            told["findings"]
        )
        assert watched.strangers() == []
        assert watched.wrong == []


def test_whether_to_start_is_said_before_what_is_proven(tmp_path):
    profile = folder_with(tmp_path, "dunlin-lwb", JOB) / "profile.yaml"
    text = profile.read_text(encoding="utf-8")
    profile.write_text(
        text.replace("{name: rear earth stud,", "{name: rear earth stud, assumed: 60 mm,"), encoding="utf-8"
    )
    with served(tmp_path) as address, browsing(address) as watched:
        wait_for_proof(watched)
        verdict = watched.page.locator(".plan-head .verdict")
        musts = watched.page.locator(".findings .weight.must").count()
        told = (
            f"Do not start: {musts} must be put right, 1 to measure first"
            if musts
            else "Measure 1 place first"
        )
        expected(verdict).to_contain_text(told)
        expected(watched.page.locator(".plan-head")).to_have_class(re.compile("must" if musts else "should"))
        first, second = watched.page.locator(".plan-head p").all_text_contents()
        assert first == verdict.text_content()
        assert second.startswith("The way is proven")
        earth = watched.page.locator("[data-key='run earth'] > summary")  # it ends at what is assumed
        expected(earth).to_contain_text("Do not cut before measuring: it may be off by")


def test_the_way_follows_the_finger_and_the_place_is_written_when_it_lets_go(cool_box):
    folder, address = cool_box
    with browsing(address) as watched:
        wait_for_proof(watched)
        show_space(watched, "load area")
        start = watched.screen_place(*AT)
        a_metre = watched.screen_place(AT[0] + 1000, AT[1])
        pixels_a_mm = (a_metre[0] - start[0]) / 1000
        drag(watched, start, (-300 * pixels_a_mm, 0), let_go=False)
        moving = watched.page.locator(".ways .moving")
        expected(moving.first).to_be_attached(timeout=SLOW_MS)
        assert waited(watched, lambda: any(abs(x - (AT[0] - 300)) < 20 for x in ends_of(moving)))
        before = (folder / "job.yaml").read_text(encoding="utf-8")
        assert before == JOB  # nothing is written while it is dragged
        watched.page.mouse.up()
        expected(watched.page.get_by_role("button", name="Undo")).to_be_enabled()
        x, y = job_in(folder)["places"][0]["at"]
        assert (x, y) == pytest.approx((AT[0] - 300, AT[1]), abs=2 / pixels_a_mm)
        after = (folder / "job.yaml").read_text(encoding="utf-8").splitlines()
        assert sum(one != other for one, other in zip(after, JOB.splitlines(), strict=True)) == 1
        wait_for_proof(watched)
        expected(moving).to_have_count(0)
        assert watched.wrong == []


def test_a_part_is_gone_by_left_out_and_let_go_again(cool_box):
    folder, address = cool_box
    profile = yaml.safe_load((folder / "profile.yaml").read_text(encoding="utf-8"))
    opening = next(each for each in profile["openings"] if "load area" in each["joins"])
    with browsing(address) as watched:
        wait_for_proof(watched)
        show_space(watched, "load area")
        watched.page.mouse.click(*watched.screen_place(*opening["at"]))
        card = watched.page.locator(".spot-card")
        expected(card).to_contain_text(opening["name"])
        card.get_by_role("button", name="Do not use this").click()
        expected(card.get_by_role("button", name="Do not use this")).to_have_attribute("aria-pressed", "true")
        assert job_in(folder)["runs"][0]["avoid"] == [opening["name"]]
        card.get_by_role("button", name="Go by this").click()
        expected(card.get_by_role("button", name="Go by this")).to_have_attribute("aria-pressed", "true")
        told = job_in(folder)["runs"][0]
        assert (told.get("via"), told.get("avoid")) == ([opening["name"]], None)
        card.get_by_role("button", name="As it likes").click()
        expected(card.get_by_role("button", name="As it likes")).to_have_count(0)
        assert (folder / "job.yaml").read_text(encoding="utf-8") == JOB
        assert watched.wrong == []


def test_why_here_is_told_where_the_way_is_tapped(cool_box):
    _, address = cool_box
    with browsing(address) as watched:
        wait_for_proof(watched)
        reasons = watched.page.locator(".plan-body [data-key='why supply'] li")
        told = reasons.all_text_contents()
        assert len(told) > 3
        show_space(watched, "load area")
        line = watched.page.locator(".ways .way:not(.elsewhere)").first
        x, y = line.evaluate(
            """path => {
              const [at, to] = [path.getPointAtLength(path.getTotalLength() / 2), path.getScreenCTM()];
              return [to.a * at.x + to.c * at.y + to.e, to.b * at.x + to.d * at.y + to.f];
            }"""
        )
        watched.page.mouse.click(x, y)
        here = watched.page.locator(".spot-card .why-here li")
        expected(here.first).to_be_visible()
        assert set(here.all_text_contents()) <= {*told, *_all_reasons(watched)}


def _all_reasons(watched):
    return watched.page.locator(".plan-body [data-key^='why '] li").all_text_contents()


def test_another_way_is_shown_and_hidden(cool_box):
    _, address = cool_box
    with browsing(address) as watched:
        wait_for_proof(watched)
        watched.page.locator("[data-key='run supply'] > summary").click()
        watched.page.locator("[data-key='others supply'] > summary").click()
        show = watched.page.locator("[data-key='others supply'] button").first
        show.click()
        expected(show).to_have_text("Hide on the drawing")
        assert watched.page.locator(".ways .other").count() > 0
        show.click()
        expected(watched.page.locator(".ways .other")).to_have_count(0)


def test_no_way_shows_the_narrow_place_and_what_would_open_it(tmp_path):
    text = (ROOT / "examples" / "no-way" / "job.yaml").read_text(encoding="utf-8")
    job = re.sub(r"^profile: \S+", "profile: profile.yaml", text, flags=re.MULTILINE)
    with served(folder_with(tmp_path, "sanderling-estate", job)) as address, browsing(address) as watched:
        expected(headline(watched)).to_have_text("There is no way through.", timeout=SLOW_MS)
        says = watched.page.locator(".no-way p").first.text_content()
        x, y = map(float, re.search(r"x (-?[\d.]+), y (-?[\d.]+)", says).groups())
        watched.page.get_by_role("button", name="Show me the place").click()
        box = watched.page.locator(".pinch circle").bounding_box()
        middle = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        assert middle == pytest.approx(watched.screen_place(x, y), abs=2)
        open_tab(watched, "print")
        expected(watched.page.locator(".paper.missing").first).to_contain_text("no way through")


def test_all_papers_open_in_a_tab_of_their_own(cool_box):
    _, address = cool_box
    with browsing(address) as watched:
        wait_for_proof(watched)
        open_tab(watched, "print")
        papers = {
            link.locator("strong").text_content(): link for link in watched.page.locator("a.paper").all()
        }
        assert list(papers) == ["Map", "Sheet", "Circuit", "Bill", "Measuring sheet"]
        for name in ("Map", "Sheet", "Circuit", "Measuring sheet"):
            with watched.page.context.expect_page() as opened:
                papers[name].click()
            other = opened.value
            other.wait_for_load_state()
            assert other.locator("svg, h1").count() > 0, name
            other.close()
        bill = watched.page.request.get(f"{address.split('?')[0]}{papers['Bill'].get_attribute('href')[1:]}")
        assert bill.text().removeprefix("\ufeff").splitlines()[0].startswith("item")


@pytest.mark.parametrize("screen", ["wide", "phone"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_is_found_in_any_state(cool_box, screen, scheme):
    _, address = cool_box
    with browsing(address, screen, judged=True, color_scheme=scheme) as watched:
        wait_for_proof(watched)
        for fold in watched.page.locator("#panel-way summary").all():
            fold.evaluate("each => { each.parentElement.open = true; }")
        for tab in ("way", "job", "print"):
            open_tab(watched, tab)
            assert watched.judged() == []
            assert watched.too_small() == []
            assert not watched.is_wider_than_its_window()
        open_tab(watched, "job")
        watched.page.locator("summary", has_text="Fit something else").click()
        watched.page.locator(".fit-choice").first.click()
        assert watched.judged() == []
        assert watched.page.evaluate("matchMedia('(prefers-color-scheme: dark)').matches") == (
            scheme == "dark"
        )


def test_a_fault_would_be_found(cool_box):
    _, address = cool_box
    with browsing(address, judged=True) as watched:
        open_tab(watched, "print")
        watched.page.evaluate(
            """() => {
              document.querySelector("#panel-print > p").style.color = "#ccc";
              const small = document.createElement("button");
              small.style.minHeight = small.style.height = "20px";
              document.querySelector("#panel-print").append(small);
            }"""
        )
        assert {"color-contrast", "button-name"} <= {name for name, _ in watched.judged()}
        assert len(watched.too_small()) == 1


def test_a_unit_is_put_by_the_keyboard_alone(tmp_path):
    shutil.copy(ROOT / "profiles" / "plover-crossover.yaml", tmp_path / "profile.yaml")
    with served(tmp_path) as address, browsing(address, "phone") as watched:
        page = watched.page
        expected(page.locator("#spaces button").first).to_be_visible(timeout=SLOW_MS)
        page.locator("#tab-job").focus()
        page.keyboard.press("Enter")
        expected(page.locator(".fit-choice").first).to_be_visible()
        for _ in range(60):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.textContent").startswith("Work lamp"):
                break
        page.keyboard.press("Enter")
        expected(page.locator("form.placing")).to_be_visible()
        for text in ("3300", "-300"):
            page.keyboard.press("Tab")
            page.keyboard.type(text)
        page.keyboard.press("Enter")
        expected(page.locator("form.placing")).to_have_count(0, timeout=SLOW_MS)
        assert [place["at"] for place in job_in(tmp_path)["places"]] == [[3300, -300]]
        wait_for_proof(watched)


def test_hostile_names_stay_text(tmp_path):
    hostile = '<img src=x onerror="alert(1)"><script>alert(2)</script>&amp;'
    text = (ROOT / "profiles" / "dunlin-lwb.yaml").read_text(encoding="utf-8")
    (tmp_path / "profile.yaml").write_text(
        text.replace("rear earth stud", json.dumps(f"a {hostile}")).replace(
            "profile: Dunlin panel van, long wheelbase", f"profile: {json.dumps(hostile)}"
        ),
        encoding="utf-8",
    )
    job = JOB.replace("rear earth stud", json.dumps(f"a {hostile}")).replace(
        "run: supply", f"run: {json.dumps(f'b {hostile}')}"
    )
    job = job.replace("cool box", json.dumps(f"c {hostile}")).replace("red", json.dumps(f"d {hostile}"))
    (tmp_path / "job.yaml").write_text(job, encoding="utf-8")
    with served(tmp_path) as address, browsing(address) as watched:
        wait_for_proof(watched)
        for tab in ("job", "way", "print"):
            open_tab(watched, tab)
            for fold in watched.page.locator("#panels summary").all():
                fold.evaluate("each => { each.parentElement.open = true; }")
        words = watched.page.locator("#panels").evaluate("each => each.textContent")
        assert all(f"{letter} {hostile}" in words for letter in "abcd")
        assert watched.page.locator("img, body script, [onerror], [onload]").count() == 0
        assert watched.wrong == []
        assert watched.strangers() == []


@pytest.mark.parametrize("screen", SCREENS)
def test_a_finger_puts_a_unit_where_it_taps(tmp_path, screen):
    shutil.copy(ROOT / "profiles" / "plover-crossover.yaml", tmp_path / "profile.yaml")
    with served(tmp_path) as address, browsing(address, screen, has_touch=True) as watched:
        open_tab(watched, "job")
        watched.page.locator(".fit-choice", has_text="Work lamp").tap()
        place = watched.page.locator("form.placing select").input_value()
        expected(watched.page.locator("#spaces [aria-selected=true]")).to_have_text(place)
        box = watched.page.locator("#plan").bounding_box()
        watched.page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        expected(watched.page.locator("form.placing")).to_have_count(0, timeout=SLOW_MS)
        ((x, y),) = [each["at"] for each in job_in(tmp_path)["places"]]
        drawn = watched.page.locator(".part.place .dot.outer").first
        assert drawn.get_attribute("d") == f"M{x} {y}h0"
