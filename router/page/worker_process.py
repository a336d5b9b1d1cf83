"""A worker of the page's server: takes questions from its pipe, and ends by itself when that is closed.

Started as `python -P -m router.page.worker_process WORK`. A thread of its own reads the pipe, so that the end
of the server, however it comes, ends the worker in the middle of a plan too.
"""

from __future__ import annotations

import os
import queue
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import BinaryIO, Protocol

from router.page.frames import Message, frame_of, read_message

NICER = 5
"""Whole plans and drawings stand back behind whatever answers a finger."""
AUTOGROUP = Path("/proc/self/autogroup")
"""Linux shares processors out by session first: niceness counts inside of one, and each worker has one."""
MOST_TRIES = 10


class Work(Protocol):
    """What a worker does."""

    def answers(self, message: Message, should_stop: Callable[[], bool]) -> Iterator[Message]:
        """Yield what there is to say to a question; the last is the end of the answer."""

    def idle(self) -> bool:
        """Return whether something was done that will be asked for soon; nobody waits for an answer now."""


class Inbox:
    """The questions that wait, and whether the one that is being answered is wanted still."""

    def __init__(self, pipe: BinaryIO) -> None:
        self._pipe = pipe
        self._waiting: queue.SimpleQueue[Message] = queue.SimpleQueue()
        self._stopped = -1
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        while (message := read_message(self._pipe)) is not None:
            if "stop" in message:
                self._stopped = message["stop"]
            else:
                self._waiting.put(message)
        os._exit(0)  # the server is gone: nobody is there to hear of whatever is being done

    def take(self) -> Message:
        """Return the next question, as soon as there is one."""
        return self._waiting.get()

    @property
    def is_empty(self) -> bool:
        """Return whether no question waits."""
        return self._waiting.empty()

    def is_stopped(self, number: int) -> bool:
        """Return whether nobody wants the answer to a question any more."""
        return self._stopped >= number


def serve(work: Work, inbox: Inbox, out: BinaryIO) -> None:
    """Answer question after question, for ever; what goes wrong unforeseen is answered in one line."""
    send(out, {"ready": True})
    while True:
        while inbox.is_empty and work.idle():
            pass
        message = inbox.take()
        number = message["number"]
        try:
            for answer in work.answers(message, lambda number=number: inbox.is_stopped(number)):  # type: ignore[misc]
                send(out, {"number": number, "answer": answer})
            send(out, {"number": number, "end": True})
        except Exception as error:
            send(out, {"number": number, "end": True, "broken": f"{type(error).__name__}: {error}"})


def send(out: BinaryIO, message: Message) -> None:
    """Hand a message over at once."""
    out.write(frame_of(message))
    out.flush()


def main() -> None:
    """Work until the pipe is closed; what is printed by mistake goes to stderr, not into the pipe."""
    out = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    inbox = Inbox(sys.stdin.buffer)
    serve(_work(sys.argv[1]), inbox, out)


def _work(name: str) -> Work:
    """Return the work of a name, all that it needs read in; imported here, as the other's is not needed."""
    if name == "live":
        from router.page.live_work import LiveWork  # noqa: PLC0415

        return LiveWork()
    from router.page.plan_work import PlanWork  # noqa: PLC0415

    stand_back()
    return PlanWork()


def stand_back() -> None:
    """Let whatever else there is to do go before this process, inside of its session and beside others."""
    if hasattr(os, "nice"):
        os.nice(NICER)
    for _ in range(MOST_TRIES):
        try:
            AUTOGROUP.write_text(f"{NICER}", encoding="ascii")
        except BlockingIOError:  # one such change in a tenth of a second, of all that are made
            time.sleep(0.1)
            continue
        except OSError:  # the system does not group by session
            pass
        return


if __name__ == "__main__":
    main()
