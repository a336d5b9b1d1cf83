"""What is written: plan.json's shape, a bill that spreadsheets open safely, files whole or not at all."""

from __future__ import annotations

import csv
import errno
import io
import json
import os
from dataclasses import replace
from pathlib import Path

import pytest
from small_vehicle import a_line

from router.model.conductor_choice import ConductorChoice, FuseChoice, Reason
from router.model.fixing import Fixing, FixingKind
from router.model.job import Job, Limits, Run, Series, Source
from router.model.plan import (
    Allowance,
    Bundle,
    ClearanceCheck,
    Finding,
    HeatSleeve,
    Loom,
    LoomPart,
    Passage,
    PassageKind,
    Plan,
    Route,
    RoutePoint,
    RunLength,
    RunPlan,
    Severity,
    Station,
    StationEvent,
)
from router.model.practice import Practice, Rule, Status
from router.model.vehicle import Hazard, OverPass, Profile, Space, Terminal
from router.writing import bill_csv, plan_data, practice_data, whole_files, write_whole

UNDERFLOOR = Space("underfloor", 400.0, ((0, -900), (3000, -900), (3000, 900), (0, 900)))
TERMINALS = (
    Terminal("post", "underfloor", (100.0, 0.0), 400.0, "M8"),
    Terminal("lamp", "underfloor", (2000.0, 0.0), 400.0, None),
)
RULE = Rule("clearance", "fuel", 51.0, "mm", "FAA AC 43.13-1B par. 11-126", Status.PUBLISHED)
PRACTICE = Practice("House rules", "default", {("clearance", "fuel"): RULE})
ROUTE = Route(
    "supply",
    (
        RoutePoint("underfloor", 100.00049, -0.0001, 400.0, 0.0, "flange"),
        RoutePoint("underfloor", 2000.123456, 0.0, 400.0, 1900.123456, None),
    ),
    (Passage(PassageKind.OVER_MEMBER, "bar", 950.0, 1050.0, OverPass((950, -9), (950, 9), 40.0)),),
    1330.0864,
    1.23456e-9,
)
RUN = RunPlan(
    name="supply",
    start="post",
    end="lamp",
    route=ROUTE,
    length=RunLength("supply", 1900.123456, (Allowance("sag", 3.14159, RULE),), 8.2, 24.0, 2050.0),
    stations=(Station(0.0, StationEvent.START, None, "post"),),
    fixings=(Fixing(1, 50.0, FixingKind.TIE, "flange", "underfloor", 150.0, 0.0, 400.0, "end", None),),
    clearances=(ClearanceCheck("supply", "tank", Hazard.FUEL, 56.0, 60.00049, 900.0, RULE),),
    conductors=(
        ConductorChoice(
            "supply", "supply", "red", "2.5 mm2", 2.5, 3.0, 2050.0, 9.0, 20.0, 0.31, 0.025, "drop", 0.1, (
                Reason("why", "table", "published"),), 0.0, None, None, None, "",
        ),
    ),
    fuse=FuseChoice("supply", "supply", 15.0, "blade", "blue", 150.0, 178.0, (), "2.5 mm2", 2.5, None),
    heat_sleeves=(HeatSleeve("supply", 10.0, 20.0, "pipe"),),
    loom_diameter_mm=13.0,
    reasons=(),
    alternatives=(),
    breakouts=(),
    spans=(),
    other_ends=(),
)  # fmt: skip
PLAN = Plan(
    job=Job(
        "job", "Test job", "test", None, None, Source(12.0, 12.6, "post"), Series.METRIC, 105.0,
        (Run("supply", "post", "lamp", (), None, (), ()),), Limits(0.03, {}),
    ),
    profile=Profile(
        "test", "Test vehicle", 3, "2026-01-01", 5.0, "axle", "mm", "long", ("long",),
        (UNDERFLOOR,), (), (), (), (), (), (), (), TERMINALS,
    ),
    practice=PRACTICE,
    loom_diameter_mm=10.0,
    runs=(RUN,),
    looms=(
        Loom(Bundle((LoomPart("supply", 0.0, 1900.0),)), ("supply",), 3.0, "NW10", 10.0, 13.0, ()),
    ),
    bill=(a_line("conductor", "2.5 mm2 red", 2.05, "m", "supply"),),
    findings=(
        Finding("span", Severity.SHOULD, "supply", 500.0, "long", "", "at most 300 mm", "301 mm", RULE),
    ),
    effort_mm=1330.0864,
    apart_effort_mm=1330.0864,
    gap=0.0042,
)  # fmt: skip


def billed(*lines):
    return bill_csv(replace(PLAN, bill=lines))


# plan.json


def test_plan_json_has_every_key_of_the_format():
    data = plan_data(PLAN)
    assert data["format"] == "plan/1"
    assert data["gap"] == 0.0042  # of the whole job
    assert {"format", "job", "profile", "findings", "runs", "looms", "bill"} <= data.keys()
    assert {"name", "revision", "variant"} <= data["profile"].keys()
    (run,) = data["runs"]
    assert {
        "name", "from", "to", "points", "routed_mm", "allowances", "uncertainty_mm", "cut_mm", "effort",
        "gap", "stations", "fixings", "clearances", "conductors", "fuse",
    } <= run.keys()  # fmt: skip
    assert {"space", "x", "y", "z", "station"} <= run["points"][0].keys()
    assert {"why", "mm"} <= run["allowances"][0].keys()
    assert {"station", "what", "detail"} <= run["stations"][0].keys()
    assert {"station", "kind", "support", "x", "y", "z"} <= run["fixings"][0].keys()
    assert {"keep_out", "hazard", "required_mm", "actual_mm", "station"} <= run["clearances"][0].keys()
    assert {
        "name", "colour", "size", "area_mm2", "length_mm", "load_a", "ampacity_a", "drop_v", "drop_percent",
    } <= run["conductors"][0].keys()  # fmt: skip
    assert {"rating_a", "station"} <= run["fuse"].keys()
    assert {"runs", "from_station", "to_station", "bundle_mm", "loom", "bore_mm", "length_mm"} <= data[
        "looms"
    ][0].keys()
    assert {"item", "spec", "quantity", "unit", "where", "source", "status"} <= data["bill"][0].keys()


def test_plan_json_is_exact_and_plain():
    level = replace(ROUTE.points[0], y_mm=-0.0)
    route = replace(ROUTE, points=(level, *ROUTE.points[1:]))
    data = plan_data(replace(PLAN, runs=(replace(RUN, route=route),)))
    text = json.dumps(data, allow_nan=False)
    assert json.loads(text) == data
    point = data["runs"][0]["points"][1]
    assert (point["x"], point["station"]) == (2000.123456, 1900.123456)
    assert repr(data["runs"][0]["points"][0]["y"]) == "0"  # no minus nought
    assert repr(data["runs"][0]["cut_mm"]) == "2050"
    assert data["runs"][0]["conductors"][0]["drop_percent"] == 2.5


def test_plan_json_is_the_same_each_time_and_says_the_rule():
    assert json.dumps(plan_data(PLAN)) == json.dumps(plan_data(PLAN))
    rule = plan_data(PLAN)["findings"][0]["rule"]
    assert rule == {
        "name": "clearance: fuel",
        "group": "clearance",
        "key": "fuel",
        "value": 51.0,
        "unit": "mm",
        "source": RULE.source,
        "status": "published",
    }


def test_run_without_fuse():
    bare = replace(PLAN, runs=(replace(RUN, fuse=None),))
    assert plan_data(bare)["runs"][0]["fuse"] is None


def test_practice_json_says_value_unit_and_source():
    fuel = practice_data(PRACTICE)["rules"]["clearance"]["fuel"]
    assert fuel == {"value": 51.0, "unit": "mm", "source": RULE.source, "status": "published"}


# bill.csv: RFC 4180 asks for CRLF; the reader is Python's own csv module


def rows(content):
    return list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")))


def test_bill_is_utf8_with_mark_and_crlf():
    content = billed(a_line("Kabel grün", "2.5 mm²", 2.0, "m", "supply"))
    assert content.startswith(b"\xef\xbb\xbf")
    assert content.count(b"\r\n") == content.count(b"\n") == 2
    assert rows(content)[1] == ["Kabel grün", "2.5 mm²", "2", "m", "supply", "", ""]


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_bill_text_is_never_a_formula(start):
    (line,) = rows(billed(a_line(f"{start}1+1", f"{start}x", 1.5, f"{start}u", f"{start}w", f"{start}s")))[1:]
    assert line == [f"'{start}1+1", f"'{start}x", "1.5", f"'{start}u", f"'{start}w", f"'{start}s", ""]


def test_bill_text_with_commas_quotes_and_lines_comes_back_as_it_was():
    (line,) = rows(billed(a_line('5/16" ring, tinned', "a\nb", 3.0, "each", "both, ends")))[1:]
    assert line == ['5/16" ring, tinned', "a\nb", "3", "each", "both, ends", "", ""]


def test_what_a_spreadsheet_sums_counts_no_cable_twice():
    """Cuts of 5.35 m and 0.9 m of one cable: 6.25 m to buy, and so much is the sum of the column."""
    cuts = [a_line("conductor, cut", "4 mm2 red", cut_m, "m", f"to {cut_m}") for cut_m in (5.35, 0.9)]
    table = rows(billed(*cuts, a_line("conductor, total", "4 mm2 red", 6.25, "m", "both")))[1:]
    assert sum(float(row[2]) for row in table if row[2]) == 6.25
    assert table[0][2:5] == ["", "", "5.35 m, to 5.35"]


def test_bill_numbers_stay_numbers_negative_ones_too():
    assert rows(billed(a_line("credit", "", -1.25, "m", "")))[1][2] == "-1.25"
    assert rows(billed(a_line("fuse", "", 1, "piece", "")))[1][2] == "1"


# written whole or not at all


def names(folder):
    return sorted(path.name for path in folder.rglob("*"))


def test_files_are_written_with_their_folders(tmp_path):
    write_whole({tmp_path / "a" / "b" / "one": b"1", tmp_path / "a" / "two": b"2"})
    assert (tmp_path / "a" / "b" / "one").read_bytes() == b"1"
    assert names(tmp_path) == ["a", "b", "one", "two"]
    mask = os.umask(0)
    os.umask(mask)
    assert (tmp_path / "a" / "two").stat().st_mode & 0o777 == 0o666 & ~mask


def full_disk_at(monkeypatch, call):
    """Let the n-th flush to disk fail as on a full disk."""
    calls = []
    real = os.fsync

    def fsync(handle):
        calls.append(handle)
        if len(calls) == call:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        real(handle)

    monkeypatch.setattr(whole_files.os, "fsync", fsync)


@pytest.mark.parametrize("call", [1, 2])
def test_full_disk_leaves_everything_as_it_was(tmp_path, monkeypatch, call):
    (tmp_path / "one").write_bytes(b"old")
    full_disk_at(monkeypatch, call)
    with pytest.raises(OSError, match=r"^cannot write into .*: No space left on device$") as caught:
        write_whole({tmp_path / "one": b"new", tmp_path / "two": b"new"})
    assert "\n" not in str(caught.value)
    assert names(tmp_path) == ["one"]
    assert (tmp_path / "one").read_bytes() == b"old"


def test_full_disk_leaves_no_new_folder(tmp_path, monkeypatch):
    full_disk_at(monkeypatch, 1)
    with pytest.raises(OSError, match="No space left"):
        write_whole({tmp_path / "new" / "deep" / "one": b"1"})
    assert names(tmp_path) == []


def test_second_name_that_cannot_be_taken_puts_the_first_back(tmp_path, monkeypatch):
    (tmp_path / "one").write_bytes(b"old")
    real = Path.replace
    monkeypatch.setattr(Path, "replace", lambda self, to: _fail(to) if to.name == "two" else real(self, to))
    with pytest.raises(OSError, match="cannot write into"):
        write_whole({tmp_path / "zero": b"new", tmp_path / "one": b"new", tmp_path / "two": b"new"})
    assert names(tmp_path) == ["one"]
    assert (tmp_path / "one").read_bytes() == b"old"


def _fail(path):
    raise OSError(errno.EIO, "Input/output error", str(path))


def test_folder_in_the_way_is_named_and_nothing_written(tmp_path):
    (tmp_path / "two").mkdir()
    with pytest.raises(OSError, match="two: it is a folder"):
        write_whole({tmp_path / "one": b"1", tmp_path / "two": b"2"})
    assert names(tmp_path) == ["two"]


def test_file_in_place_of_the_folder(tmp_path):
    (tmp_path / "out").write_bytes(b"")
    with pytest.raises(OSError, match="cannot make the folder"):
        write_whole({tmp_path / "out" / "one": b"1"})
    assert names(tmp_path) == ["out"]


def test_read_only_folder(tmp_path, monkeypatch):
    if os.geteuid() == 0:  # nothing is read-only for the superuser: say what the system says to others

        def refused(path, _mode):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))

        monkeypatch.setattr(Path, "open", refused)
    tmp_path.chmod(0o500)
    try:
        with pytest.raises(OSError, match=r"^cannot write into .*: Permission denied$"):
            write_whole({tmp_path / "one": b"1"})
        assert names(tmp_path) == []
    finally:
        tmp_path.chmod(0o700)


def test_interrupted_writing_leaves_no_temporary(tmp_path, monkeypatch):
    def interrupted(_handle):
        raise KeyboardInterrupt

    monkeypatch.setattr(whole_files.os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_whole({tmp_path / "one": b"1"})
    assert names(tmp_path) == []
