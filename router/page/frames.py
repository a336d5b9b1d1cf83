"""How the server and its workers talk: frames of JSON on a pipe, each with its length before it."""

from __future__ import annotations

import asyncio
import json
import struct
from typing import Any, BinaryIO, TypeAlias

Message: TypeAlias = dict[str, Any]
_LENGTH = struct.Struct(">I")


def frame_of(message: Message) -> bytes:
    """Return a message as it goes through a pipe."""
    body = json.dumps(message, allow_nan=False).encode()
    return _LENGTH.pack(len(body)) + body


def read_message(pipe: BinaryIO) -> Message | None:
    """Return the next message of a pipe; None where the other side has closed it."""
    head = pipe.read(_LENGTH.size)
    if len(head) < _LENGTH.size:
        return None
    length = _LENGTH.unpack(head)[0]
    body = pipe.read(length)
    return json.loads(body) if len(body) == length else None


async def next_message(pipe: asyncio.StreamReader) -> Message:
    """Return the next message of a pipe; IncompleteReadError where the other side has closed it."""
    length = _LENGTH.unpack(await pipe.readexactly(_LENGTH.size))[0]
    message: Message = json.loads(await pipe.readexactly(length))
    return message
