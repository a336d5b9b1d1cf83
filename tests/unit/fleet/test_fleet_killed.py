"""A fleet killed without warning, again and again: nothing lost, nothing doubled, nothing half."""

import hashlib
import json
import os
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path
from random import Random

import pytest
from small_fleets import write_fleet
from test_fleet import content

from router.writing.plan_files import NAMES

ROOT = Path(__file__).parents[3]


def start(fleet, out):
    words = [sys.executable, "-m", "router", "fleet", fleet, "--out", out, "--workers", "2"]
    return subprocess.Popen(
        words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=ROOT, start_new_session=True
    )


def kept_plans(out):
    """Return the key of every plan in the store, each judged: all its rows and all its files, or fail."""
    if not (out / "fleet.sqlite").exists():
        return set()
    with closing(sqlite3.connect(out / "fleet.sqlite")) as database:
        assert database.execute("pragma integrity_check").fetchone() == ("ok",)
        if not database.execute("select 1 from sqlite_master where name = 'plans'").fetchone():
            return set()
        plans = dict(database.execute("select plan, folder from plans"))
        for table in ("runs", "fixings", "conductors", "bill", "files"):
            owners = {row[0] for row in database.execute(f"select distinct plan from {table}")}
            assert owners == set(plans), table
        for plan, folder in plans.items():
            judge_plan(database, plan, out / "plans" / folder)
    return set(plans)


def judge_plan(database, plan, folder):
    files = dict(database.execute("select name, sha256 from files where plan = ?", (plan,)))
    assert sorted(files) == sorted(NAMES)
    for name, digest in files.items():
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest
    told = json.loads((folder / "plan.json").read_text())
    for table, count in (
        ("runs", len(told["runs"])),
        ("fixings", sum(len(run["fixings"]) for run in told["runs"])),
        ("findings", len(told["findings"])),
    ):
        assert database.execute(f"select count(*) from {table} where plan = ?", (plan,)).fetchone() == (
            count,
        )


def kill_at_random(folder, kills, count, seed):
    """Kill fleets of `count` plans `kills` times in all; each is begun again until it is through."""
    rng = Random(seed)
    fleet = write_fleet(folder / "files", count, seed=seed)
    whole, killed, rounds, longest_s = None, 0, 0, 20.0
    while killed < kills or rounds == 0:
        out, kept = folder / f"out-{rounds}", set()
        while True:
            began, process = time.monotonic(), start(fleet, out)
            wait_s = rng.uniform(0.3, longest_s)
            try:
                _, errors = process.communicate(timeout=wait_s if killed < kills else 600)
            except subprocess.TimeoutExpired:
                os.kill(process.pid, signal.SIGKILL)  # only this one: its workers must end by themselves
                process.communicate()
                killed += 1
                now = kept_plans(out)
                assert kept <= now, "a finished plan was lost"
                kept = now
                continue
            assert process.returncode == 0, errors
            longest_s = max(2.0, min(longest_s, time.monotonic() - began))
            break
        assert len(kept_plans(out)) == count
        assert not list(out.rglob("*.tmp"))
        whole = whole or content(out)
        assert content(out) == whole
        rounds += 1
    return killed, rounds


def test_a_few_kills(tmp_path):
    killed, rounds = kill_at_random(tmp_path, 2, 3, seed=11)
    assert killed >= 2 and rounds >= 1


@pytest.mark.study
def test_a_hundred_kills(tmp_path):
    killed, rounds = kill_at_random(tmp_path, 100, 24, seed=12)
    print(f"{killed} kills, {rounds} fleets through")
    assert killed >= 100
