"""Whatever a folder's two files hold, the page is told of it: no error, and every fault of the command."""

from __future__ import annotations

import json
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from router import check
from router.page.page_state import state_of
from router.reading import advice_on

SHIPPED = sorted((Path(__file__).parents[2] / "profiles").glob("*.yaml"))
EXAMPLES = Path(__file__).parents[2] / "examples"
JOB = (EXAMPLES / "fridge-supply/job.yaml").read_text(encoding="utf-8").replace("dunlin-lwb", "profile.yaml")
ODD = [
    "",
    "\t",
    "{",
    "}",
    "[",
    "]",
    ":",
    ": ",
    "- ",
    "'",
    '"',
    "&a ",
    "*a",
    "!!x ",
    "null",
    "1e9",
    "9",
    "-",
    "#",
]
ODD += [
    "\x00",
    "\r",
    "\u2028",
    "\ud800",
    "é",
    "---\n",
    "...\n",
    "? ",
    "|",
    "profile: x\n",
    "<<: *a\n",
    "~",
    "mm",
]


@st.composite
def mutated(draw, text):
    for _ in range(draw(st.integers(1, 4))):
        lines = text.split("\n")
        at = draw(st.integers(0, len(text)))
        row = draw(st.integers(0, len(lines) - 1))
        match draw(st.sampled_from(("put in", "cut", "swap", "drop line", "twice", "move", "end"))):
            case "put in":
                text = text[:at] + draw(st.sampled_from(ODD)) + text[at:]
            case "cut":
                text = text[:at] + text[at + draw(st.integers(1, 40)) :]
            case "swap":
                text = text[:at] + draw(st.sampled_from(ODD)) + text[at + 1 :]
            case "drop line":
                text = "\n".join(lines[:row] + lines[row + 1 :])
            case "twice":
                text = "\n".join([*lines[:row], lines[row], *lines[row:]])
            case "move":
                text = "\n".join([*lines[:row], "  " + lines[row], *lines[row + 1 :]])
            case _:
                text = text[:at]
    return text


@st.composite
def folders(draw):
    shipped = draw(st.sampled_from(SHIPPED)).read_text(encoding="utf-8")
    profile = draw(st.one_of(st.just(shipped), mutated(shipped), st.text(max_size=40)))
    return profile, draw(st.one_of(st.just(JOB), mutated(JOB), st.text(max_size=40)))


@settings(max_examples=60, deadline=None)
@given(texts=folders())
def test_no_text_is_an_error_and_every_fault_of_the_command_is_told(texts, tmp_path_factory):
    folder = tmp_path_factory.mktemp("folder")
    wanted = set()
    for name, text in zip(("profile.yaml", "job.yaml"), texts, strict=True):
        (folder / name).write_bytes(text.encode("utf-8", "surrogatepass"))
    for name in ("profile.yaml", "job.yaml"):
        faults = check(folder / name)
        wanted |= set(faults) or {str(each) for each in advice_on(folder / name)}
    state = state_of(*texts, folder)
    assert {_line(fault, folder) for fault in state["faults"]} == wanted
    assert json.loads(json.dumps(state, allow_nan=False)) == state


def _line(fault, folder):
    place = f"{folder}/{fault['file']}.yaml:{fault['line']}:{fault['column']}"
    what = "; ".join(part for part in (fault["what"], fault["cure"]) if part)
    return ": ".join(part for part in (place, fault["where"], what) if part)
