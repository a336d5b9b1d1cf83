"""Sockets, addresses and the end: how a page is served on this machine, and to a phone beside it."""

from __future__ import annotations

import asyncio
import os
import signal
from asyncio import FIRST_COMPLETED
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import uvicorn

from router.page.addresses import Address
from router.page.guard import MOST_HEADERS
from router.page.server import PageServer
from router.signals import STOPS, code_of

FAREWELL_S = 0.2
"""How long pages have to hear that the server ends."""
MOST_CONNECTIONS = 100


def serve_page(page: PageServer, addresses: Sequence[Address]) -> None:
    """Answer at some addresses until a stop, then end every worker."""
    asyncio.run(_served(page, addresses))


async def _served(page: PageServer, addresses: Sequence[Address]) -> None:
    names = {address.host: address.token for address in addresses}
    config = uvicorn.Config(
        page.app(names),
        loop="asyncio",
        http="h11",
        ws="none",
        lifespan="off",
        log_config=None,
        access_log=False,
        server_header=False,
        proxy_headers=False,
        limit_concurrency=MOST_CONNECTIONS,
        h11_max_incomplete_event_size=MOST_HEADERS,
        timeout_graceful_shutdown=1,
    )
    server = _Server(config)
    ended = asyncio.Event()
    with _stops(asyncio.get_running_loop(), ended):
        async with page.running():
            serving = asyncio.create_task(server.serve(sockets=[address.socket for address in addresses]))
            await asyncio.wait({serving, asyncio.create_task(ended.wait())}, return_when=FIRST_COMPLETED)
            page.streams.end()
            server.should_exit = True
            await asyncio.wait({serving}, timeout=FAREWELL_S)
            server.force_exit = True
            await serving


class _Server(uvicorn.Server):
    """Leaves stops to whoever runs it."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Yield, and change no handler."""
        yield


@contextmanager
def _stops(loop: asyncio.AbstractEventLoop, ended: asyncio.Event) -> Iterator[None]:
    """Let a stop end the server and not the process, its workers too; a second ends all at once."""
    before = {number: signal.getsignal(number) for number in STOPS}
    ours = [number for number, other in before.items() if other is not signal.SIG_IGN]

    def stop(number: int, _frame: Any) -> None:
        if ended.is_set():
            os._exit(code_of(number))
        loop.call_soon_threadsafe(ended.set)

    for number in ours:
        signal.signal(number, stop)
    try:
        yield
    finally:
        for number in ours:
            signal.signal(number, before[number])
