"""Every file in tests/refusals is refused with exactly the words in the .txt beside it."""

import contextlib
import re
from functools import cache
from pathlib import Path

import pytest

from router.errors import UnreadableError
from router.reading import check_file

FOLDER = Path(__file__).parents[1] / "refusals"
CASES = sorted(path.stem for path in FOLDER.glob("*.yaml"))


@cache
def faults_of(case):
    with contextlib.chdir(FOLDER), pytest.raises(UnreadableError) as refusal:
        check_file(f"{case}.yaml")
    return refusal.value.faults


def test_there_are_cases_and_each_has_its_words():
    assert len(CASES) >= 40
    assert sorted(path.stem for path in FOLDER.glob("*.txt")) == CASES


@pytest.mark.parametrize("case", CASES)
def test_refused_with_these_words(case):
    faults = faults_of(case)
    wanted = (FOLDER / f"{case}.txt").read_text(encoding="utf-8").splitlines()
    assert [str(fault) for fault in faults] == wanted


QUOTED = re.compile(r'(?:unknown (?:key|space|terminal|conductor) |[a-z-]+ )"([^"]*)"')


def test_each_place_is_where_the_words_say():
    """The text at line and column is what the fault quotes first."""
    faults = [fault for case in CASES for fault in faults_of(case) if "missing" not in fault.what]
    quotes = [(fault, told[1]) for fault in faults if (told := QUOTED.match(fault.what))]
    assert len(quotes) > 50
    for fault, text in quotes:
        lines = (FOLDER / fault.file).read_text(encoding="utf-8", errors="replace").splitlines()
        here = lines[fault.line - 1][fault.column - 1 :]
        assert here.lstrip("\"'").startswith(text), f"{fault}\n{here}"


def test_the_vehicle_behind_the_cases_has_no_fault(monkeypatch):
    """Each case breaks one good vehicle; were that broken itself, a case could pass for a wrong reason."""
    monkeypatch.chdir(FOLDER)
    assert check_file("vehicles/heron.yaml") == "profile"
