"""What every open page is told as it happens: server-sent events, one queue for each page."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Mapping
from typing import Any

BEAT_S = 15.0
"""After how long without news a line is sent all the same, so that a page that is gone is noticed."""
MOST_WAITING = 200
MOST_PAGES = 24


class Streams:
    """All open pages."""

    def __init__(self) -> None:
        self._queues: set[asyncio.Queue[bytes | None]] = set()

    @property
    def is_full(self) -> bool:
        """Return whether no further page can be told anything."""
        return len(self._queues) >= MOST_PAGES

    def tell(self, event: str, data: Mapping[str, Any]) -> None:
        """Tell every page; one that has not listened for long is let go, and asks anew."""
        line = _line(event, data)
        for queue in tuple(self._queues):
            if queue.qsize() < MOST_WAITING:
                queue.put_nowait(line)
            else:
                self._queues.discard(queue)
                queue.put_nowait(None)

    def end(self) -> None:
        """Say goodbye to every page."""
        self.tell("bye", {})
        for queue in self._queues:
            queue.put_nowait(None)

    async def lines(self, now: Mapping[str, Mapping[str, Any]]) -> AsyncIterator[bytes]:
        """Yield what one page is told, until the end; first what is so now, by event."""
        queue: asyncio.Queue[bytes | None] = asyncio.Queue()
        self._queues.add(queue)
        try:
            for event, data in now.items():
                yield _line(event, data)
            while True:
                try:
                    line = await asyncio.wait_for(queue.get(), BEAT_S)
                except TimeoutError:
                    line = b": still here\n\n"
                if line is None:
                    return
                yield line
        finally:
            self._queues.discard(queue)


def _line(event: str, data: Mapping[str, Any]) -> bytes:
    return f"event: {event}\ndata: {json.dumps(data)}\n\n".encode()
