"""Every shipped example against the outputs kept here, word for word and number for number.

What is kept was looked at by a person; a change here is a change of what people get, and its diff is what to
read. Numbers may differ by TOLERANCE, so that another build of the geometry library is no failure. To keep
new outputs: `GOLDEN_RENEW=1 pytest tests/golden`, then read the diff.
"""

import difflib
import json
import os
import re
from pathlib import Path

import pytest
from example_plans import EXAMPLES, example_plan

from router.drawing import draw_map
from router.errors import NoAnswerError
from router.sheet.job_sheet import make_sheet
from router.writing import bill_csv, plan_data

HERE = Path(__file__).parent
TOLERANCE = 0.06
"""In the unit of the number: mm in plans, mm on paper in maps."""
NUMBER = re.compile(r"-?\d+\.\d+|-?\d+")
MAPS = ("work-lamp-rear-battery",)
"""Examples whose drawing is kept as well: small ones, for a person reads the diff."""


def lines_of_plan(plan):
    """Return plan.json without what was asked (the examples' own files) and its sum; to the micrometre."""
    data = plan_data(plan)
    del data["question"], data["checksum"]
    return json.dumps(rounded(data), indent=1, ensure_ascii=False).splitlines()


def rounded(data):
    if isinstance(data, dict):
        return {key: rounded(each) for key, each in data.items()}
    if isinstance(data, list):
        return [rounded(each) for each in data]
    if not isinstance(data, float):
        return data
    return round(data) if round(data, 3).is_integer() else round(data, 3)


def lines_of_map(plan):
    drawing = re.sub(r">\s*<", ">\n<", draw_map(plan))
    return [
        re.sub(r"-?\d+\.\d+", lambda n: f"{float(n[0]):.1f}", line.strip()) for line in drawing.splitlines()
    ]


def lines_of_sheet(plan):
    page = re.sub(r"<(style|svg|title)\b.*?</\1>", "", make_sheet(plan, draw_map(plan)), flags=re.DOTALL)
    text = re.sub(r"<[^>]+>", "\n", page)
    return [line.strip() for line in text.splitlines() if line.strip()]


def outputs(name):
    """Return the lines of every output of an example, by the name of the file that keeps them."""
    try:
        plan = example_plan(name)
    except NoAnswerError as error:
        return {"no-answer.txt": str(error).splitlines()}
    kept = {
        "plan.json": lines_of_plan(plan),
        "bill.csv": bill_csv(plan).decode("utf-8-sig").splitlines(),
        "sheet.txt": lines_of_sheet(plan),
    }
    return kept | ({"map.txt": lines_of_map(plan)} if name in MAPS else {})


def differences(kept, made):
    """Return a readable diff of the lines that differ by more than rounding; empty where none does."""
    if len(kept) == len(made) and all(map(is_same, kept, made)):
        return ""
    # Lines that are the same but for rounding must not fill the diff.
    made = [old if is_same(old, new) else new for old, new in zip(kept, made, strict=False)] + made[
        len(kept) :
    ]
    return "\n".join(list(difflib.unified_diff(kept, made, "kept", "made", lineterm="", n=1))[:60])


def is_same(kept, made):
    if kept == made:
        return True
    if NUMBER.sub("#", kept) != NUMBER.sub("#", made):
        return False
    pairs = zip(NUMBER.findall(kept), NUMBER.findall(made), strict=True)
    return all(abs(float(a) - float(b)) <= TOLERANCE for a, b in pairs)


def examples():
    return sorted(folder.name for folder in EXAMPLES.iterdir() if (folder / "job.yaml").is_file())


def test_there_are_examples():
    assert len(examples()) >= 5


@pytest.mark.parametrize("name", examples())
def test_an_example_gives_what_is_kept(name):
    folder = HERE / name
    made = outputs(name)
    if os.environ.get("GOLDEN_RENEW"):
        folder.mkdir(exist_ok=True)
        for file, lines in made.items():
            (folder / file).write_text("\n".join(lines) + "\n", encoding="utf-8")
    assert sorted(path.name for path in folder.iterdir()) == sorted(made)
    for file, lines in made.items():
        difference = differences((folder / file).read_text(encoding="utf-8").splitlines(), lines)
        assert not difference, f"{name}/{file}\n{difference}"


CHANGES = [("5150", "5151"), ("right stud row", "left stud row"), ('"runs"', '"run"')]


def kept_plan():
    return (HERE / "fridge-supply" / "plan.json").read_text(encoding="utf-8")


@pytest.mark.parametrize("change", CHANGES)
def test_what_is_changed_below_is_there(change):
    assert change[0] in kept_plan()


@pytest.mark.xfail(strict=True, reason="proves that the comparison can fail")
@pytest.mark.parametrize("change", CHANGES)
def test_a_changed_line_is_a_difference(change):
    assert not differences(kept_plan().splitlines(), kept_plan().replace(*change, 1).splitlines())
