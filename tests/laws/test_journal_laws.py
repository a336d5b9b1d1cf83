"""Laws of a session: undone is the file before, replayed is the same state, no kill loses what was told."""

from __future__ import annotations

import http.client
import shutil
import subprocess
import sys
import threading
import time
from pathlib import Path
from random import Random

import pytest
import session_walk
import yaml
from page_stand_in import Asked
from session_walk import mark_of, some_edits

from router.page.history import replayed
from router.page.journal import read_journal
from router.page.session import Session

ROOT = Path(__file__).parents[2]
SHIPPED = ("plover-crossover", "dunlin-lwb")


def some_folder(tmp_path, rng):
    folder = tmp_path / f"van {rng.randrange(10**9)}"
    folder.mkdir(parents=True)
    shutil.copy(ROOT / "profiles" / f"{rng.choice(SHIPPED)}.yaml", folder / "profile.yaml")
    return folder


def contents(folder):
    """Every file of a folder but the journal."""
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.suffix == ".yaml"}


def walk(session, rng, count):
    """Do something at random so often; what is there after each command, by revision."""
    seen = {session.revision: contents(session.files.folder)}
    for number in range(count):
        kind = rng.random()
        if kind < 0.2:
            session.undo(session.revision)
        elif kind < 0.3:
            session.redo(session.revision)
        elif kind < 0.35:
            (session.files.folder / "job.yaml").write_text(f"job: theirs {number}\n")
            session.look()
            session.answer("job", rng.choice(("mine", "theirs")))
        else:
            session.edit(session.revision, rng.choice((None, "a", "b")), some_edits(rng, number))
        seen[session.revision] = contents(session.files.folder)
    return seen


@pytest.mark.parametrize("seed", range(4))
def test_everything_undone_is_the_files_before_and_done_again_those_after(tmp_path, seed):
    rng = Random(seed)
    folder = some_folder(tmp_path, rng)
    before = contents(folder)
    session = Session(folder)
    walk(session, rng, 40)
    after = contents(folder)
    while session.history.undone:
        session.redo(session.revision)
    last = contents(folder)
    while session.history.done:
        session.undo(session.revision)
    assert contents(folder) == before
    assert before != last
    while session.history.undone:
        session.redo(session.revision)
    assert contents(folder) == last and after
    session.close()


@pytest.mark.parametrize("seed", range(4))
def test_a_journal_that_is_replayed_gives_the_same_state(tmp_path, seed):
    rng = Random(seed)
    session = Session(some_folder(tmp_path, rng))
    walk(session, rng, 30)
    now = session.history
    again = replayed(read_journal(session.files.journal))
    assert (again.texts, again.revision, again.done, again.undone) == (
        now.texts,
        now.revision,
        now.done,
        now.undone,
    )
    session.close()


@pytest.mark.parametrize("seed", range(3))
def test_a_journal_cut_at_any_byte_gives_the_state_of_its_last_whole_line(tmp_path, seed):
    rng = Random(seed)
    folder = some_folder(tmp_path, rng)
    session = Session(folder)
    seen = walk(session, rng, 12)
    journal = (folder / "sketch.journal").read_bytes()
    session.close()
    head = journal.index(b"\n") + 1
    cuts = [head, len(journal), *(rng.randrange(head, len(journal)) for _ in range(12))]
    assert len(cuts) == 14
    for cut in cuts:
        other = tmp_path / f"cut {cut}"
        other.mkdir(exist_ok=True)
        (other / "sketch.journal").write_bytes(journal[:cut])
        revision = max(journal[:cut].rfind(b'{"revision":'), 0)
        history = replayed(read_journal(other / "sketch.journal"))
        whole = {f"{file}.yaml": text.encode() for file, text in history.texts.items() if text is not None}
        assert whole == seen[history.revision], (cut, revision)


def kill_server(folder, rng, done):
    """Edit through a server until it is killed at some moment; judge what the kill before has left.

    Return how many commands were acknowledged, of which `done` then knows the last.
    """
    served = Asked(folder)
    state = served.state()
    judge_nothing_lost(folder, state["revision"], mark_of(texts_of(state)), done)
    timer = threading.Timer(rng.uniform(0.0, 0.05), served.process.kill)
    told, last = 0, rng.randrange(4)
    try:
        while True:
            if told == last and not timer.ident:
                timer.start()
            status, answer = command_by_page(served, state, rng, told)
            if status == 200:
                state, told = answer, told + 1
                done |= {"mark": mark_of(texts_of(state)), "revision": state["revision"]}
    except (OSError, http.client.HTTPException, ValueError):
        assert timer.ident, "it ended before it was killed"
    timer.join()
    served.kill()
    return told


def command_by_page(served, state, rng, number):
    if rng.random() < 0.15:
        return served.json("POST", "/undo", {"revision": state["revision"]})
    return served.edit(state["revision"], *some_edits(rng, number), group=rng.choice((None, "a")))


def texts_of(state):
    return {file: state["files"][file]["text"] for file in ("profile", "job")}


def kill_session(folder, rng, done):
    """Edit without a server, so that nearly every kill comes while something is being written."""
    words = [sys.executable, session_walk.__file__, str(folder), str(rng.randrange(10**6))]
    process = subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    lines = [process.stdout.readline() for _ in range(rng.randrange(1, 4))]
    time.sleep(rng.uniform(0.0, 0.02))
    process.kill()
    lines += process.stdout.readlines()
    assert process.stderr.read() == ""
    process.communicate(timeout=10)
    told = [(int(line.split()[0]), line.split()[1]) for line in lines if line.endswith("\n")]
    judge_nothing_lost(folder, *told[0], done, is_still=False)
    done |= dict(zip(("revision", "mark"), told[-1], strict=True))
    return len(told) - 1


def judge_nothing_lost(folder, revision, mark, done, *, is_still=True):
    """What is there is what was acknowledged, or one command more; the files are whole and as is said."""
    paths = {file: folder / f"{file}.yaml" for file in ("profile", "job")}
    written = {file: path.read_bytes().decode() if path.exists() else None for file, path in paths.items()}
    assert mark_of(written) == mark or not is_still
    assert all(yaml.load(text, Loader=yaml.CBaseLoader) for text in written.values() if text)
    assert revision - done["revision"] in (0, 1)
    assert revision != done["revision"] or mark == done["mark"]
    done |= {"mark": mark, "revision": revision}


def many_kills(tmp_path, kill, count):
    """Kill so often at any moment, then undo everything; return how many commands were told of."""
    rng = Random(count)
    folder = some_folder(tmp_path, rng)
    before = contents(folder)
    done = {"revision": 0, "mark": mark_of({"profile": before["profile.yaml"].decode(), "job": None})}
    told = sum(kill(folder, rng, done) for _ in range(count))
    session = Session(folder)
    judge_nothing_lost(folder, session.revision, mark_of(session.texts), done)
    while session.history.done:
        session.undo(session.revision)
    session.close()
    assert contents(folder) == before
    assert sorted(path.name for path in folder.iterdir()) == ["profile.yaml", "sketch.journal"]
    return told


@pytest.mark.parametrize("kill", [kill_server, kill_session])
def test_a_dozen_kills_lose_nothing_that_was_told(tmp_path, kill):
    assert many_kills(tmp_path, kill, 12) > 0


@pytest.mark.study
@pytest.mark.parametrize("kill", [kill_server, kill_session])
def test_two_hundred_kills_lose_nothing_that_was_told(tmp_path, kill):
    assert many_kills(tmp_path, kill, 200) > 100
