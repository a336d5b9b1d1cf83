"""Route files: what is written reads back, what is drawn by hand gets its heights, what is wrong is refused.

Each kind of finding of a review has a file that commits just that fault, and one that just does not. The
vehicle is a bare one: an underfloor at 400 mm and a load area at 700 mm; every expected figure is worked out
from its drawing. The loom is given as 10 mm thick, so its outside lies 5 mm from the line of the file.
"""

from __future__ import annotations

import math

import jsonschema
import pytest
import yaml

from router.drawing import draw_judgement
from router.errors import UnreadableError
from router.judging import approve, judge_route
from router.model.review import ChangeKind
from router.reading import check_file, json_schema, read_question, read_route
from router.writing import review_data, review_line, review_words, route_bytes

PROFILE = """\
profile: Bare vehicle
revision: 1
measured: {on: 2026-03-14, tolerance: 5 mm}
unit: mm
datum: front axle
spaces:
  underfloor: {height: 400 mm, outline: [[0, -600], [3000, -600], [3000, 600], [0, 600]]}
  load area: {height: 700 mm, outline: [[2000, -600], [4000, -600], [4000, 600], [2000, 600]]}
keep-outs:
  - {name: pipe, space: underfloor, hazard: hot, along: [[600, -400], [1400, -400]], width: 60 mm}
members:
  - {name: beam, space: underfloor, along: [[1900, 300], [1900, 600]], width: 80 mm, passes: []}
supports:
  - {name: flange, space: underfloor, kind: flange, along: [[100, 0], [2500, 0]], height: 420 mm, fix: tie}
  - {name: brake line, space: underfloor, kind: line, along: [[2100, -300], [2500, -300]], fix: never}
openings:
  - {name: plug, joins: [underfloor, load area], at: [2500, 0], height: 550 mm, bore: 30 mm, edge: rubber}
terminals:
  - {name: post, space: underfloor, at: [100, 0], height: 400 mm, stud: M6}
  - {name: lamp, space: underfloor, at: [1500, 0], height: 400 mm}
"""
JOB = """\
job: Lamp
profile: bare.yaml
source: {nominal: 12 V, resting: 12.6 V, at: post}
runs:
  - {run: feed, from: post, to: lamp, conductors: [{name: feed, colour: red, load: 2 A}], fuse: auto}
"""
EVENLY = (50, 350, 600, 850, 1100, 1350)
FIXED = (50, 300, 550, 800, 1050, 1350)


def route_text(points="[[100, 0], [1500, 0]]", fixed=FIXED, extra="", support="", kind="tie"):
    lines = ["route: Lamp", "format: route/1", "runs:", "  - run: feed", "    loom: 10 mm", "    way:"]
    lines.append(f"      - {{space: underfloor, height: 400 mm, points: {points}{extra}}}")
    lines.append("    fixings:")
    on = f", support: {support}" if support else ""
    lines += [f"      - {{station: {station} mm, kind: {kind}{on}}}" for station in fixed]
    return "\n".join(lines) + "\n"


@pytest.fixture
def shop(tmp_path):
    """A folder with the vehicle, a job and whatever route is asked for; judges it."""

    def judge(text, profile=PROFILE, job=JOB, planned=None):
        (tmp_path / "bare.yaml").write_text(profile, encoding="utf-8")
        (tmp_path / "job.yaml").write_text(job, encoding="utf-8")
        (tmp_path / "route.yaml").write_bytes(text if isinstance(text, bytes) else text.encode())
        question = read_question(tmp_path)
        drawn = read_route(tmp_path / "route.yaml", question.job, question.profile)
        return judge_route(question.job, question.profile, question.practice, drawn, planned)

    return judge


def kinds(judgement):
    return [each.finding.kind for each in judgement.findings]


def test_the_good_route_has_nothing_wrong_and_full_marks(shop):
    judged = shop(route_text())
    assert (kinds(judged), judged.mark, judged.stands) == ([], 100, True)


def fixed_for(length):
    return [*range(50, int(length) - 20, 250), int(length) - 50]


# 60 mm wide pipe at y -400: its edge at -370; outside of the loom at y - 5; 200 mm and 5 mm tolerance wanted
NEAR = math.hypot(500, 160)
DETOUR = 2 * NEAR + 400


def bow(y):
    return f"[[100, 0], [600, {y}], [1000, {y}], [1500, 0]]", fixed_for(2 * math.hypot(500, y) + 400)


@pytest.mark.parametrize(
    ("kind", "bad", "good", "points"),
    [
        ("clearance", bow(-160.01), bow(-159.99), 30),
        ("span", (None, (50, 351, 600, 850, 1100, 1350)), (None, EVENLY), 15),
        ("fixing missing", (None, (101, *EVENLY[1:])), (None, (100, *EVENLY[1:])), 15),
        ("end", ("[[105.1, 0], [1500, 0]]", FIXED), ("[[104.9, 0], [1500, 0]]", FIXED), 15),
        ("outline", bow(600.01), bow(599.99), 15),
    ],
)  # fmt: skip
def test_each_fault_by_itself(shop, kind, bad, good, points):
    straight = "[[100, 0], [1500, 0]]"
    faulty = shop(route_text(bad[0] or straight, bad[1]))
    assert kinds(faulty) == [kind]
    assert (faulty.mark, faulty.stands) == (100 - points, False)
    assert kinds(shop(route_text(good[0] or straight, good[1]))) == []


def test_a_fixing_on_a_line_that_takes_none_costs_as_much_as_a_clearance(shop):
    judged = shop(route_text(support="brake line", fixed=FIXED))
    assert set(kinds(judged)) == {"fixing forbidden"}
    assert judged.mark == 0  # six of them
    assert kinds(shop(route_text(support="flange"))) == []


def test_a_member_is_met_only_at_its_passes(shop):
    far = JOB.replace("to: lamp", "to: far lamp")
    vehicle = PROFILE + "  - {name: far lamp, space: underfloor, at: [2300, 0], height: 400 mm}\n"

    def over(y):  # the band round the beam's end at y 300: half of 80 mm and the loom's 5 mm
        points = f"[[100, 0], [1500, {y}], [2100, {y}], [2300, 0]]"
        length = math.hypot(1400, y) + 600 + math.hypot(200, y)
        return shop(route_text(points, fixed_for(length)), vehicle, far)

    assert kinds(over(255.01)) != [] and kinds(over(254.99)) == []
    assert "member" in kinds(over(255.01))


def test_a_bend_that_is_too_sharp_is_a_thing_to_look_at(shop):
    judged = shop(route_text("[[100, 0], [800, 0], [800, 4], [1500, 4], [1500, 0]]", fixed_for(1408)))
    smooth = shop(route_text("[[100, 0], [800, 40], [1500, 0]]", fixed_for(1402)))
    assert "bend" in kinds(judged) and "bend" not in kinds(smooth)
    assert all(each.points == 5 for each in judged.findings if each.finding.kind == "bend")


def test_openings_by_their_own_height_and_nowhere_else(shop):
    job = JOB.replace("to: lamp", "to: unit")
    vehicle = PROFILE + "  - {name: unit, space: load area, at: [3000, 0], height: 700 mm}\n"

    def by(x, bore=30):
        text = route_text(f"[[100, 0], [{x}, 0]]", (50, *range(300, 2300, 250), x - 130, x + 290, x + 580))
        text = text.replace("height: 400 mm, ", "")
        text = text.replace(
            "    fixings:", f"      - {{space: load area, points: [[{x}, 0], [3000, 0]]}}\n    fixings:"
        )
        return shop(text, vehicle.replace("bore: 30 mm", f"bore: {bore} mm"), job)

    good = by(2500)
    assert good.runs[0].drawn.route.routed_mm == 2400 + 300 + 500  # out, up 150 and 150, on
    heights = [point.z_mm for point in good.runs[0].drawn.route.points]
    assert heights == [400, 400, 550, 550, 700, 700]
    assert "opening" not in kinds(good) and "space" not in kinds(good)
    assert "opening" in kinds(by(2500, bore=9)) and "space" in kinds(by(2490))


# files


def test_a_stretch_lies_at_its_support_and_steps_there_and_back(shop):
    text = route_text("[[100, 0], [200, 0]]").replace("height: 400 mm, ", "")
    text = text.replace(
        "    fixings:",
        "      - {space: underfloor, along: flange, points: [[200, 0], [1400, 0]]}\n"
        "      - {space: underfloor, points: [[1400, 0], [1500, 0]]}\n    fixings:",
    )
    route = shop(text).runs[0].drawn.route
    assert [p.z_mm for p in route.points] == [400, 400, 420, 420, 400, 400]
    assert [p.along for p in route.points] == [None, None, "flange", None, None, None]
    assert route.routed_mm == 1400 + 2 * 20


def test_inches_are_inches(shop):
    text = route_text("[[4, 0], [59, 0]]").replace("runs:", "unit: in\nruns:", 1)
    assert shop(text).runs[0].drawn.route.points[-1].x_mm == pytest.approx(59 * 25.4)


def test_what_is_written_reads_back_the_same_and_is_valid(shop):
    first = shop(bow_text := route_text(*bow(-123.4567891)))
    written = route_bytes(first.drawn, "job.yaml")
    again = shop(written)
    assert route_bytes(again.drawn, "job.yaml") == written != bow_text.encode()
    assert kinds(again) == kinds(first) == []
    heres, theres = (each.runs[0].drawn.route.points for each in (first, again))
    assert [point.y_mm for point in theres] == pytest.approx([point.y_mm for point in heres], abs=1e-7)
    validator = jsonschema.Draft202012Validator(json_schema("route"))
    data = yaml.safe_load(written)
    validator.validate(data)
    assert not validator.is_valid({**data, "format": "route/2"})


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("route/1", "route/2", '2:9: format "route/2" is unknown; did you mean "route/1"?'),
        ("run: feed", "run: fed", '4:10: run "fed": unknown run "fed"; did you mean "feed"?'),
        ("space: underfloor", "space: underflor",
         '7:17: run "feed", stretch 1: unknown space "underflor"; did you mean "underfloor"?'),
        ("[1500, 0]", "[1500]",
         '7:64: run "feed", stretch 1, points: point 2 is a list of 1; '
         "write two or three numbers, e.g. [600, 180] or [600, 180, 410]"),
        ("station: 50 mm", "station: 50",
         '9:19: run "feed", fixing 1: station "50" has no unit; write e.g. "50 mm"'),
        ("1350 mm", "9 m", '14:19: run "feed", fixing 6: station is beyond the end of the run, '
         "1400 mm from its start; check it"),
        ("height:", "heigth:", '7:29: run "feed", stretch 1: unknown key "heigth"; did you mean "height"?'),
        ("    fixings:", "    passes: [{over: bean}]\n    fixings:",
         '8:21: run "feed", pass 1: unknown member "bean"; did you mean "beam"?'),
        ("    fixings:", "    passes: [{over: beam, opening: plug}]\n    fixings:",
         '8:14: run "feed", pass 1: names no one thing; '
         "write one of over:, through: and opening: with its name"),
        ("    fixings:", "    loops: [{station: 3 m, spare: 50 mm}]\n    fixings:",
         '8:23: run "feed", loop 1: station is beyond the end of the run, 1400 mm from its start; check it'),
        ("station: 50 mm", "station: 50 mm, at: [150, 0]",
         '9:30: run "feed", fixing 1: has a station and a place; take out one of station: and at:'),
        ("station: 50 mm, ", "", '9:9: run "feed", fixing 1: has no place; '
         "write station: 250 mm along the run, or at: [600, 180] beside it"),
        ("station: 50 mm", "at: [150, 51]", '9:14: run "feed", fixing 1: at [150, 51] is 51 mm from the '
         "route, which is nearest at station 50 mm; write a place within 50 mm of it"),
        ("station: 50 mm", "at: [150, 0, 451]", '9:14: run "feed", fixing 1: at [150, 0, 451] is 51 mm from '
         "the route, which is nearest at station 50 mm; write a place within 50 mm of it"),
        ("    fixings:", "    passes: [{over: beam, station: 3 m}]\n    fixings:",
         '8:36: run "feed", pass 1: station is beyond the end of the run, 1400 mm from its start; check it'),
    ],
)  # fmt: skip
def test_faults_have_their_place_and_words(shop, old, new, words):
    with pytest.raises(UnreadableError) as refusal:
        shop(route_text().replace(old, new, 1))
    assert [str(fault).split("route.yaml:")[1] for fault in refusal.value.faults] == [words]


def by_places(points, *places):
    text = route_text(points, fixed=())
    return text + "".join(f"      - {{at: {place}, kind: tie}}\n" for place in places)


def stations(judgement):
    return [round(fixing.station_mm, 6) for fixing in judgement.drawn.runs[0].fixings]


def test_a_fixing_may_be_given_by_its_place(shop):
    # the way begins at x 100; a place beside it counts where the way is nearest, in any order
    straight = "[[100, 0], [1500, 0]]"
    assert stations(shop(by_places(straight, "[400, 50]", "[150, 0]", "[1450, -50, 400]"))) == [50, 300, 1350]
    assert stations(shop(by_places(straight, "[90, 0]", "[1510, 10]"))) == [0, 1400]
    inches = by_places("[[3.93701, 0], [59.05512, 0]]", "[11.811024, 1]")  # x 300 mm and 25.4 mm aside
    assert stations(shop(inches.replace("format", "unit: in\nformat")))[0] == pytest.approx(200, abs=0.001)


def test_a_point_that_is_moved_leaves_later_fixings_where_they_are(shop):
    # 300 mm out to y 400 and 300 mm on: two legs of 3-4-5, so the way is 400 mm longer from there on
    before = shop(by_places("[[100, 0], [1500, 0]]", "[150, 0]", "[1200, 0]"))
    after = shop(by_places("[[100, 0], [400, 400], [700, 0], [1500, 0]]", "[130, 40]", "[1200, 0]"))
    assert stations(before) == [50, 1100] and stations(after) == [50, 1500]
    first, last = (judged.drawn.runs[0].fixings[1] for judged in (before, after))
    assert (first.x_mm, first.y_mm) == (last.x_mm, last.y_mm) == (1200, 0)


def test_a_place_that_the_way_has_twice_takes_a_height(shop):
    # up 200 mm at x 800: the way is there from station 700 to 900
    up = "[[100, 0, 400], [800, 0, 400], [800, 0, 600], [1500, 0, 600], [1500, 0, 400]]"
    with pytest.raises(UnreadableError) as refusal:
        shop(by_places(up, "[790, 0]", "[800, 0]"))
    assert [str(fault).split("route.yaml:")[1] for fault in refusal.value.faults] == [
        '10:14: run "feed", fixing 2: at [800, 0] is as near to station 700 mm as to 900 mm; '
        "write its height too, as a third number, or station: in its place"
    ]
    assert stations(shop(by_places(up, "[790, 0]", "[800, 0, 450]"))) == [690, 750]


def test_what_a_file_says_it_passes_is_held_against_its_way(shop):
    said = route_text().replace(
        "    fixings:", "    passes: [{opening: plug, station: 700 mm}]\n    fixings:"
    )
    judged = shop(said)
    assert kinds(judged) == ["pass"] and judged.mark == 85
    assert b'passes:\n      - {opening: "plug"}  # station 700 mm\n' in route_bytes(judged.drawn)


def test_a_loop_left_near_what_moves(shop):
    # fixed at 550 and 800 mm, 250 apart, 150 to spare: it swings out by half the root of 400^2 - 250^2,
    # 156.1 mm; 25 and 5 mm asked, 5 mm of loom: the fan of 50 mm must have its middle 241.1 mm away
    swing = math.sqrt(400**2 - 250**2) / 2

    def beside(more):
        y = swing + 25 + 5 + 5 + 50 + more
        disc = f"{{centre: [780, {y}], radius: 50 mm}}"
        fan = f"  - {{name: fan, space: underfloor, hazard: moving, disc: {disc}}}\n"
        text = route_text().replace(
            "    fixings:", "    loops: [{station: 700 mm, spare: 150 mm}]\n    fixings:"
        )
        return shop(text, PROFILE.replace("members:", f"{fan}members:"))

    near, far = beside(-0.01), beside(0.01)
    assert kinds(near) == ["loop"] and near.mark == 70
    assert kinds(far) == []
    again = shop(route_bytes(far.drawn))
    assert again.drawn.runs[0].loops == far.drawn.runs[0].loops != ()


def test_a_way_that_no_conductor_suits_is_a_finding(shop):
    job = JOB.replace("load: 2 A", "load: 20 A")
    zigzag = ", ".join(f"[{100 + 4 * n}, {(-1) ** n * 590}]" for n in range(1, 350))
    text = route_text(f"[[100, 0], {zigzag}, [1500, 0]]", (50,))
    assert "conductor" in kinds(shop(text, job=job))


# standard routes


def approved(shop, text):
    judged = shop(text)
    return route_bytes(approve(judged, "A. Warden", "2026-11-25"))


def test_a_standard_route_stands_until_something_moves(shop):
    text = approved(shop, route_text(*bow(-100)))
    same = shop(text)
    assert same.stands and same.changes == ()
    moved = PROFILE.replace("revision: 1", "revision: 2").replace("-400]", "-370]")
    later = shop(text, moved)
    assert later.stands
    assert [each.what for each in later.changes] == [
        "profile: approved for revision 1, this is revision 2",
        "pipe was moved or changed",
        "margin to pipe fell from 60 mm to 30 mm",  # 270 and 240 to its edge, less 5 of loom and 205 wanted
    ]
    fallen = shop(text, moved.replace("-370]", "-330]"))
    assert not fallen.stands
    assert review_line("r.yaml", fallen).startswith(
        "r.yaml: FALLS, 70 of 100; feed: the loom lies 195 mm from pipe"
    )


def test_gone_new_and_other_rules_are_told(shop):
    text = approved(shop, route_text(*bow(-100)))
    start = PROFILE.index("keep-outs:")
    bare = PROFILE[:start] + PROFILE[PROFILE.index("members:") :]
    assert [c.kind for c in shop(text, bare).changes] == [ChangeKind.GONE]
    tank = "  - {name: tank, space: underfloor, hazard: fuel, disc: {centre: [800, 200], radius: 100 mm}}\n"
    more = PROFILE.replace("members:", f"{tank}members:")
    assert [c.kind for c in shop(text, more).changes] == [ChangeKind.NEW]
    other = shop(text.replace(b"station: 300.000", b"station: 299.000"))
    assert [c.kind for c in other.changes] == [ChangeKind.CONTENT]


def test_what_a_route_rests_on_is_told_when_it_moves_or_goes(shop):
    text = approved(shop, route_text(support="flange"))
    data = yaml.safe_load(text)
    assert {(each["what"], each["name"]) for each in data["approved"]["used"]} == {
        ("support", "flange"), ("terminal", "post"), ("terminal", "lamp")
    }  # fmt: skip
    lower = shop(text, PROFILE.replace("height: 420 mm", "height: 410 mm"))
    assert [each.what for each in lower.changes] == ["support flange was moved or changed"]
    gone = shop(text, "\n".join(line for line in PROFILE.splitlines() if "name: flange" not in line))
    assert [(c.kind, c.what) for c in gone.changes] == [(ChangeKind.GONE, "support flange is gone")]
    assert not gone.stands  # the fixings have nothing to be on
    assert "the profile has no such support" in draw_judgement(gone)  # and is drawn all the same


def test_nobody_approves_what_breaks_a_rule(shop):
    with pytest.raises(ValueError, match="must-rule"):
        approve(shop(route_text(*bow(-170))), "A. Warden", "2026-11-25")


def test_words_and_json_say_the_same(shop):
    judged = shop(route_text(*bow(-200)))
    data = review_data(judged)
    assert (data["format"], data["stands"], data["mark"]) == ("review/1", False, 70)
    (finding,) = data["findings"]
    assert finding["rule"]["name"] == "clearance: hot" and finding["required"] == "at least 205 mm"
    assert finding["actual"] == "165 mm"  # pipe's edge at -370, loom's outside at -205
    assert "clearance: asked at least 205 mm, found 165 mm; rule clearance: hot" in review_words(judged)


def test_check_tells_all_faults_of_a_route_and_its_job_at_once(tmp_path):
    (tmp_path / "bare.yaml").write_text(PROFILE, encoding="utf-8")
    (tmp_path / "job.yaml").write_text(JOB, encoding="utf-8")
    text = route_text(support="flunge").replace("run: feed", "run: fed").replace("loom: 10 mm", "loom: 10")
    (tmp_path / "route.yaml").write_text(text, encoding="utf-8")
    own = '5:11: run "fed": loom "10" has no unit; write e.g. "10 mm"'
    names = ['4:10: run "fed": unknown run "fed"; did you mean "feed"?', own]
    for number, line in enumerate(text.splitlines()[8:14], start=1):
        column = line.index("flunge") + 1
        words = f'run "fed", fixing {number}: unknown support "flunge"; did you mean "flange"?'
        names.append(f"{8 + number}:{column}: {words}")

    def found(*jobs):
        with pytest.raises(UnreadableError) as refusal:
            check_file(tmp_path / "route.yaml", *jobs)
        return [str(fault).removeprefix(f"{tmp_path}/route.yaml:") for fault in refusal.value.faults]

    assert found() == [own]  # no job is known, so no name is
    assert found(tmp_path) == names
    (tmp_path / "route.yaml").write_text(text.replace("format:", "job: job.yaml\nformat:"), encoding="utf-8")
    assert [words.split(": ", 1)[1] for words in found()] == [words.split(": ", 1)[1] for words in names]
    (tmp_path / "job.yaml").write_text(JOB.replace("12 V", "12"), encoding="utf-8")
    assert found()[0].split(": ", 1)[1] == own.split(": ", 1)[1]
    assert found()[1:] == [f'{tmp_path}/job.yaml:3:19: source: nominal "12" has no unit; write e.g. "12 V"']
