"""The command fleet on small invented vehicles: what comes out, whoever works it out, and what goes wrong."""

import contextlib
import csv
import io
import json
import math
import os
import re
import resource
import signal
import sqlite3
import subprocess
import sys
from collections import Counter
from contextlib import closing
from pathlib import Path

import pytest
from small_fleets import write_fleet

import router.fleet.working
from router.cli import main
from router.writing.plan_files import NAMES

ROOT = Path(__file__).parents[3]
LISTS = ["cuts.csv", "fleet.html", "fleet.sqlite", "kits.csv", "order.csv"]
VEHICLES, EACH = 4, 2


def command(*words):
    return [sys.executable, "-m", "router", "fleet", *map(str, words)]


def run(*words):
    """Run a fleet in this process, as the command does."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True) for _ in range(2))
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), pytest.raises(SystemExit) as left:
        main(["fleet", *map(str, words)])
    printed = [stream.buffer.getvalue().decode() for stream in (out, err)]
    return subprocess.CompletedProcess(words, left.value.code or 0, *printed)


def run_apart(*words, **how):
    """Run a fleet in a process of its own."""
    done = subprocess.run(command(*words), capture_output=True, text=True, check=False, cwd=ROOT, **how)
    assert "Traceback" not in done.stdout + done.stderr, done.stderr
    return done


@pytest.fixture(scope="module")
def fleet(tmp_path_factory):
    return write_fleet(tmp_path_factory.mktemp("fleet"), VEHICLES, per_vehicle=EACH)


@pytest.fixture(scope="module")
def planned(fleet):
    done = run_apart(fleet, "--out", fleet.parent / "out", "--executor", "serial")
    assert done.returncode == 0, done.stderr
    return fleet.parent / "out", done


def content(folder):
    """Return all that is in a fleet's folder: files as bytes, the database as its statements."""
    files = {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != "fleet.sqlite"
    }
    with closing(sqlite3.connect(folder / "fleet.sqlite")) as database:
        return files, list(database.iterdump())


def rows(path):
    return list(csv.DictReader(path.read_text(encoding="utf-8-sig").splitlines()))


def plans(folder):
    return [json.loads((each / "plan.json").read_text()) for each in sorted((folder / "plans").iterdir())]


# What comes out


def test_a_folder_for_each_plan_and_the_lists(planned):
    out, done = planned
    assert sorted(path.name for path in out.iterdir()) == [*LISTS, "plans"]
    folders = sorted((out / "plans").iterdir())
    assert len(folders) == VEHICLES
    assert all(sorted(path.name for path in each.iterdir()) == sorted(NAMES) for each in folders)
    assert done.stdout.startswith(f"Waders: {VEHICLES * EACH} vehicles, {VEHICLES} different plans\n")


def test_a_plan_is_the_same_as_by_itself(planned, fleet, tmp_path):
    out, _ = planned
    words = [sys.executable, "-m", "router", "plan", fleet.parent / "job.yaml", "--out", tmp_path / "one"]
    subprocess.run(words, check=True, capture_output=True, cwd=ROOT)  # the job is for vehicle-0
    (folder,) = (out / "plans").glob("vehicle-0-*")
    assert len(NAMES) == 6
    for name in NAMES:
        assert (folder / name).read_bytes() == (tmp_path / "one" / name).read_bytes()


def test_the_order_is_what_all_plans_need_with_spare_once(planned):
    """P-clips counted in the plans, times the vehicles of each, a tenth more (practice), rounded up once."""
    out, _ = planned
    clips = sum(
        fix["kind"] == "P-clip" for plan in plans(out) for run in plan["runs"] for fix in run["fixings"]
    )
    order = {(row["item"], row["spec"]): row for row in rows(out / "order.csv")}
    (ordered,) = (float(row["quantity"]) for (item, _), row in order.items() if item == "P-clip")
    assert ordered == math.ceil(clips * EACH * 1.1 - 1e-9)
    (fuses,) = (float(row["quantity"]) for (item, _), row in order.items() if item == "fuse")
    assert fuses == VEHICLES * EACH
    cut_m = sum(run["cut_mm"] for plan in plans(out) for run in plan["runs"]) * EACH / 1000
    (wire,) = (row for (item, _), row in order.items() if item == "conductor")
    assert float(wire["quantity"]) == pytest.approx(cut_m)
    assert wire["order"] == "1 reel of 50 m" and cut_m < 50


def test_every_piece_is_cut_once_and_no_reel_is_overfull(planned):
    out, _ = planned
    wanted = Counter(
        {(plan["profile"]["key"], run["cut_mm"] / 1000): EACH for plan in plans(out) for run in plan["runs"]}
    )
    cut, used = Counter(), Counter()
    for row in rows(out / "cuts.csv"):
        cut[row["vehicle"], float(row["length_m"])] += int(row["pieces"])
        used[row["reel"], float(row["reel_m"]), float(row["rest_m"])] += int(row["pieces"]) * float(
            row["length_m"]
        )
    assert cut == wanted
    for (_, reel_m, rest_m), used_m in used.items():
        assert used_m + rest_m == pytest.approx(reel_m)


def test_kits_and_orders_agree(planned):
    """All kits together are what is ordered, but for the spare."""
    out, _ = planned
    kits = Counter()
    for row in rows(out / "kits.csv"):
        kits[row["item"], row["spec"]] += float(row["quantity"]) * int(row["vehicles"])
    ordered = rows(out / "order.csv")
    assert len(ordered) > 3
    for row in ordered:
        item = "conductor, cut" if row["item"] == "conductor" else row["item"]
        least = kits[item, row["spec"]]
        assert least - 1e-9 <= float(row["quantity"]) <= math.ceil(least * 1.1)


def test_the_database_opens_elsewhere_and_says_the_same_as_the_plans(planned):
    out, _ = planned
    with closing(sqlite3.connect(f"file:{out / 'fleet.sqlite'}?immutable=1", uri=True)) as database:
        routed = database.execute("select profile, routed_mm, vehicles from fleet_runs order by 1").fetchall()
        fixings = database.execute("select count(*) from fixings").fetchone()[0]
        assert database.execute("pragma integrity_check").fetchone() == ("ok",)
    expected = sorted((plan["profile"]["key"], plan["runs"][0]["routed_mm"], EACH) for plan in plans(out))
    assert routed == expected
    assert fixings == sum(len(run["fixings"]) for plan in plans(out) for run in plan["runs"])


def test_the_page_needs_nothing_else_and_names_everything(planned):
    page = (planned[0] / "fleet.html").read_text(encoding="utf-8")
    assert not re.search(r'(?:src|href)="(?!#|plans/)', page) and "<script" not in page
    for number in range(VEHICLES):
        assert f"vehicle-{number}" in page
    for link in re.findall(r'href="(plans/[^"]+)"', page):
        assert (planned[0] / link).is_file()


def test_json_says_the_same(planned, fleet):
    done = run(fleet, "--out", planned[0], "--json")
    data = json.loads(done.stdout)
    assert (data["format"], data["plans"], data["no_answers"]) == ("fleet/1", VEHICLES, 0)
    (wire,) = (cut for cut in data["cuts"] if cut["item"] == "conductor")
    assert wire["pieces"] == VEHICLES * EACH and wire["plan"]["gap"] == 0


# Whoever works it out


def test_processes_give_the_same_bytes(planned, fleet, tmp_path):
    done = run_apart(fleet, "--out", tmp_path / "out", "--executor", "processes", "--workers", 2)
    assert done.returncode == 0, done.stderr
    assert content(tmp_path / "out") == content(planned[0])


DASK = """
import sys
from distributed import LocalCluster
from router.cli import main
if __name__ == "__main__":
    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        main(["fleet", sys.argv[1], "--out", sys.argv[2], "--executor", cluster.scheduler_address])
"""


def test_a_dask_cluster_gives_the_same_bytes(planned, fleet, tmp_path):
    script = tmp_path / "cluster.py"
    script.write_text(DASK, encoding="utf-8")
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, script, fleet, tmp_path / "out"],
        capture_output=True, text=True, check=False, timeout=300, env=environment,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert content(tmp_path / "out") == content(planned[0])


@pytest.mark.parametrize("named", ["process", "http://127.0.0.1:1"])
def test_another_executor_is_refused(fleet, tmp_path, named):
    done = run(fleet, "--out", tmp_path / "out", "--executor", named)
    assert done.returncode == 2
    assert done.stderr.startswith(f'underbody: "{named}" is no executor; write serial, processes, or')


def test_workers_die_with_the_one_who_started_them(fleet, tmp_path):
    started = subprocess.Popen(
        command(fleet, "--out", tmp_path / "out", "--workers", 2),
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=ROOT,
    )  # fmt: skip
    workers = wait_for(
        lambda: [each for each in children(started.pid) if "spawn_main" in command_of(each)][1:]
    )
    assert workers
    started.kill()
    started.wait()
    wait_for(lambda: not any("spawn_main" in command_of(each) for each in workers))


def test_a_key_press_stops_it_in_a_line(tmp_path):
    fleet = write_fleet(tmp_path / "many", 200, seed=1)  # more than it can have done by then
    started = subprocess.Popen(
        command(fleet, "--out", tmp_path / "out", "--workers", 2),
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=ROOT, start_new_session=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509 - else a job in the background ignores it
    )  # fmt: skip
    workers = wait_for(
        lambda: [each for each in children(started.pid) if "spawn_main" in command_of(each)][1:]
    )
    assert all(holds_key_presses_back(worker) for worker in workers)  # from their very start
    os.killpg(started.pid, signal.SIGINT)  # as a terminal does: to all of them
    _, errors = started.communicate(timeout=60)
    assert (started.returncode, errors.strip()) == (130, b"underbody: stopped")
    wait_for(lambda: not any("spawn_main" in command_of(each) for each in workers))


def children(pid):
    return [int(word) for word in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]


def holds_key_presses_back(pid):
    (mask,) = re.findall(r"^SigBlk:\t(\w+)$", Path(f"/proc/{pid}/status").read_text(), re.M)
    return bool(int(mask, 16) >> (signal.SIGINT - 1) & 1)


def command_of(pid):
    try:
        return Path(f"/proc/{pid}/cmdline").read_text()
    except OSError:
        return ""


def wait_for(found, seconds=60.0):
    import time

    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if result := found():
            return result
        time.sleep(0.05)
    raise AssertionError("it did not come to that in time")


# Going on


def test_what_is_finished_is_not_done_again(fleet, planned, tmp_path, monkeypatch, capsys):
    before = content(planned[0])

    def never(*_):
        raise AssertionError("planned again")

    monkeypatch.setattr(router.fleet.working, "plan_one", never)
    with pytest.raises(SystemExit) as left:
        main(["fleet", str(fleet), "--out", str(planned[0]), "--executor", "serial"])
    assert left.value.code == 0, capsys.readouterr().err
    assert content(planned[0]) == before


@pytest.fixture
def worked(monkeypatch):
    """Count what is worked out, and let some of it fail."""
    real, seen = router.fleet.working.plan_one, []

    def counted(key, question, look):
        seen.append(question.profile.key)
        if question.profile.key in failing:
            raise ZeroDivisionError("by hand")
        return real(key, question, look)

    failing: set[str] = set()
    monkeypatch.setattr(router.fleet.working, "plan_one", counted)
    return seen, failing


def fleet_command(fleet, out):
    with pytest.raises(SystemExit) as left:
        main(["fleet", str(fleet), "--out", str(out), "--executor", "serial"])
    return left.value.code or 0


def test_only_what_changed_is_planned_again(tmp_path, worked, capsys):
    seen, _ = worked
    fleet, out = write_fleet(tmp_path / "fleet", 3), tmp_path / "out"
    assert fleet_command(fleet, out) == 0
    assert seen == ["vehicle-0", "vehicle-1", "vehicle-2"]
    profile = tmp_path / "fleet" / "vehicle-1.yaml"
    profile.write_text("# a word\n" + profile.read_text())
    assert fleet_command(fleet, out) == 0 and len(seen) == 3  # a comment is no change
    profile.write_text(profile.read_text().replace("height: 400 mm, outline", "height: 410 mm, outline"))
    assert fleet_command(fleet, out) == 0 and seen[3:] == ["vehicle-1"]
    next((out / "plans").glob("vehicle-2-*/map.svg")).unlink()
    assert fleet_command(fleet, out) == 0 and seen[4:] == ["vehicle-2"]
    assert next((out / "plans").glob("vehicle-2-*/map.svg")).is_file()


def test_a_fault_of_the_program_keeps_the_other_plans_and_writes_no_list(tmp_path, worked, capsys):
    seen, failing = worked
    fleet, out = write_fleet(tmp_path / "fleet", 3), tmp_path / "out"
    failing.add("vehicle-1")
    assert fleet_command(fleet, out) == 70
    assert "vehicle-1, lamp: ZeroDivisionError: by hand" in capsys.readouterr().err
    assert sorted(path.name for path in out.iterdir()) == ["fleet.sqlite", "plans"]
    failing.clear()
    assert fleet_command(fleet, out) == 0
    assert seen[3:] == ["vehicle-1"]


def test_a_plan_without_an_answer_is_kept_and_told(tmp_path, worked, capsys):
    """A wall of a keep-out from edge to edge: no way to the lamp of one of three models."""
    seen, _ = worked
    fleet, out = write_fleet(tmp_path / "fleet", 3), tmp_path / "out"
    profile = tmp_path / "fleet" / "vehicle-1.yaml"
    wall = (
        "  - {name: wall, space: underfloor, hazard: solid, along: [[700, -700], [700, 700]], width: 20 mm}\n"
    )
    profile.write_text(profile.read_text().replace("terminals:", f"{wall}terminals:"))
    assert fleet_command(fleet, out) == 1
    words = capsys.readouterr().out
    assert "no answer: vehicle-1, Lamp: " in words and "wall" in words
    page = (out / "fleet.html").read_text()
    assert "These have no plan. They are in no order list, no cutting plan and no kit." in page
    assert {row["vehicle"] for row in rows(out / "cuts.csv")} == {"vehicle-0", "vehicle-2"}
    assert fleet_command(fleet, out) == 1 and len(seen) == 3


def test_a_fleet_with_faults_leaves_nothing(tmp_path, capsys):
    fleet = write_fleet(tmp_path / "fleet", 2)
    fleet.write_text(fleet.read_text().replace("vehicle-1.yaml", "vehicle-7.yaml"))
    assert fleet_command(fleet, tmp_path / "new" / "out") == 2
    assert capsys.readouterr().err.startswith(f'{fleet}:5:15: vehicle 2: there is no file "vehicle-7.yaml"')
    assert not (tmp_path / "new").exists()


# Where it cannot be written


def test_a_full_disk_is_told_and_leaves_nothing_half(fleet, planned, tmp_path):
    """No file may grow beyond 60 kB: less than the first map, more than the database at its beginning."""

    def small():
        resource.setrlimit(resource.RLIMIT_FSIZE, (60_000, 60_000))

    words = (fleet, "--out", tmp_path / "out", "--executor", "serial")
    done = run_apart(*words, preexec_fn=small)
    assert done.returncode == 2
    assert done.stderr.startswith("underbody: cannot ") and "Fault" not in done.stderr
    assert done.stderr.count("\n") == 1
    half = [path for path in (tmp_path / "out").rglob("*") if path.is_file() and path.name != "fleet.sqlite"]
    assert not [path for path in half if not path.name.startswith("fleet.sqlite")]
    assert run(*words).returncode == 0
    assert content(tmp_path / "out") == content(planned[0])


def test_a_folder_that_cannot_be_written(fleet, tmp_path):
    (tmp_path / "file").write_text("a file")
    done = run(fleet, "--out", tmp_path / "file")
    assert done.returncode == 2
    assert done.stderr.startswith(f"underbody: cannot make the folder {tmp_path / 'file'}: ")


def test_a_read_only_folder(fleet):
    """One that nobody may write into, the owner of the machine included: this process's own among /proc."""
    out = Path(f"/proc/{os.getpid()}/net")
    done = run(fleet, "--out", out)
    assert done.returncode == 2
    assert done.stderr == (
        f"underbody: cannot use {out}/fleet.sqlite: unable to open database file; finished plans are kept\n"
    )


def test_another_file_by_that_name_is_left_alone(fleet, tmp_path):
    (tmp_path / "fleet.sqlite").write_bytes(b"something else" * 100)
    done = run(fleet, "--out", tmp_path)
    assert done.returncode == 2 and "file is not a database" in done.stderr
    assert (tmp_path / "fleet.sqlite").read_bytes() == b"something else" * 100


def test_two_fleets_in_one_folder(fleet, planned, tmp_path):
    words = command(fleet, "--out", tmp_path / "out", "--executor", "serial")
    both = [
        subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=ROOT) for _ in range(2)
    ]
    for each in both:
        _, err = each.communicate()
        assert each.returncode == 0, err
    assert content(tmp_path / "out") == content(planned[0])
