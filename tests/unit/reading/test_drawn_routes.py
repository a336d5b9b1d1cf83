"""Routes read from lines that somebody drew over a blank map, as drawing programs write them.

The vehicle is a bare one, its blank map drawn by our own program; expected places are those of the terminals,
openings, supports and holes of the vehicle's file, or worked out by hand from the map's frame.
"""

from __future__ import annotations

import json
import re
from dataclasses import replace
from itertools import pairwise

import pytest

from router.drawing import draw_map
from router.errors import UnreadableError
from router.planning import make_plan
from router.reading import read_question, read_route

PROFILE = """\
profile: Bare vehicle
revision: 1
measured: {on: 2026-03-14, tolerance: 5 mm}
unit: mm
datum: front axle
spaces:
  underfloor: {height: 400 mm, outline: [[0, -600], [3000, -600], [3000, 600], [200, 600], [0, 500]]}
  load area: {height: 700 mm, outline: [[2000, -600], [4000, -600], [4000, 600], [2100, 600]]}
keep-outs:
  - {name: pipe, space: underfloor, hazard: hot, along: [[600, -500], [1400, -500]], width: 60 mm}
members:
  - name: beam
    space: underfloor
    along: [[1700, -600], [1700, 600]]
    width: 80 mm
    passes: [{through: [1700, 200], bore: 30 mm, edge: rolled}]
supports:
  - {name: flange, space: underfloor, kind: flange, along: [[300, 0], [1300, 0]], height: 420 mm, fix: tie}
  - {name: rail, space: load area, kind: rail, along: [[2550, 300], [3700, 300]], height: 700 mm, fix: clip}
  - {name: brake line, space: underfloor, kind: line, along: [[300, 90], [1300, 90]], fix: never}
openings:
  - {name: plug, joins: [underfloor, load area], at: [2500, 200], height: 550 mm, bore: 30 mm, edge: rubber}
terminals:
  - {name: post, space: underfloor, at: [100, -200], height: 400 mm, stud: M6}
  - {name: lamp, space: load area, at: [3800, 300], height: 700 mm}
  - {name: stud, space: underfloor, at: [2800, -300], height: 400 mm, stud: M6}
"""
JOB = """\
job: Lamp
profile: bare.yaml
source: {nominal: 12 V, resting: 12.6 V, at: post}
runs:
  - {run: feed, from: post, to: lamp, conductors: [{name: feed, colour: red, load: 2 A}], fuse: auto}
  - {run: earth, from: lamp, to: stud, conductors: [{name: earth, colour: black, returns: feed}]}
"""
UNDER = [(100, -200), (290, 0), (1300, 0), (1600, 200), (1800, 200), (2500, 200)]
LOAD = [(2500, 200), (2560, 300), (3800, 300)]


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """The job's folder, its question, and its blank map seen from below and from above."""
    folder = tmp_path_factory.mktemp("shop")
    (folder / "bare.yaml").write_text(PROFILE, encoding="utf-8")
    (folder / "job.yaml").write_text(JOB, encoding="utf-8")
    question = read_question(folder)
    plan = make_plan(question.job, question.profile, question.practice)
    blanks = {side: draw_map(plan, is_blank=True, seen_from=side) for side in ("below", "above")}
    return folder, question, blanks


def views_of(blank):
    data = json.loads(re.search(r"<metadata>(.*?)</metadata>", blank).group(1))
    return {view["space"]: view for view in data["views"]}


def paper(blank, space, places):
    view = views_of(blank)[space]
    (ox, oy), scale, sense = view["origin_mm"], view["scale"], view["y_sense"]
    return [(ox + x / scale, oy + sense * y / scale) for x, y in places]


def polyline(places, extra=""):
    return f'<polyline {extra} points="{" ".join(f"{x:.4f},{y:.4f}" for x, y in places)}"/>'


def in_group(blank, space, markup):
    name = f'<g id="draw-{space.replace(" ", "-")}">'
    assert name in blank
    return blank.replace(name, f"{name}\n{markup}", 1)


def feed_lines(blank, extra='id="feed"'):
    return {space: polyline(paper(blank, space, places), extra)
            for space, places in (("underfloor", UNDER), ("load area", LOAD))}  # fmt: skip


def with_feed(blank, extra='id="feed"'):
    for space, line in feed_lines(blank, extra).items():
        blank = in_group(blank, space, line)
    return blank


def read(shop, text, name="drawn.svg"):
    folder, question, _ = shop
    (folder / name).write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_route(folder / name, question.job, question.profile)


def places_of(run):
    return [(p.space, round(p.x_mm), round(p.y_mm), round(p.z_mm)) for p in run.route.points]


def check_feed(drawn):
    """The feed as drawn: both terminals, the flange, the hole and the plug exactly; lengths by arithmetic."""
    assert [run.route.run for run in drawn.runs] == ["feed"]
    (run,) = drawn.runs
    found = places_of(run)
    assert found[0] == ("underfloor", 100, -200, 400)
    assert ("underfloor", 2500, 200, 550) in found and ("load area", 2500, 200, 550) in found
    assert found[-1] == ("load area", 3800, 300, 700)
    along = {p.along for p in run.route.points if p.along}
    assert along == {"flange", "rail"}
    assert all(abs(p.y_mm) < 1e-6 and p.z_mm == 420 for p in run.route.points if p.along == "flange")
    # 276 + 1010 + 361 + 900 under the floor, 117 + 1240 in the load area, 20 + 20 on to the flange and off,
    # 150 + 150 through the plug: 4244 mm, give or take what snapping moves
    assert run.route.routed_mm == pytest.approx(4244, abs=25)


def test_open_lines_in_the_groups_of_the_blank_map(shop):
    assert len(shop[2]) > 1
    for blank in shop[2].values():
        check_feed(read(shop, with_feed(blank)))


def as_path(blank):
    def convert(places):
        (x, y), *rest = places
        steps = []
        for a, b in rest:
            steps.append(f"l {a - x:.4f} {b - y:.4f}")
            x, y = a, b
        return f'<path id="feed" fill="none" d="m {places[0][0]:.4f} {places[0][1]:.4f} {" ".join(steps)}"/>'

    for space, places in (("underfloor", UNDER), ("load area", LOAD)):
        blank = in_group(blank, space, convert(paper(blank, space, places)))
    return blank


def as_curves(blank):
    """Each straight piece as a cubic curve whose handles lie on it: the same line."""
    for space, places in (("underfloor", UNDER), ("load area", LOAD)):
        on = paper(blank, space, places)
        d = f"M {on[0][0]} {on[0][1]} "
        for (x, y), (a, b) in pairwise(on):
            d += f"C {x + (a - x) / 3} {y + (b - y) / 3} {x + 2 * (a - x) / 3} {y + 2 * (b - y) / 3} {a} {b} "
        blank = in_group(blank, space, f'<path inkscape:label="feed" d="{d}"/>')
    return blank.replace("<svg ", '<svg xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" ', 1)


def with_transforms(blank):
    """Groups that a program moved and scaled, with lines in their own coordinates."""
    for space, places in (("underfloor", UNDER), ("load area", LOAD)):
        own = [((x - 10) / 2, (y + 5) / 2) for x, y in paper(blank, space, places)]
        markup = f'<g transform="translate(10,-5)"><g transform="scale(2)">{polyline(own)}</g></g>'
        blank = in_group(blank, space, markup.replace("<polyline", '<polyline id="feed-2"'))
    return blank


def in_pixels(blank):
    """The whole page in pixels of 1/96 inch, as programs with a document in px save it."""
    blank = with_feed(blank)
    k = 96 / 25.4
    width, height = (float(v) for v in re.search(r'viewBox="0[ ,]0[ ,]([\d.]+)[ ,]([\d.]+)"', blank).groups())
    blank = re.sub(r'viewBox="[^"]*"', f'viewBox="0 0 {width * k} {height * k}"', blank, count=1)
    blank = re.sub(r'(<svg[^>]*?) width="[^"]*"', rf'\1 width="{width * k}px"', blank, count=1)
    blank = re.sub(r'(<svg[^>]*?) height="[^"]*"', rf'\1 height="{height * k}px"', blank, count=1)
    start, rest = blank.split('<g id="sheet-1">', 1)
    return f'{start}<g transform="scale({k})"><g id="sheet-1">{rest.replace("</svg>", "</g></svg>")}'


def in_inches(blank):
    blank = with_feed(blank)
    width, height = (float(v) for v in re.search(r'viewBox="0[ ,]0[ ,]([\d.]+)[ ,]([\d.]+)"', blank).groups())
    blank = re.sub(r'(<svg[^>]*?) width="[^"]*"', rf'\1 width="{width / 25.4}in"', blank, count=1)
    return re.sub(r'(<svg[^>]*?) height="[^"]*"', rf'\1 height="{height / 25.4}in"', blank, count=1)


def on_a_layer_of_its_own(blank):
    """A new layer on top, no group of the map used; the space is told by where each line lies."""
    lines = "".join(feed_lines(blank, "").values())
    layer = f'<g id="layer2" data-name="Feed">{lines}</g></svg>'
    return blank.replace("</svg>", layer)


def without_metadata(blank):
    return re.sub(r"<metadata>.*?</metadata>", "", with_feed(blank))


def without_outlines(blank):
    return re.sub(r'<g id="space-[^"]*">.*?</g>', "", with_feed(blank), flags=re.DOTALL)


def with_escaped_ids(blank):
    text = with_feed(blank)
    for name in ("draw-underfloor", "draw-load-area", "space-underfloor", "space-load-area"):
        text = text.replace(f'id="{name}"', f'id="{name.replace("-", "_x2D_")}"')
    return text


def with_outlines_as_paths(blank):
    text = with_feed(blank)
    return re.sub(
        r'(<g id="space-.*?)<polygon([^>]*?) points="([^"]*)"', r'\1<path\2 d="M \3 Z"', text, flags=re.DOTALL
    )


def unnamed(blank):
    return with_feed(blank, "")


def backwards(blank):
    for space, places in (("underfloor", UNDER), ("load area", LOAD)):
        blank = in_group(blank, space, polyline(paper(blank, space, places[::-1])))
    return blank


def in_two_pieces(blank):
    on = paper(blank, "underfloor", UNDER)
    blank = in_group(blank, "underfloor", polyline(on[:4]) + polyline(on[3:]))
    return in_group(blank, "load area", feed_lines(blank)["load area"])


def by_a_shaking_hand(blank):
    """Every corner a third of a millimetre of paper beside its place, ends nearly two."""
    for space, places in (("underfloor", UNDER), ("load area", LOAD)):
        on = paper(blank, space, places)
        shaken = [(x + 0.3 * (-1) ** n, y + 0.25 * (-1) ** (n // 2)) for n, (x, y) in enumerate(on)]
        shaken[0] = (on[0][0] + 1.2, on[0][1] - 1.2)
        blank = in_group(blank, space, polyline(shaken))
    return blank


WRITERS = [as_path, as_curves, with_transforms, in_pixels, in_inches, on_a_layer_of_its_own, without_metadata,
           without_outlines, with_escaped_ids, with_outlines_as_paths, unnamed, backwards, in_two_pieces,
           by_a_shaking_hand]  # fmt: skip


@pytest.mark.parametrize("write", WRITERS, ids=lambda write: write.__name__)
@pytest.mark.parametrize("side", ["below", "above"])
def test_as_programs_write_it(shop, write, side):
    check_feed(read(shop, write(shop[2][side])))


def test_the_hole_is_met_though_the_line_is_beside_it(shop):
    blank = shop[2]["below"]
    scale = views_of(blank)["underfloor"]["scale"]
    beside = [(x, y + 1.0 * scale if x in (1600, 1800) else y) for x, y in UNDER]  # 1 mm of paper
    text = in_group(blank, "underfloor", polyline(paper(blank, "underfloor", beside), 'id="feed"'))
    text = in_group(text, "load area", feed_lines(blank)["load area"])
    points = read(shop, text).runs[0].route.points
    at = [p.y_mm for p in points if abs(p.x_mm - 1700) < 60 and p.space == "underfloor"]
    assert at and all(y == pytest.approx(200, abs=0.01) for y in at)


def test_dots_are_fixings_on_what_lies_there(shop):
    blank = shop[2]["below"]
    text = with_feed(blank)
    (a, b), (c, d) = paper(blank, "underfloor", [(800, 0), (2100, 200)])
    ((e, f),) = paper(blank, "load area", [(3000, 300)])
    text = in_group(
        text, "underfloor", f'<circle cx="{a}" cy="{b}" r="0.9"/><ellipse cx="{c}" cy="{d}" rx="1" ry="0.8"/>'
    )
    text = in_group(text, "load area", f'<path d="M {e - 1} {f - 1} h 2 v 2 h -2 z"/>')
    (run,) = read(shop, text).runs
    assert [(fixing.kind, fixing.support) for fixing in run.fixings] == [
        ("tie", "flange"), ("P-clip", None), ("clip", "rail")
    ]  # fmt: skip
    assert run.fixings[0].x_mm == pytest.approx(800, abs=1)


def test_two_runs_by_their_names(shop):
    blank = shop[2]["below"]
    earth = {"load area": [(3800, 300), (3400, 0), (2600, 0), (2500, 200)],
             "underfloor": [(2500, 200), (2700, 0), (2800, -300)]}  # fmt: skip
    text = with_feed(blank)
    for space, places in earth.items():
        text = in_group(text, space, f'<g id="earth">{polyline(paper(blank, space, places))}</g>')
    assert [run.route.run for run in read(shop, text).runs] == ["feed", "earth"]
    unnamed_too = text.replace('id="feed"', "").replace('<g id="earth">', "<g>")
    assert [run.route.run for run in read(shop, unnamed_too).runs] == ["feed", "earth"]


# refusals: the place, and the words


def refusal(shop, text):
    with pytest.raises(UnreadableError) as refused:
        read(shop, text)
    return [str(fault).split("drawn.svg:")[1] for fault in refused.value.faults]


def line_of(text, needle):
    return text[: text.index(needle)].count("\n") + 1


def test_an_empty_blank_map_is_refused(shop):
    (words,) = refusal(shop, shop[2]["below"])
    assert words.startswith(
        "1:1: no line is drawn on it; draw open lines in the groups draw-underfloor, draw-load-area"
    )


@pytest.mark.parametrize(
    ("markup", "words"),
    [
        ('<path id="x" d="M 50 60 L 80 60 L 80 90 Z"/>', 'path "x": is closed; draw a run as an open line'),
        ('<polygon id="x" points="50,60 80,60 80,90"/>', 'polygon "x": is closed'),
        ('<path id="x" d="M 50 60 L 60 60 M 70 70 L 80 80"/>', 'path "x": is in 2 pieces; break it apart'),
        ('<line id="x" x1="50" y1="60" x2="900" y2="60"/>', 'line "x": goes off the page'),
        ('<line id="x" x1="50" y1="60" x2="50" y2="60"/>', 'line "x": '),
        ('<path id="x" transform="matrix(1 2 3)" d="M 5 6 L 7 8"/>', "has a transform that cannot be read"),
        ('<script>alert(1)</script>', "is a script; a drawing needs none"),
        ('<line id="x" onclick="go()" x1="5" y1="6" x2="7" y2="8"/>', "has onclick, which runs a script"),
    ],
)  # fmt: skip
def test_what_is_no_open_line_is_refused_where_it_is(shop, markup, words):
    text = in_group(with_feed(shop[2]["below"]), "underfloor", markup)
    found = refusal(shop, text)
    assert len(found) == 1 and words in found[0]
    assert found[0].startswith(f"{line_of(text, markup)}:")


def test_one_line_more_than_a_run_needs_is_refused(shop):
    blank = shop[2]["below"]
    text = in_group(with_feed(blank), "underfloor", feed_lines(blank)["underfloor"])
    (words,) = refusal(shop, text)
    assert 'run "feed": is one line more than the run needs; keep one line in each space' in words


def test_a_line_that_ends_nowhere_says_how_far_it_is(shop):
    blank = shop[2]["below"]
    text = in_group(
        blank, "underfloor", polyline(paper(blank, "underfloor", [(100, -200), (1500, -200)]), 'id="feed"')
    )
    (words,) = refusal(shop, text)
    # from (1500, -200) to the plug at (2500, 200): 1077 mm; to the terminals of the feed further
    assert "it ends 1077 mm from plug, the nearest end or opening; draw it within" in words


def test_entities_are_refused_before_they_grow(shop):
    bomb = (
        '<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;">]><svg>&b;</svg>'
    )
    (words,) = refusal(shop, bomb)
    assert "declares entities, which no drawing needs" in words
    outside = '<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/hostname">]><svg>&x;</svg>'
    assert "declares entities" in refusal(shop, outside)[0]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("<svg", "is no XML"),
        (b"\xff\xfe\x00junk", "is no XML"),
        ("<html></html>", "is no SVG; save the drawing as plain SVG"),
        (
            '<svg xmlns="http://www.w3.org/2000/svg" width="10mm" height="10mm"/>',
            "is no blank map of Bare vehicle",
        ),
    ],
)
def test_what_is_no_drawing_is_refused(shop, text, words):
    assert words in refusal(shop, text)[0]


def test_a_huge_file_is_refused_unread(shop, monkeypatch):
    monkeypatch.setattr("router.reading.svg.svg_text.MOST_BYTES", 1000)
    assert "is larger than" in refusal(shop, with_feed(shop[2]["below"]))[0]
    monkeypatch.undo()
    monkeypatch.setattr("router.reading.svg.svg_text.MOST_ELEMENTS", 50)
    assert "holds more than 50 elements" in refusal(shop, with_feed(shop[2]["below"]))[0]


def test_a_map_of_another_vehicle_is_refused(shop):
    other = with_feed(shop[2]["below"]).replace("Bare vehicle", "Other vehicle")
    assert 'is a map of "Other vehicle", and the job is for "Bare vehicle"' in refusal(shop, other)[0]


def test_a_stretched_map_is_refused(shop):
    text = with_feed(shop[2]["below"])
    stretched = text.replace(
        '<g id="space-underfloor">', '<g id="space-underfloor" transform="scale(1.2,1)">'
    )
    assert (
        "outline of underfloor was bent or stretched; draw over a fresh blank map"
        in refusal(shop, stretched)[0]
    )


def test_a_dot_beside_no_run_is_refused(shop):
    ((x, y),) = paper(shop[2]["below"], "underfloor", [(2700, -450)])
    text = in_group(with_feed(shop[2]["below"]), "underfloor", f'<circle cx="{x}" cy="{y}" r="0.8"/>')
    assert "dot is beside no run; draw it on the line that it holds" in refusal(shop, text)[0]


def test_a_pens_width_is_no_fault(shop):
    """A clearance that is short by less than a pen shows is no finding, one that is short by more is."""
    from router.judging import judge_route

    blank, question = shop[2]["below"], shop[1]
    scale = views_of(blank)["underfloor"]["scale"]

    def kinds(short_of_paper):
        # pipe's edge at -470; 200 and 5 mm asked; half the loom: known from the judged run
        text = with_feed(blank)
        loom = judge_route(question.job, question.profile, question.practice, read(shop, text)).runs[0]
        y = -470 + 205 + loom.loom_diameter_mm / 2 - short_of_paper * scale
        places = [(100, -200), (500, y), (1300, y), (1600, 200), (1800, 200), (2500, 200)]
        text = in_group(blank, "underfloor", polyline(paper(blank, "underfloor", places), 'id="feed"'))
        text = in_group(text, "load area", feed_lines(blank)["load area"])
        judged = judge_route(question.job, question.profile, question.practice, read(shop, text))
        return [each.finding.kind for each in judged.findings]

    assert "clearance" not in kinds(0.25) and "clearance" in kinds(0.4)


def test_what_is_read_can_be_written_as_a_route_file(shop):
    from router.writing import route_bytes

    drawn = read(shop, with_feed(shop[2]["below"]))
    folder, question, _ = shop
    (folder / "again.yaml").write_bytes(route_bytes(replace(drawn, name="again")))
    again = read_route(folder / "again.yaml", question.job, question.profile)
    assert places_of(again.runs[0]) == places_of(drawn.runs[0])


def test_the_command_judges_a_drawing_and_approves_it_only_as_it_is(shop, capfd, monkeypatch, tmp_path):
    from router.cli import main

    folder, question, blanks = shop
    plan = make_plan(question.job, question.profile, question.practice)
    monkeypatch.setattr("router.planning.make_plan", lambda *_: plan)

    def run(*words):
        with pytest.raises(SystemExit) as left:
            main([str(word) for word in words])
        out, err = capfd.readouterr()
        assert "Traceback" not in out + err
        return left.value.code or 0, out, err

    (folder / "hand.svg").write_text(with_feed(blanks["below"]), encoding="utf-8")
    code, words, _ = run("review", folder, folder / "hand.svg")
    assert code == 1 and "drawn on paper: shortfalls below" in words  # nothing holds it
    assert "fixing missing" in words
    approval = ("--approve-by", "A. Warden", "--approve-on", "2026-11-25", "--out", tmp_path / "out")
    code, words, err = run("review", folder, folder / "hand.svg", *approval)
    assert code == 1 and "not approved" in err and "drawn on paper" not in words
    (folder / "closed.svg").write_text(
        in_group(blanks["below"], "underfloor", '<path d="M 50 60 L 80 60 L 80 90 Z"/>'), encoding="utf-8"
    )
    code, _, err = run("review", folder, folder / "closed.svg")
    assert code == 2 and "closed.svg:" in err and "is closed" in err


def test_a_line_may_lead_to_any_of_several_ends(shop):
    """The job lets the feed end at the stud or the lamp; whoever draws it to the lamp means the lamp."""
    folder, question, blanks = shop
    feed, earth = question.job.runs
    either = replace(feed, end="stud", may_end_at=("stud", "lamp"))
    (folder / "drawn.svg").write_text(with_feed(blanks["below"]), encoding="utf-8")
    drawn = read_route(folder / "drawn.svg", replace(question.job, runs=(either, earth)), question.profile)
    check_feed(drawn)
