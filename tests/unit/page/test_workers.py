"""The server's workers: newest first, one line for whatever ends, and no process left."""

from __future__ import annotations

import asyncio
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from router.errors import NoConductorError, NoRouteError, Pinch, Relaxation, RelaxationKind
from router.page.page_state import state_of
from router.page.plan_work import no_way_data
from router.page.workers import Workers

ROOT = Path(__file__).parents[3]
EXAMPLES = ROOT / "examples"
SMALL = EXAMPLES / "work-lamp-rear-battery"
SLOW = EXAMPLES / "trailer-socket"


def texts_of(folder, old="", new=""):
    return {"profile": None, "job": (folder / "job.yaml").read_text(encoding="utf-8").replace(old, new)}


def with_workers(folder, play):
    """Play something with workers of a folder, which are gone then."""

    async def whole():
        workers = Workers(folder)
        await workers.start()
        try:
            async with asyncio.timeout(120.0):
                return await play(workers)
        finally:
            pids = [pid for pid in workers.pids.values() if pid]
            await workers.stop()
            assert [pid for pid in pids if is_there(pid)] == []

    return asyncio.run(whole())


def is_there(pid):
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rsplit(")", 1)[1].split()[0] != "Z"


async def planned(workers, texts, revision=1):
    stages = []
    await workers.plan(texts, revision, stages.append)
    return stages


def test_the_server_reads_in_neither_arrays_nor_geometry():
    words = (
        "import sys, router.page.workers; print({'numpy', 'shapely', 'pydantic', 'yaml'} & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", words], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout == "set()\n"


def test_the_state_is_what_page_state_says():
    texts = texts_of(SMALL, "resting: 12.6 V", "resting: 24 V")
    found = with_workers(SMALL, lambda workers: workers.state(texts))
    assert found == state_of(None, texts["job"], SMALL)
    assert found["faults"] != []


@pytest.fixture(scope="module")
def at_the_command(tmp_path_factory):
    out = tmp_path_factory.mktemp("out")
    words = [sys.executable, "-m", "router", "plan", SMALL, "--out", out]
    subprocess.run(words, check=True, cwd=ROOT, capture_output=True)
    return {path.name: path.read_bytes() for path in out.iterdir()}


def test_a_plan_comes_in_stages_and_its_files_are_those_of_the_command(at_the_command):
    async def play(workers):
        return await planned(workers, texts_of(SMALL), 7), await workers.files(), workers.whole_revision

    stages, files, revision = with_workers(SMALL, play)
    assert [stage["stage"] for stage in stages] == ["planning", "answer", "proof"]
    assert {stage["revision"] for stage in (*stages, {"revision": revision})} == {7}
    assert stages[1]["plan"]["gap"] is None
    assert stages[2]["plan"] == json.loads(at_the_command["plan.json"])
    assert {name: text.encode() for name, text in files.items()} == at_the_command


def test_without_a_plan_there_are_no_files():
    assert with_workers(SMALL, lambda workers: workers.files()) is None


def test_where_there_is_no_way_the_pinch_and_what_would_open_one_are_told():
    folder = EXAMPLES / "no-way"
    stages = with_workers(folder, lambda workers: planned(workers, texts_of(folder)))
    told = stages[-1]["no_way"]
    assert stages[-1]["stage"] == "refused"
    assert (told["run"], told["says"] == stages[-1]["says"]) == ("supply", True)
    assert told["pinch"]["between"] == ["right wheel house", "right rear damper"]
    assert told["pinch"]["width_mm"] < told["pinch"]["needed_mm"]
    assert told["cures"] == []  # the example's point: no single change opens it


def test_what_would_open_a_way_is_told():
    cure = Relaxation(RelaxationKind.SHIELD, "silencer", None, None, "a shield on silencer")
    pinch = Pinch("supply", None, (1.0, 2.0), ("silencer",), None, None, (cure,))
    told = no_way_data(NoRouteError("no way", pinch, "supply"))
    assert (told["cures"], told["pinch"]["at"]) == (["a shield on silencer"], [1.0, 2.0])
    assert no_way_data(NoConductorError("too thin")) == {
        "says": "too thin",
        "run": None,
        "pinch": None,
        "cures": [],
    }


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [("12.6 V", "24 V", "one fault"), ("size: auto", "size: otto", "2 faults")],
)
def test_files_with_faults_are_not_planned(old, new, says):
    stages = with_workers(SMALL, lambda workers: planned(workers, texts_of(SMALL, old, new)))
    assert (stages[-1]["stage"], stages[-1]["plan"]) == ("none", None)
    assert stages[-1]["says"].startswith(says)


def test_without_a_job_there_is_nothing_to_plan():
    stages = with_workers(SMALL, lambda workers: planned(workers, {"profile": None, "job": None}))
    assert [stage["stage"] for stage in stages] == ["none"]


def test_a_newer_question_stops_the_older_which_tells_nothing_more(monkeypatch):
    monkeypatch.setattr("router.page.workers.STOPS_WITHIN_S", 60.0)  # it stops when asked, or this takes long

    async def play(workers):
        first, second = [], []
        older = asyncio.create_task(workers.plan(texts_of(SLOW), 1, first.append))
        while not first:
            await asyncio.sleep(0.01)
        await asyncio.sleep(1.0)
        pid = workers.pids["plan"]
        await workers.plan(texts_of(SMALL), 2, second.append)
        await older
        return (
            [each["stage"] for each in first],
            [each["stage"] for each in second],
            pid,
            workers.pids["plan"],
        )

    first, second, before, after = with_workers(SLOW, play)
    assert first[-1] != "proof"
    assert second == ["planning", "answer", "proof"]
    assert before == after  # it was asked to stop, and stopped


def test_a_planner_that_does_not_stop_is_ended_and_the_spare_takes_over():
    async def play(workers):
        await planned(workers, texts_of(SMALL))
        older = asyncio.create_task(planned(workers, texts_of(SLOW)))
        await asyncio.sleep(0.2)
        pids = workers.pids
        os.kill(pids["plan"], signal.SIGSTOP)  # as if it were lost in thought
        await asyncio.sleep(0.1)
        stages = await planned(workers, texts_of(SMALL), 2)
        await older
        return stages, pids, workers.pids, is_there(pids["plan"])

    stages, before, after, is_left = with_workers(SMALL, play)
    assert [stage["stage"] for stage in stages] == ["planning", "answer", "proof"]
    assert after["plan"] == before["spare"]
    assert not is_left


def test_a_planner_that_ends_by_itself_is_told_of_and_replaced():
    async def play(workers):
        await planned(workers, texts_of(SMALL))
        task = asyncio.create_task(planned(workers, texts_of(SLOW), 2))
        await asyncio.sleep(0.3)
        os.kill(workers.pids["plan"], signal.SIGKILL)
        return await task, await planned(workers, texts_of(SMALL), 3)

    broken, again = with_workers(SMALL, play)
    assert broken[-1]["stage"] == "refused"
    assert "ended unexpectedly, and was started again" in broken[-1]["says"]
    assert again[-1]["stage"] == "proof"


END = {"terminal": "work lamp", "space": None}


@pytest.mark.skipif(not Path("/proc/self/autogroup").exists(), reason="sessions are not grouped here")
def test_a_whole_plan_stands_back_behind_what_answers_a_finger():
    """Each worker has its own session: niceness inside of it would not let the others go first."""

    async def play(workers):
        await workers.state(texts_of(SMALL))
        await planned(workers, texts_of(SMALL))
        while not workers._spare.notices_stops:
            await asyncio.sleep(0.05)
        return {name: niceness(pid) for name, pid in workers.pids.items()}

    nice = with_workers(SMALL, play)
    assert nice["plan"] == nice["spare"]
    assert all(behind > before for behind, before in zip(nice["plan"], nice["live"], strict=True))


def niceness(pid):
    """Return the niceness of a process inside of its session, and that of its session."""
    inside = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rsplit(")", 1)[1].split()[16]
    return int(inside), int(Path(f"/proc/{pid}/autogroup").read_text(encoding="utf-8").split()[-1])


def test_the_way_follows_an_end_that_is_dragged():
    async def play(workers):
        at = [3000.0, -500.0]
        return await workers.way(texts_of(SMALL), {"number": 3, "at": at, **END})

    found = with_workers(SMALL, play)
    assert (found["number"], found["no_way"]) == (3, None)
    ends = {route["run"]: (route["points"][0], route["points"][-1]) for route in found["routes"]}
    assert ends["supply"][1][:2] == [3000.0, -500.0]
    assert ends["earth"][0][:2] == [3000.0, -500.0]


def test_of_many_drags_the_newest_is_answered_and_those_that_waited_are_dropped():
    async def play(workers):
        drags = [{"number": n, "at": [3000.0 + n, -500.0], **END} for n in range(6)]
        return await asyncio.gather(*(workers.way(texts_of(SMALL), drag) for drag in drags))

    found = with_workers(SMALL, play)
    assert [each["number"] for each in found] == list(range(6))
    assert [each.get("dropped", False) for each in found[1:]] == [True, True, True, True, False]
    assert found[-1]["routes"][0]["points"][-1][0] == 3005.0


@pytest.mark.parametrize(
    ("request_", "says"),
    [
        ({"terminal": "work lamp", "at": [9000, 0]}, 'outside space "'),
        ({"terminal": "lamp post", "at": [0, 0]}, 'unknown terminal "lamp post"'),
        ({"terminal": "work lamp", "at": [float("1e300"), 0]}, "outside space"),
    ],
)
def test_where_there_is_no_place_it_is_said(request_, says):
    drag = {"number": 1, "space": None, **request_}
    found = with_workers(SMALL, lambda workers: workers.way(texts_of(SMALL), drag))
    assert found["routes"] == []
    assert says in found["no_way"]["says"]


def test_a_worker_that_ends_in_a_drag_is_told_of_and_replaced():
    async def play(workers):
        drag = {"number": 1, "at": [3000.0, -500.0], **END}
        await workers.way(texts_of(SMALL), drag)
        os.kill(workers.pids["live"], signal.SIGKILL)
        return await workers.way(texts_of(SMALL), drag), await workers.way(texts_of(SMALL), drag)

    broken, again = with_workers(SMALL, play)
    assert "ended unexpectedly, and was started again; drag on" in broken["no_way"]["says"]
    assert again["no_way"] is None


def test_a_worker_that_ends_over_the_state_is_replaced_in_silence():
    async def play(workers):
        await workers.state(texts_of(SMALL))
        os.kill(workers.pids["live"], signal.SIGKILL)
        return await workers.state(texts_of(SMALL))

    assert with_workers(SMALL, play)["faults"] == []


KILLED = """
import asyncio, sys
from pathlib import Path
from router.page.plan_work import no_way_data
from router.page.workers import Workers

async def main():
    folder = Path(sys.argv[1])
    workers = Workers(folder)
    await workers.start()
    texts = {"profile": None, "job": (folder / "job.yaml").read_text()}
    await workers.state(texts)
    stages = asyncio.create_task(workers.plan(texts, 1, lambda stage: print(stage["stage"], flush=True)))
    await asyncio.sleep(0.3)
    print(*workers.pids.values(), flush=True)
    await asyncio.sleep(60)

asyncio.run(main())
"""


def test_workers_end_when_the_server_is_killed_in_the_middle_of_a_plan():
    words = [sys.executable, "-c", KILLED, str(SLOW)]
    server = subprocess.Popen(words, cwd=ROOT, stdout=subprocess.PIPE, text=True)
    assert server.stdout is not None
    lines = iter(server.stdout.readline, "")
    pids = next([int(each) for each in line.split()] for line in lines if line[0].isdigit())
    assert [is_there(pid) for pid in pids] == [True] * 3
    server.send_signal(signal.SIGKILL)
    server.wait()
    server.stdout.close()
    until = time.monotonic() + 10.0
    while time.monotonic() < until and any(is_there(pid) for pid in pids):
        time.sleep(0.02)
    assert [pid for pid in pids if is_there(pid)] == []
