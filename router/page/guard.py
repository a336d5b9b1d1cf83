"""Who may ask what: everything that is not the page itself, asking as it does, is refused at the door.

Any page in a browser can send requests to this machine, any program on it too. So the exact names of this
server are asked for (a name that was bent to this address is another one), the origin, what the browser says
of where a request comes from, and a token; bodies are JSON of a declared size and depth, counted as they
come.
"""

from __future__ import annotations

import asyncio
import hmac
import json
import re
from collections.abc import Awaitable, Callable, Mapping, MutableMapping
from dataclasses import dataclass
from typing import Any, TypeAlias
from urllib.parse import parse_qs

Scope: TypeAlias = MutableMapping[str, Any]
Message: TypeAlias = MutableMapping[str, Any]
Receive: TypeAlias = Callable[[], Awaitable[Message]]
Send: TypeAlias = Callable[[Message], Awaitable[None]]
App: TypeAlias = Callable[[Scope, Receive, Send], Awaitable[None]]

MOST_BODY = 2_200_000
"""Of a request: a whole file of 2 MB, and what is round it. [bytes]"""
MOST_HEADERS = 32_768
"""Of a request, its address with them. [bytes]"""
DEEPEST_JSON = 40
SLOWEST_BODY_S = 30.0
PAGE = "/"
STATIC = "/static/"
OPENED = (
    "/events",
    "/map.svg",
    "/circuit.svg",
    "/sheet.html",
    "/bill.csv",
    "/plan.json",
    "/measuring-sheet.html",
)
"""What a browser opens by itself, without headers of ours: their token is in the address."""
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'"
    "; frame-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
PAPER_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'self'"
)
"""Of drawings and sheets: no script at all; their own style is in them."""
HEADERS = {
    "Cache-Control": "no-store",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
}
_ODD_PATH = re.compile(rb"%|\\|//|/\.|[\x00-\x20\x7f-\xff]")
_ORDINARY = re.compile(r'"(?:[^"\\]|\\.)*"|[^\[\]{}"]+', re.DOTALL)


class GuardError(Exception):
    """A request that is refused: the status and one sentence."""

    def __init__(self, status: int, what: str, allow: str = "") -> None:
        super().__init__(what)
        self.status = status
        self.what = what
        self.allow = allow


@dataclass(frozen=True, slots=True)
class Guard:
    """Stands before an application; `tokens` has the token for each host, as `127.0.0.1:8000`."""

    app: App
    tokens: Mapping[str, str]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request in with its body read and counted, or answer why not."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            await send({"type": "websocket.close", "code": 1008})
            return
        send = _with_headers(send)
        try:
            headers = _headers(scope)
            scope["token"] = self._checked(scope, headers)
            body = await _body(scope, headers, receive)
        except GuardError as error:
            await _refuse(error, send)
            return
        await self.app(scope, _replayed(body, receive), send)

    def _checked(self, scope: Scope, headers: Mapping[str, str]) -> str:
        """Return the token of the host that is asked."""
        if _ODD_PATH.search(scope["raw_path"]):
            raise GuardError(404, "there is nothing here")
        host = headers.get("host", "")
        if host not in self.tokens:
            raise GuardError(421, "this server has another name; open the address that it printed")
        if headers.get("origin", f"http://{host}") != f"http://{host}":
            raise GuardError(403, "another page may not ask here")
        if headers.get("sec-fetch-site", "same-origin") not in _sites(scope):
            raise GuardError(403, "another page may not ask here")
        token = self.tokens[host]
        if not scope["path"].startswith(STATIC) and not _same(_given(scope, headers), token):
            raise GuardError(403, "the token is missing or wrong; open the address that the server printed")
        return token


def _sites(scope: Scope) -> tuple[str, ...]:
    """Return where a request may come from as browsers say it: `none` is an address that somebody typed."""
    is_opened = scope["method"] == "GET" and scope["path"] in (PAGE, *OPENED)
    return ("same-origin", "none") if is_opened else ("same-origin",)


def _given(scope: Scope, headers: Mapping[str, str]) -> str:
    """Return the token that came with a request: in its address only where a browser cannot send a header."""
    if "x-sketch-token" in headers or scope["path"] not in (PAGE, *OPENED):
        return headers.get("x-sketch-token", "")
    try:
        fields: dict[str, list[str]] = parse_qs(scope["query_string"].decode("ascii"), max_num_fields=20)
    except ValueError:
        return ""
    return fields.get("token", [""])[0]


def _same(given: str, token: str) -> bool:
    """Return whether two tokens are alike, taking as long for one that is nearly right."""
    return hmac.compare_digest(given.encode("utf-8", "replace"), token.encode())


def _headers(scope: Scope) -> dict[str, str]:
    """Return the headers by name in small letters; one that decides something may not come twice."""
    size = sum(len(name) + len(value) for name, value in scope["headers"])
    if size + len(scope["raw_path"]) + len(scope["query_string"]) > MOST_HEADERS:
        raise GuardError(431, f"what comes before a body has at most {MOST_HEADERS} bytes")
    headers: dict[str, str] = {}
    for raw, value in scope["headers"]:
        name = raw.decode("latin-1").lower()
        if name in headers and name in (
            "host",
            "origin",
            "sec-fetch-site",
            "x-sketch-token",
            "content-length",
        ):
            raise GuardError(400, f"the header {name} comes twice")
        headers[name] = value.decode("latin-1")
    return headers


async def _body(scope: Scope, headers: Mapping[str, str], receive: Receive) -> bytes:
    """Return the body of a request, read whole."""
    if "transfer-encoding" in headers:
        raise GuardError(411, "a body must say how long it is")
    declared = _declared(headers.get("content-length", ""))
    if scope["method"] == "GET":
        if declared:
            raise GuardError(400, "a GET has no body")
        return b""
    if scope["method"] != "POST":
        raise GuardError(405, "only GET and POST are answered here", "GET, POST")
    if "content-length" not in headers:
        raise GuardError(411, "a body must say how long it is")
    if headers.get("content-type", "").lower().replace(" ", "") not in (
        "application/json",
        "application/json;charset=utf-8",
    ):
        raise GuardError(415, "only JSON is read here")
    if declared > MOST_BODY:
        raise GuardError(413, f"a body has at most {MOST_BODY} bytes")
    try:
        body = await asyncio.wait_for(_counted(receive, declared), SLOWEST_BODY_S)
    except TimeoutError:
        raise GuardError(408, "the body took too long") from None
    if is_deep(body):
        raise GuardError(400, f"the body is nested deeper than {DEEPEST_JSON}")
    return body


def _declared(words: str) -> int:
    if words and not re.fullmatch(r"[0-9]{1,12}", words):
        raise GuardError(400, "the content-length is no number")
    return int(words or 0)


async def _counted(receive: Receive, declared: int) -> bytes:
    body = bytearray()
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            raise GuardError(400, "the body was cut off")
        body += message.get("body", b"")
        if len(body) > declared:
            raise GuardError(413, "the body is longer than it says")
        if not message.get("more_body"):
            return bytes(body)


def is_deep(body: bytes) -> bool:
    """Return whether JSON is nested too deep to be read; brackets in its texts do not count."""
    depth = 0
    for sign in _ORDINARY.sub("", body.decode("utf-8", "replace")):
        depth += {"[": 1, "{": 1, "]": -1, "}": -1}.get(sign, 0)
        if depth > DEEPEST_JSON:
            return True
    return False


def read_json(body: bytes) -> dict[str, Any]:
    """Return the mapping that a body holds; `GuardError` for anything else."""
    try:
        data = json.loads(body.decode("utf-8"), parse_constant=_no_constant)
    except (ValueError, RecursionError):
        raise GuardError(400, "the body is no JSON") from None
    if not isinstance(data, dict):
        raise GuardError(400, "the body is no JSON object")
    return data


def _no_constant(name: str) -> None:
    raise ValueError(name)  # NaN and Infinity are no JSON


def _replayed(body: bytes, receive: Receive) -> Receive:
    """Return a receiver that hands over a body that has been read, then what comes after it."""
    left = [body]

    async def again() -> Message:
        if left:
            return {"type": "http.request", "body": left.pop(), "more_body": False}
        return await receive()

    return again


def _with_headers(send: Send) -> Send:
    """Return a sender that adds to every answer what a browser must keep to."""

    async def add(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = list(message.get("headers", ()))
            given = {name.lower() for name, _ in headers}
            for name, value in {"Content-Security-Policy": POLICY, **HEADERS}.items():
                if name.lower().encode() not in given:
                    headers.append((name.lower().encode(), value.encode()))
            message = {**message, "headers": headers}
        await send(message)

    return add


async def _refuse(error: GuardError, send: Send) -> None:
    body = json.dumps({"what": error.what}).encode()
    headers = [(b"content-type", b"application/json"), (b"content-length", str(len(body)).encode())]
    headers += [(b"connection", b"close"), *([(b"allow", error.allow.encode())] if error.allow else [])]
    await send({"type": "http.response.start", "status": error.status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
