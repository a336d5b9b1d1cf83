"""Temporary files: gone at the end; a killed writer's are removed by the next, any other's are not."""

from __future__ import annotations

import signal
import subprocess
import sys
import threading
from pathlib import Path

from router.writing import sweep_temporaries, write_whole

ROOT = Path(__file__).parents[3]
WRITER = """
import sys, time
from pathlib import Path
from router.writing import write_whole

def parts():
    yield b"x" * 1_000_000
    print("half", flush=True)
    sys.stdin.read()
    yield b"rest"

write_whole({Path(sys.argv[1]) / "first": b"1", Path(sys.argv[1]) / "second": parts()})
"""


def begin_to_write(folder: Path) -> subprocess.Popen[bytes]:
    """Return a process that has written one file and half of another, and waits for its stdin to end."""
    process = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(folder)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, cwd=ROOT
    )
    assert process.stdout and process.stdout.readline() == b"half\n"
    return process


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_killed_writers_files_are_removed_by_the_next(tmp_path):
    killed = begin_to_write(tmp_path)
    killed.send_signal(signal.SIGKILL)
    killed.communicate()
    assert len(names(tmp_path)) == 3 and all(name.endswith(".tmp") for name in names(tmp_path))
    write_whole({tmp_path / "mine": b"1"})
    assert names(tmp_path) == ["mine"]


def test_a_living_writers_files_stay(tmp_path):
    living = begin_to_write(tmp_path)
    there = names(tmp_path)
    write_whole({tmp_path / "mine": b"1"})
    assert set(there) < set(names(tmp_path))
    living.communicate()
    assert (names(tmp_path), living.returncode) == (["first", "mine", "second"], 0)
    assert (tmp_path / "second").stat().st_size == 1_000_004


def test_a_strangers_files_stay(tmp_path):
    strange = {
        ".map.svg.0123456789ab.tmp",
        ".underbody.tmp",
        ".underbody-0123.tmp",
        "underbody-0123456789abcdef.tmp",
    }
    for name in strange:
        (tmp_path / name).write_bytes(b"somebody's")
    (tmp_path / ".underbody-0123456789abcdef.tmp").mkdir()
    (tmp_path / ".underbody-0123456789abcdef-1.tmp").symlink_to(tmp_path / ".underbody.tmp")
    before = names(tmp_path)
    sweep_temporaries(tmp_path)
    assert names(tmp_path) == before


def test_a_folder_that_is_not_there_is_no_error(tmp_path):
    sweep_temporaries(tmp_path / "none")
    assert not (tmp_path / "none").exists()


def test_many_writers_in_one_folder_do_not_sweep_each_other_away(tmp_path):
    failures: list[BaseException] = []

    def write(number: int) -> None:
        try:
            for turn in range(40):
                write_whole({tmp_path / f"{number}": b"%d" % turn, tmp_path / "shared": b"whole"})
        except BaseException as error:
            failures.append(error)

    writers = [threading.Thread(target=write, args=(number,)) for number in range(6)]
    for each in writers:
        each.start()
    for each in writers:
        each.join()
    assert failures == []
    assert names(tmp_path) == [*map(str, range(6)), "shared"]
