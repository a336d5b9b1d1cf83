"""The plan of what is there now: asked anew after every change, the newest question alone."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Mapping
from typing import Any, Protocol, TypeAlias

from router.page.journal import Texts

Tell: TypeAlias = Callable[[str, Mapping[str, Any]], None]
PAUSE_S = 0.15
"""Between a change and its plan: who types or drags on is not planned for."""
NONE = {"stage": "none", "says": "", "plan": None, "no_way": None}


class Planning(Protocol):
    """Whoever plans."""

    async def plan(self, texts: Texts, revision: int, on_stage: Callable[[Mapping[str, Any]], None]) -> None:
        """Plan what two texts ask and tell each stage; a newer question silences an older one."""


class AskedPlans:
    """The newest plan, of whatever revision was asked last."""

    def __init__(self, planning: Planning, tell: Tell) -> None:
        self._planning = planning
        self._tell = tell
        self._tasks: set[asyncio.Task[None]] = set()
        self._asked: tuple[int, Texts] | None = None
        self.now: dict[str, Any] = {"revision": 0, **NONE}

    def ask(self, revision: int, texts: Texts) -> None:
        """Plan what is there now, unless the same texts were asked last."""
        before, self._asked = self._asked, (revision, texts)
        if before is None or before[1] != texts:
            task = asyncio.create_task(self._plan(revision, dict(texts)))
            self._tasks.add(task)
            task.add_done_callback(self._tasks.discard)
        elif before[0] != revision:
            self._take(self.now)

    def end(self) -> None:
        """Give up what is being planned."""
        for task in tuple(self._tasks):
            task.cancel()

    async def _plan(self, revision: int, texts: Texts) -> None:
        await asyncio.sleep(PAUSE_S)
        if self._asked is None or self._asked[1] != texts:
            return
        try:
            await self._planning.plan(texts, revision, self._take)
        except Exception as error:  # a fault of the program: said, and the page lives on
            words = f"this is a fault of the program, please report it: {type(error).__name__}: {error}"
            self._take({**NONE, "stage": "refused", "says": words})

    def _take(self, told: Mapping[str, Any]) -> None:
        """Keep a stage as the newest, and tell every page."""
        revision = self._asked[0] if self._asked else 0
        self.now = {**NONE, **told, "revision": revision}
        self._tell("plan", {"revision": revision, "stage": self.now["stage"]})
