"""The server's side of its workers: what is asked of which, newest first, and what happens when one dies.

Nothing here plans or reads a profile, so that the server stays small, and answers while others work.
"""

from __future__ import annotations

import asyncio
import contextlib
import inspect
import json
import os
import sys
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count
from pathlib import Path
from typing import Any, TypeAlias

from router.page.frames import Message, frame_of, next_message

LONGEST_LIVE_S = 30.0
"""What answers a finger takes far less; a worker that does not answer so long never will."""
LONGEST_FILES_S = 120.0
LONGEST_START_S = 20.0
STOPS_WITHIN_S = 1.0
"""A plan looks some hundred times a second whether to stop; what does not stop in this time is ended."""
_PACKAGE = Path(__file__).parents[2]
DIED = "the part of the program that {does} ended unexpectedly, and was started again; {advice}"

Texts: TypeAlias = Mapping[str, str | None]
"""What the files "profile" and "job" hold; None where there is none."""
OnStage: TypeAlias = Callable[[Message], Awaitable[None] | None]


class WorkerDiedError(Exception):
    """A worker ended before it had answered."""


class WorkerError(Exception):
    """A question that no worker could answer; one line that says so."""


@dataclass(frozen=True, slots=True)
class _Known:
    """What the newest plan is known to be, for whoever answers quickly."""

    looms_mm: Mapping[str, float] | None
    ways: Sequence[Any]
    whole: tuple[int, str] | None
    """The revision and the plan.json of the newest plan with its proof."""


class Worker:
    """One process, started at once; its questions are answered one after the other."""

    def __init__(self, work: str) -> None:
        self._work = work
        self._numbers = count(1)
        self._number = 0
        self._is_ready = False
        self._begun_s = time.monotonic()
        self._process: asyncio.subprocess.Process | None = None
        self._heard: asyncio.Queue[Message | None] = asyncio.Queue()
        self._begun = asyncio.create_task(self._begin())
        self._listening: asyncio.Task[None] | None = None

    async def _begin(self) -> asyncio.subprocess.Process:
        paths = [str(_PACKAGE), *filter(None, [os.environ.get("PYTHONPATH")])]
        process = await asyncio.create_subprocess_exec(
            sys.executable,
            "-P",  # what lies in the folder that somebody works in is not imported
            "-m",
            "router.page.worker_process",
            self._work,
            stdin=asyncio.subprocess.PIPE,
            stdout=asyncio.subprocess.PIPE,
            stderr=asyncio.subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(paths)},
            start_new_session=True,  # Ctrl-C is the server's; a worker ends with its pipe
        )
        self._process = process
        self._listening = asyncio.create_task(self._listen(process.stdout))
        return process

    async def _listen(self, pipe: asyncio.StreamReader | None) -> None:
        """Take messages off the pipe, whoever may have stopped waiting for them; None at its end."""
        assert pipe is not None  # it is one
        with contextlib.suppress(asyncio.IncompleteReadError, ConnectionError):
            while True:
                message = await next_message(pipe)
                self._is_ready = True
                await self._heard.put(message)
        await self._heard.put(None)

    @property
    def notices_stops(self) -> bool:
        """Return whether it should have noticed by now that it is to stop: it has read in all it needs."""
        return self._is_ready or time.monotonic() - self._begun_s > LONGEST_START_S

    @property
    def pid(self) -> int | None:
        """Return its process's number, once there is one."""
        return self._process.pid if self._process else None

    async def ask(self, **question: Any) -> AsyncIterator[Message]:
        """Yield what it answers; WorkerDiedError where it ends before, WorkerError where it cannot."""
        process = await asyncio.shield(self._begun)
        self._number = number = next(self._numbers)
        self._write(process, {"number": number, **question})
        while (message := await self._heard.get()) is not None:
            if message.get("number") != number:
                continue  # of a question that nobody waits for any more
            if "broken" in message:
                raise WorkerError(message["broken"])
            if "end" in message:
                return
            yield message["answer"]
        await self._heard.put(None)
        raise WorkerDiedError

    async def answer(self, **question: Any) -> Message:
        """Return the one answer to a question."""
        answers = [each async for each in self.ask(**question)]
        return answers[-1]

    def call_off(self) -> None:
        """Let it stop what it is doing, if it can."""
        if self._process:
            self._write(self._process, {"stop": self._number})

    @staticmethod
    def _write(process: asyncio.subprocess.Process, message: Message) -> None:
        assert process.stdin is not None  # it is a pipe
        with contextlib.suppress(ConnectionError, RuntimeError):  # that it is gone is seen where it is heard
            process.stdin.write(frame_of(message))

    def kill(self) -> None:
        """End it at once."""
        if self._process and self._process.returncode is None:
            with contextlib.suppress(ProcessLookupError):
                self._process.kill()

    async def end(self) -> None:
        """End it, and wait until it is gone."""
        with contextlib.suppress(OSError):
            process = await asyncio.shield(self._begun)
            self.kill()
            await process.wait()


class Workers:
    """All that the server of one folder asks; `start` before anything else, `stop` at the end.

    Parameters
    ----------
    folder : pathlib.Path
        Where profile.yaml and job.yaml are, or will be.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = str(folder)
        self._live_lock, self._plan_lock, self._draw_lock = asyncio.Lock(), asyncio.Lock(), asyncio.Lock()
        self._newest_way = self._newest_plan = 0
        self._planning = 0
        """The question that is being planned; 0 where none is."""
        self._is_stopped = False
        self._warming: asyncio.Task[None] | None = None
        self._known = _Known(None, (), None)
        self._drawn: dict[tuple[int, str, str], dict[str, str]] = {}

    async def start(self) -> None:
        """Start all workers; they are warm a second later, and questions wait until then."""
        self._live, self._planner, self._spare = Worker("live"), Worker("plan"), Worker("plan")

    async def stop(self) -> None:
        """End all workers at once."""
        self._is_stopped = True
        await asyncio.gather(*(each.end() for each in (self._live, self._planner, self._spare)))

    @property
    def pids(self) -> dict[str, int | None]:
        """Return the numbers of the processes."""
        return {"live": self._live.pid, "plan": self._planner.pid, "spare": self._spare.pid}

    @property
    def whole_revision(self) -> int | None:
        """Return which revision the newest whole plan is of; None where there is none."""
        return self._known.whole[0] if self._known.whole else None

    # live

    async def state(self, texts: Texts) -> Message:
        """Return data, shapes, faults and tasks of the files; see `router.page.page_state`.

        Raises
        ------
        WorkerError
            Two workers ended over it.
        """
        return await self._ask_live(what="state", texts=_pair(texts), ways=self._known.ways)

    async def way(self, texts: Texts, request: Message) -> Message:
        """Return the ways to a terminal that is dragged about; the newest question replaces those that wait.

        Parameters
        ----------
        texts : mapping of str to str or None
        request : mapping
            `number`, `terminal`, `space`, `at`, and `height_mm` where that is not the terminal's own.
        """
        self._newest_way = mine = self._newest_way + 1
        async with self._live_lock:
            if mine != self._newest_way:
                return {"number": request["number"], "dropped": True}
            looms_mm = self._known.looms_mm
            try:
                return await self._live_answer(
                    what="way", texts=_pair(texts), request=request, looms_mm=looms_mm
                )
            except WorkerDiedError:
                says = DIED.format(does="finds ways", advice="drag on")
            except WorkerError as error:
                says = f"the way cannot be found: {error}"
        return {"number": request["number"], "routes": [], "no_way": {"says": says}}

    async def fitted(self) -> list[dict[str, Any]]:
        """Return what people fit; see `router.page.fitted_units`."""
        units: list[dict[str, Any]] = (await self._ask_live(what="fitted"))["units"]
        return units

    async def fit(self, texts: Texts, request: Message) -> Message:
        """Return `text`, the job with one more unit in it, or `faults`, each with `what`.

        Parameters
        ----------
        texts : mapping of str to str or None
        request : mapping
            `key`, `space`, `at`, `height_mm`.
        """
        return await self._ask_live(what="fit", texts=_pair(texts), request=request)

    async def _ask_live(self, **question: Any) -> Message:
        """Return an answer; where a worker died of the question, another one is asked once."""
        async with self._live_lock:
            with contextlib.suppress(WorkerDiedError):
                return await self._live_answer(**question)
            try:
                return await self._live_answer(**question)
            except WorkerDiedError:
                words = DIED.format(does="reads the files", advice="undo what was done last")
                raise WorkerError(words) from None

    async def _live_answer(self, **question: Any) -> Message:
        try:
            async with asyncio.timeout(LONGEST_LIVE_S):
                return await self._live.answer(folder=self._folder, **question)
        except (WorkerDiedError, TimeoutError):
            self._live.kill()
            if not self._is_stopped:
                self._live = Worker("live")
            raise WorkerDiedError from None

    async def _warm(self, texts: Texts, looms_mm: Mapping[str, float]) -> None:
        """Let the grounds be made ready that a drag will need."""
        with contextlib.suppress(WorkerDiedError, WorkerError):
            async with self._live_lock:
                await self._live_answer(what="warm", texts=_pair(texts), looms_mm=looms_mm)

    # whole plans

    async def plan(self, texts: Texts, revision: int, on_stage: OnStage) -> None:
        """Plan the files, and tell each stage as soon as it stands; a newer question stops this one.

        Parameters
        ----------
        texts : mapping of str to str or None
        revision : int
            Of the files; it is told with each stage.
        on_stage : callable
            Takes what GET /plan answers: `revision, stage, says, plan, no_way`. A plan that is no longer the
            newest tells nothing more.
        """
        self._newest_plan = mine = self._newest_plan + 1
        self._stop_planning(mine)
        async with self._plan_lock:
            if mine != self._newest_plan or self._is_stopped:
                return
            if texts["job"] is None:
                await self._tell(mine, on_stage, revision, _stage("none", "there is no job yet"))
                return
            self._planning = mine
            try:
                await self._plan(mine, texts, revision, on_stage)
            finally:
                self._planning = 0

    async def _plan(self, mine: int, texts: Texts, revision: int, on_stage: OnStage) -> None:
        await self._tell(mine, on_stage, revision, _stage("planning", "the ways are looked for"))
        if mine != self._newest_plan:
            return
        question = {"what": "plan", "folder": self._folder, "texts": _pair(texts)}
        try:
            async for stage in self._planner.ask(**question):
                await self._tell(mine, on_stage, revision, self._kept(texts, revision, stage))
        except WorkerError as error:
            await self._tell(mine, on_stage, revision, _stage("refused", f"it cannot be planned: {error}"))
        except WorkerDiedError:
            self._take_spare()
            words = DIED.format(does="plans", advice="change something, and it tries again")
            await self._tell(mine, on_stage, revision, _stage("refused", words))

    def _kept(self, texts: Texts, revision: int, stage: Message) -> Message:
        """Return a stage without what only the workers need, which is kept for them."""
        looms_mm, text = stage.pop("looms_mm", None), stage.pop("text", None)
        if text is not None:
            stage["plan"] = json.loads(text)
            self._known = replace(self._known, whole=(revision, text))
        if stage["plan"] is not None:
            ways = [[[each["x"], each["y"]] for each in run["points"]] for run in stage["plan"]["runs"]]
            self._known = replace(self._known, ways=ways, looms_mm=looms_mm)
        if stage["stage"] == "answer":
            self._warming = asyncio.create_task(self._warm(texts, looms_mm))
        return stage

    def _stop_planning(self, newer: int) -> None:
        """Call off what is planned now; what has not stopped in time is ended, and the spare takes over."""
        planner = self._planner
        if not self._planning:
            return

        later = asyncio.get_running_loop().call_later

        def end() -> None:
            if self._planner is planner and 0 < self._planning < newer:
                if planner.notices_stops:
                    planner.kill()
                else:
                    later(STOPS_WITHIN_S, end)

        planner.call_off()
        later(STOPS_WITHIN_S, end)

    def _take_spare(self) -> None:
        """Let the spare plan from now on, and start another; one that is drawing is left to it."""
        self._planner.kill()
        if self._is_stopped:
            return
        if self._draw_lock.locked():
            self._planner = Worker("plan")
        else:
            self._planner, self._spare = self._spare, Worker("plan")

    async def _tell(self, mine: int, on_stage: OnStage, revision: int, stage: Message) -> None:
        if mine == self._newest_plan and not self._is_stopped:
            told = on_stage({"revision": revision, **stage})
            if inspect.isawaitable(told):
                await told

    # files

    async def files(self, *, seen_from: str = "below", paper: str = "a4") -> dict[str, str] | None:
        """Return the files of the newest whole plan by name, drawn when first asked for; None: there is none.

        Parameters
        ----------
        seen_from, paper : str
            As the command `plan` takes them.

        Raises
        ------
        WorkerError
            They cannot be drawn.
        """
        async with self._draw_lock:
            if self._known.whole is None:
                return None
            revision, text = self._known.whole
            key = (revision, seen_from, paper)
            if key not in self._drawn:
                self._drawn = {each: held for each, held in self._drawn.items() if each[0] == revision}
                self._drawn[key] = await self._draw(plan=text, seen_from=seen_from, paper=paper)
            return self._drawn[key]

    async def _draw(self, **question: Any) -> dict[str, str]:
        try:
            async with asyncio.timeout(LONGEST_FILES_S):
                return await self._spare.answer(what="files", **question)
        except (WorkerDiedError, TimeoutError):
            self._spare.kill()
            if not self._is_stopped:
                self._spare = Worker("plan")
            raise WorkerError(DIED.format(does="draws", advice="ask again")) from None


def _pair(texts: Texts) -> list[str | None]:
    return [texts["profile"], texts["job"]]


def _stage(stage: str, says: str) -> Message:
    return {"stage": stage, "says": says, "plan": None, "no_way": None}
