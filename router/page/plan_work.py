"""The whole plan of a folder's files: first the answer, then its proof; and the files of a plan."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from router.errors import NoAnswerError, NoRouteError, UnreadableError
from router.model.plan import Plan as PlanRecord
from router.page.frames import Message
from router.page.page_state import JOB_FILE, PROFILE_FILE
from router.planner import Planner
from router.reading import holding
from router.stopping import PlanStoppedError
from router.writing import files_of_plan, json_text, plan_data, read_plan

SEEN_FROM = "below"
"""As the command draws what it says nothing else of."""


class PlanWork:
    """Plans one folder's job again and again; what a change does not touch is not made again."""

    def __init__(self) -> None:
        self._planner: Planner | None = None

    def idle(self) -> bool:
        """Return whether something was done meanwhile: nothing is."""
        return False

    def answers(self, message: Message, should_stop: Callable[[], bool]) -> Iterator[Message]:
        """Yield the stages of a plan, each as soon as it stands; or the files of one."""
        if message["what"] == "files":
            yield files_as_text(message["plan"], message["seen_from"], message["paper"])
            return
        try:
            yield from self._stages(message, should_stop)
        except PlanStoppedError:
            return
        except UnreadableError as error:
            count = len(error.faults)
            words = "one fault" if count == 1 else f"{count} faults"
            yield _stage("none", f"{words} in the files; once mended, it is planned")
        except NoAnswerError as error:
            yield _stage("refused", error.why) | {"no_way": no_way_data(error)}

    def _stages(self, message: Message, should_stop: Callable[[], bool]) -> Iterator[Message]:
        planner = self._planner_for(Path(message["folder"]), message["texts"])
        answer = planner.answer(should_stop).record
        says = "the ways stand; how near they are to the best is being proven"
        yield _stage("answer", says) | {"plan": unproven_data(answer), "looms_mm": _looms_mm(answer)}
        plan = planner.plan(should_stop).record
        yield _stage("proof", f"proven: no plan takes {100.0 * plan.gap:.2g} % less effort") | {
            "text": json_text(plan_data(plan, SEEN_FROM)),
            "looms_mm": _looms_mm(plan),
        }

    def _planner_for(self, folder: Path, texts: list[str | None]) -> Planner:
        """Return a planner of the files as they are open."""
        job = folder / JOB_FILE
        with holding(dict(zip((folder / PROFILE_FILE, job), texts, strict=True))):
            if self._planner is None:
                self._planner = Planner(job)
            else:
                self._planner.set(job=job)
        return self._planner


def files_as_text(plan: str, seen_from: str, paper: str) -> dict[str, str]:
    """Return by name the files of a plan that a plan.json holds.

    Parameters
    ----------
    plan : str
        The text of the plan.json.
    seen_from, paper : str
        As for `router.drawing.draw_map`.
    """
    name = Path("plan.json")
    with holding({name: plan}):
        record = read_plan(name)
    files = files_of_plan(record, seen_from=seen_from, paper=paper)
    return {name: content.decode() for name, content in files.items()}


def unproven_data(plan: PlanRecord) -> dict[str, Any]:
    """Return the content of a plan.json for a plan that has no proof yet: each gap is None."""
    runs = tuple(replace(run, route=replace(run.route, gap=0.0)) for run in plan.runs)
    data = plan_data(replace(plan, runs=runs, gap=0.0))
    del data["checksum"]
    return {**data, "gap": None, "runs": [{**run, "gap": None} for run in data["runs"]]}


def no_way_data(error: NoAnswerError) -> dict[str, Any]:
    """Return why there is no plan, as the page shows it: what pinches, where, what would open a way."""
    pinch = error.pinch if isinstance(error, NoRouteError) else None
    shown = pinch and {
        "at": list(pinch.at_mm) if pinch.at_mm else None,
        "space": pinch.space,
        "between": list(pinch.between),
        "width_mm": pinch.width_mm,
        "needed_mm": pinch.needed_mm,
    }
    return {
        "says": error.why,
        "run": error.run if isinstance(error, NoRouteError) else None,
        "pinch": shown,
        "cures": [each.what for each in pinch.relaxations] if pinch else [],
    }


def _looms_mm(plan: PlanRecord) -> Mapping[str, float]:
    return {run.name: run.loom_diameter_mm for run in plan.runs}


def _stage(stage: str, says: str) -> Message:
    return {"stage": stage, "says": says, "plan": None, "no_way": None}
