"""`underbody sketch` as somebody types it: its address, its refusals, its end, with its real workers."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from page_stand_in import ROOT, Asked, set_to

COMMAND = [sys.executable, "-m", "router", "sketch"]
LARGEST_MB = 150


def refused(*words):
    """What a command says that does not begin, and its exit code."""
    done = subprocess.run(
        [*COMMAND, "--no-open", *words], capture_output=True, text=True, cwd=ROOT, timeout=60, check=False
    )
    return done.returncode, done.stdout, done.stderr


def children_of(pid):
    return [int(word) for word in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]


def is_alive(pid):
    """Whether a process is there and no mere entry that nobody has collected."""
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0]
    except OSError:
        return False
    return state != "Z"


def memory_mb(pid):
    (kilobytes,) = re.findall(r"VmRSS:\s+(\d+)", Path(f"/proc/{pid}/status").read_text())
    return int(kilobytes) / 1000


@pytest.fixture
def served(tmp_path):
    with Asked(tmp_path / "van", "--no-open", command=COMMAND) as served:
        yield served


@pytest.fixture
def planned(tmp_path):
    """A folder with a shipped job, whose profile lies beside it."""
    folder = tmp_path / "van"
    folder.mkdir()
    profile = (ROOT / "profiles" / "dunlin-lwb.yaml").read_text()
    job = (ROOT / "examples" / "fridge-supply" / "job.yaml").read_text()
    (folder / "profile.yaml").write_text(profile)
    (folder / "job.yaml").write_text(re.sub(r"^profile: .*$", "profile: profile.yaml", job, flags=re.M))
    with Asked(folder, "--no-open", command=COMMAND) as served:
        yield served


def test_its_first_line_is_an_address_that_answers(served):
    assert re.fullmatch(r"http://127\.0\.0\.1:\d+/\?token=[\w-]{32}", served.url)
    status, headers, page = served.ask("GET", "/?token=" + served.token, own=False)
    assert (status, headers["Content-Type"]) == (200, "text/html; charset=utf-8")
    assert f'<meta name="sketch-token" content="{served.token}">'.encode() in page
    scripts = re.findall(rb'(?:src|href)="(/static/[^"]+)"', page)
    assert scripts
    assert {served.ask("GET", each.decode(), own=False)[0] for each in scripts} == {200}


def test_an_empty_folder_goes_from_a_type_to_a_profile(served):
    status, types = served.json("GET", "/types")
    assert status == 200 and types[0]["measurements"][0]["picture"].startswith("<svg")
    start = {"revision": 0, "type": types[0]["key"], "name": "<b>Ours</b>", "answers": {}}
    status, state = served.json("POST", "/start", start)
    assert (status, state["data"]["profile"]["profile"]) == (200, "<b>Ours</b>")
    assert [fault for fault in state["faults"] if fault["severity"] == "fault"] == []
    assert state["shapes"] and state["tasks"]
    wrong = {types[0]["measurements"][0]["name"]: "x"}
    status, answer = served.json("POST", "/start", {**start, "revision": 1, "answers": wrong})
    assert (status, answer["faults"][0]["name"]) == (422, types[0]["measurements"][0]["name"])
    assert served.ask("GET", "/measuring-sheet.html?paper=letter&unit=in")[2].startswith(b"<!DOCTYPE html>")


def test_lengths_are_read_as_people_write_them(served):
    """1 ft is 304.8 mm and 1 in 25.4 mm exactly: 5 ft 6.5 in is 1689.1 mm."""
    assert served.json("POST", "/tape", {"text": "5' 6 1/2\"", "unit": "in"})[1]["mm"] == pytest.approx(
        1689.1
    )
    assert served.json("POST", "/tape", {"text": "a lot", "unit": "mm"})[0] == 422
    assert served.json("POST", "/tape", {"text": 7, "unit": "mm"})[0] == 422


def test_a_plan_follows_an_edit_and_its_files_are_there(planned):
    state = planned.state()
    assert [fault for fault in state["faults"] if fault["severity"] == "fault"] == []
    stage = planned.until(lambda: _done(planned, 0), within_s=120)
    assert (stage["stage"], stage["no_way"]) == ("proof", None)
    assert stage["plan"]["runs"]
    for name, begins in (("map.svg", b"<?xml"), ("sheet.html", b"<!DOCTYPE html>"), ("plan.json", b"{")):
        status, _, content = planned.ask("GET", f"/{name}?token={planned.token}", own=False)
        assert status == 200 and content.startswith(begins), name
    status, _ = planned.edit(0, set_to(["limits", "drop"], "4 %", "job"))
    assert status == 200
    assert planned.until(lambda: _done(planned, 1), within_s=120)["stage"] == "proof"
    assert memory_mb(planned.process.pid) < LARGEST_MB


def _done(served, revision):
    plan = served.json("GET", "/plan")[1]
    return plan if plan["revision"] == revision and plan["stage"] in ("proof", "refused") else None


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_stop_ends_it_in_the_middle_of_a_plan_and_no_worker_stays(planned, number):
    planned.state()
    workers = children_of(planned.process.pid)
    assert len(workers) >= 2
    began = time.monotonic()
    planned.process.send_signal(number)
    assert planned.process.wait(10) == 0
    assert time.monotonic() - began < 3.0
    assert planned.process.stderr.read() == f"underbody: ended; everything is in {planned.folder}\n"
    planned_end = time.monotonic() + 5.0
    while any(map(is_alive, workers)) and time.monotonic() < planned_end:
        time.sleep(0.05)
    assert [pid for pid in workers if is_alive(pid)] == []


def test_a_kill_leaves_no_worker_either(planned):
    planned.state()
    workers = children_of(planned.process.pid)
    assert len(workers) >= 2
    planned.process.kill()
    end = time.monotonic() + 10.0
    while any(map(is_alive, workers)) and time.monotonic() < end:
        time.sleep(0.05)
    assert [pid for pid in workers if is_alive(pid)] == []


def test_a_folder_with_a_broken_profile_opens_and_shows_the_fault(tmp_path):
    (tmp_path / "profile.yaml").write_text("profile: Van\nspaces: [\n")
    with Asked(tmp_path, "--no-open", command=COMMAND) as served:
        (fault, *_) = served.state()["faults"]
    assert (fault["file"], fault["severity"]) == ("profile", "fault")
    assert "is not YAML" in fault["what"]


def test_folders_and_ports_that_cannot_be_had_are_refused_in_a_line(tmp_path, served):
    (tmp_path / "file").write_text("")
    assert refused(str(tmp_path / "file"))[::2] == (
        2,
        f"underbody: cannot work in {tmp_path}/file: it is a file\n",
    )
    code, out, words = refused(str(served.folder))
    assert (code, out) == (2, "")
    assert words == f"underbody: another `underbody sketch` works in {served.folder}; use that one\n"
    code, out, words = refused(str(tmp_path / "other"), "--port", str(served.port))
    assert (code, out) == (2, "")
    assert words == (
        f"underbody: cannot listen at 127.0.0.1:{served.port}: Address already in use; "
        "take another --port, or 0 for any\n"
    )
    assert refused(str(tmp_path / "other"), "--port", "70000")[0] == 2


def test_it_begins_with_a_copy_of_a_profile_and_never_in_place_of_one(tmp_path):
    shipped = ROOT / "profiles" / "plover-crossover.yaml"
    with Asked(tmp_path / "van", "--no-open", "--profile", "plover-crossover", command=COMMAND) as served:
        assert (tmp_path / "van" / "profile.yaml").read_bytes() == shipped.read_bytes()
        assert served.state()["data"]["profile"]["profile"] == "Plover crossover"
        assert served.json("POST", "/undo", {"revision": 1})[1]["files"]["profile"]["there"] is False
        served.json("POST", "/redo", {"revision": 2})
    words = refused(str(tmp_path / "van"), "--profile", str(shipped))
    assert words == (
        2,
        "",
        f"underbody: there is a profile.yaml in {tmp_path}/van already; leave out --profile\n",
    )
    code, _, words = refused(str(tmp_path / "other"), "--profile", "no-such-van")
    assert (code, words.startswith('underbody: cannot begin with "no-such-van": No such file')) == (2, True)
    assert not (tmp_path / "other").exists()


def test_the_page_is_there_within_half_a_second_of_processor_time(served):
    """By the processor's time, so that others on this machine do not count."""
    served.ask("GET", "/?token=" + served.token, own=False)
    stat = Path(f"/proc/{served.process.pid}/stat").read_text().rsplit(")", 1)[1].split()
    assert (int(stat[11]) + int(stat[12])) / os.sysconf("SC_CLK_TCK") < 0.5


def test_a_phone_gets_an_address_of_its_own_and_is_told_that_it_is_in_clear_text(tmp_path):
    with Asked(tmp_path, "--no-open", "--lan", command=COMMAND) as served:
        if not served.url:
            pytest.skip("this machine is in no network: " + served.process.stderr.read())
        lines = [served.process.stdout.readline() for _ in range(2)]
        other = re.fullmatch(r"  http://([\d.]+):(\d+)/\?token=([\w-]+)\n", lines[1])
        assert lines[0] == "For a phone in the same network:\n"
        assert other[3] != served.token
        own = served.name, served.port, served.token, served.host
        served.name, served.port = other[1], int(other[2])
        served.token = other[3]
        assert served.ask("GET", "/state")[0] == 200
        served.token = own[2]
        assert served.ask("GET", "/state")[0] == 403  # each address has a token of its own
        served.name, served.port = own[0], own[1]
        assert served.ask("GET", "/state")[0] == 200
        served.token = other[3]
        assert served.ask("GET", "/state")[0] == 403
        served.process.send_signal(signal.SIGINT)
        assert "goes in clear text" in served.process.stdout.read()


def test_a_bare_command_names_it():
    done = subprocess.run(
        [sys.executable, "-m", "router"], capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert "underbody sketch my-van" in done.stdout + done.stderr


def test_nothing_heavy_is_in_the_server_when_the_page_is_there(served):
    served.ask("GET", "/?token=" + served.token, own=False)
    maps = Path(f"/proc/{served.process.pid}/maps").read_text()
    assert "libpython" in maps or "python3" in maps
    assert [name for name in ("numpy", "shapely", "libgeos", "pydantic_core") if name in maps] == []


def test_what_people_fit_is_put_into_a_job_by_the_page(served):
    profile = (ROOT / "profiles" / "plover-crossover.yaml").read_text()
    served.edit(0, {"file": "profile", "op": "text", "value": profile})
    status, units = served.json("GET", "/fit")
    assert status == 200
    assert {"key", "name", "says", "space_kinds", "load_a", "needs"} <= set(units[0])
    lamp = next(each for each in units if "boot" in each["space_kinds"])
    asked = {"revision": 1, "key": lamp["key"], "space": "boot", "at": [2900, 400], "height_mm": None}
    status, state = served.json("POST", "/fit", asked)
    assert (status, state["files"]["job"]["there"]) == (200, True)
    assert state["data"]["job"]["places"][0]["space"] == "boot"
    status, answer = served.json("POST", "/fit", {**asked, "revision": 2, "key": "no such unit"})
    assert status == 422 and answer["faults"][0]["what"]
