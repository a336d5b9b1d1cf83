"""The page's server: routes, and nothing that takes long; planning and reading are done by workers."""

from __future__ import annotations

import asyncio
import contextlib
import json
from collections.abc import AsyncIterator, Awaitable, Callable, Mapping
from pathlib import Path
from typing import Any, Protocol

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse
from starlette.routing import Route

from router.page.asked_plans import AskedPlans, Planning
from router.page.edits import RefusedError, refused
from router.page.guard import PAPER_POLICY, Guard, GuardError, read_json
from router.page.journal import Texts
from router.page.session import Session, StaleError
from router.page.streams_out import Streams

STATIC_FOLDER = Path(__file__).parent / "static"
MEDIA = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".csv": "text/csv; charset=utf-8",
    ".json": "application/json",
    ".png": "image/png",
}
PLAN_FILES = ("map.svg", "circuit.svg", "sheet.html", "bill.csv", "plan.json")
LOOK_S = 1.0
"""How often the files are looked at for what other programs do to them."""
AFTER_S, PATIENCE_S = 0.02, 0.5
"""How long workers wait after the page was asked for, and for that, so that they do not take its time."""
_TOKEN = b'<meta name="sketch-token" content="'
_UNREAD: Mapping[str, Any] = {"data": {"profile": None, "job": None}, "shapes": [], "faults": [], "tasks": []}
_FAULT = {"file": "profile", "path": [], "line": 1, "column": 1, "where": "", "cure": "", "severity": "fault"}


class Workers(Planning, Protocol):
    """Whoever reads, plans, draws and fits beside the server, in processes of its own."""

    async def start(self) -> None:
        """Begin, without waiting for anything."""

    async def stop(self) -> None:
        """End every process."""

    async def state(self, texts: Texts) -> dict[str, Any]:
        """Return data, shapes, faults and tasks of two texts."""

    async def way(self, texts: Texts, request: dict[str, Any]) -> dict[str, Any]:
        """Return the routes while something is dragged."""

    async def files(self, *, seen_from: str, paper: str) -> Mapping[str, str] | None:
        """Return the files of the newest whole plan by name; None where there is none."""

    async def fitted(self) -> list[dict[str, Any]]:
        """Return what people fit."""

    async def fit(self, texts: Texts, request: dict[str, Any]) -> dict[str, Any]:
        """Return `text`, the job with something more in it, or `faults`."""


class Measuring(Protocol):
    """Whoever knows types of vehicles and lengths as people write them; what it is asked takes a moment."""

    def types(self) -> list[dict[str, Any]]:
        """Return the types of vehicles."""

    def library(self) -> list[dict[str, Any]]:
        """Return the profiles that one may begin with a copy of."""

    def made(self, request: dict[str, Any]) -> dict[str, Any]:
        """Return `text`, a profile made of a type and answers or copied from the library, or `faults`."""

    def tape(self, request: dict[str, Any]) -> dict[str, Any]:
        """Return `mm` and `says` of a length, or `what` is wrong with it."""

    def sheet(self, *, paper: str, unit: str) -> str:
        """Return the sheet to measure by, filled in with what the profile holds, as a page."""


class PageServer:
    """One folder's page: what every route shares."""

    def __init__(
        self, session: Session, workers: Workers, measuring: Measuring, static: Path = STATIC_FOLDER
    ) -> None:
        self.session = session
        self.workers = workers
        self.measuring = measuring
        self.streams = Streams()
        self.plans = AskedPlans(workers, self.streams.tell)
        self._static = {
            path.relative_to(static).as_posix(): path for path in static.rglob("*") if path.suffix in MEDIA
        }
        self._asked, self._begun = asyncio.Event(), asyncio.Event()
        """Whether the page was asked for; whether the workers have begun."""
        self._read: tuple[Texts, asyncio.Task[dict[str, Any]]] | None = None

    def app(self, tokens: Mapping[str, str]) -> Guard:
        """Return the application, guarded; `tokens` has the token for each host that it is asked by."""
        gets = {
            "/": self._page,
            "/static/{name:path}": self._file,
            "/state": self._state,
            "/events": self._events,
            "/plan": self._plan,
            "/types": self._types,
            "/library": self._library,
            "/fit": self._fitted,
            "/measuring-sheet.html": self._measuring_sheet,
            **{f"/{name}": self._plan_file for name in PLAN_FILES},
        }
        posts = {
            "/edit": self._command(
                lambda body: self.session.edit(*_held(body, "revision", "group", "edits"))
            ),
            "/undo": self._command(lambda body: self.session.undo(*_held(body, "revision"))),
            "/redo": self._command(lambda body: self.session.redo(*_held(body, "revision"))),
            "/outside": self._command(lambda body: self.session.answer(*_held(body, "file", "keep"))),
            "/start": self._made("profile", self._start),
            "/fit": self._made("job", self._fit),
            "/way": self._posted(self._way),
            "/tape": self._posted(self._tape),
        }
        routes = [
            Route(path, _one(gets.get(path), posts.get(path)), methods=["GET", "POST"])
            for path in dict.fromkeys((*gets, *posts))
        ]
        return Guard(Starlette(routes=routes, exception_handlers={404: _nothing}), tokens)

    @contextlib.asynccontextmanager
    async def running(self) -> AsyncIterator[None]:
        """Let the workers begin, watch the files, and end all of it."""
        tasks = [asyncio.create_task(each) for each in (self._begin(), self._watch())]
        try:
            yield
        finally:
            for task in tasks:
                task.cancel()
            self.plans.end()
            if self._begun.is_set():
                await self.workers.stop()

    async def _begin(self) -> None:
        """Start the workers once the page is served, or nobody has asked for it for a moment."""
        with contextlib.suppress(TimeoutError):
            await asyncio.wait_for(self._asked.wait(), PATIENCE_S)
        await self.workers.start()
        self._begun.set()

    async def _ready(self) -> Workers:
        """Return the workers once they have begun."""
        self._asked.set()
        await self._begun.wait()
        return self.workers

    async def _watch(self) -> None:
        while True:
            await asyncio.sleep(LOOK_S)
            if self.session.look(is_quick=True):
                self._tell_outside()

    def _tell_outside(self) -> None:
        outside = self.session.outside
        self.streams.tell("outside", {"file": outside.file if outside else None})

    # what is there

    async def state(self) -> dict[str, Any]:
        """Return the state: what is in the folder, and what the workers read in it."""
        summary, texts = self.session.summary(), self.session.texts
        read = await self._read_texts(self.session.read_texts)
        self.plans.ask(self.session.revision, self.session.read_texts)
        data = read["data"]
        files = {
            "profile": _file_data(texts["profile"], data["profile"], "profile", "unit"),
            "job": _file_data(texts["job"], data["job"], "job"),
        }
        return {**summary, "files": files, **read}

    async def _read_texts(self, texts: Texts) -> dict[str, Any]:
        """Return what the workers read in some texts; asked by several, they read once."""
        if self._read is None or self._read[0] != texts:
            self._read = (texts, asyncio.create_task(self._ask_workers(texts)))
        return await asyncio.shield(self._read[1])

    async def _ask_workers(self, texts: Texts) -> dict[str, Any]:
        try:
            return await (await self._ready()).state(texts)
        except Exception as error:  # a fault of the program: said, and the files can still be edited
            what = f"this is a fault of the program, please report it: {type(error).__name__}: {error}"
            fault = {
                "file": "profile",
                "path": [],
                "line": 1,
                "column": 1,
                "where": "",
                "what": what,
                "cure": "",
            }
            self._read = None
            return {**_UNREAD, "faults": [{**fault, "severity": "fault"}]}

    async def _state(self, _: Request) -> Response:
        return _json(await self.state())

    async def _page(self, request: Request) -> Response:
        page = self._static.get("index.html")
        if page is None:
            return _json({"what": "the page is not in this installation; install it again"}, 500)
        html = page.read_bytes().replace(_TOKEN, _TOKEN + request.scope["token"].encode(), 1)
        asyncio.get_running_loop().call_later(AFTER_S, self._asked.set)
        return Response(html, media_type=MEDIA[".html"])

    async def _file(self, request: Request) -> Response:
        """Answer a file of the page: one of those that were there at the start, by its whole name."""
        path = self._static.get(request.path_params["name"])
        if path is None:
            return _json({"what": "there is no such file"}, 404)
        return Response(path.read_bytes(), media_type=MEDIA[path.suffix])

    async def _events(self, _: Request) -> Response:
        if self.streams.is_full:
            return _json({"what": "too many pages are open; close some"}, 503)
        plan, outside = self.plans.now, self.session.outside
        now: dict[str, dict[str, Any]] = {
            "state": {"revision": self.session.revision},
            "plan": {"revision": plan["revision"], "stage": plan["stage"]},
        }
        if outside:
            now["outside"] = {"file": outside.file}
        return StreamingResponse(self.streams.lines(now), media_type="text/event-stream")

    async def _plan(self, _: Request) -> Response:
        return _json(self.plans.now)

    async def _plan_file(self, request: Request) -> Response:
        asked = _choices(request, seen_from=("below", "above"), paper=("a4", "a3", "letter", "tabloid"))
        files = await (await self._ready()).files(**asked)
        if files is None:
            return _json({"what": "there is no whole plan yet"}, 404)
        return _paper(request.url.path.removeprefix("/"), files)

    async def _types(self, _: Request) -> Response:
        return _json(await asyncio.to_thread(self.measuring.types))

    async def _library(self, _: Request) -> Response:
        return _json(await asyncio.to_thread(self.measuring.library))

    async def _fitted(self, _: Request) -> Response:
        return _json(await (await self._ready()).fitted())

    async def _measuring_sheet(self, request: Request) -> Response:
        asked = _choices(request, paper=("a4", "letter"), unit=("mm", "in"))
        page = await asyncio.to_thread(self.measuring.sheet, **asked)
        return _paper("measuring-sheet.html", {"measuring-sheet.html": page})

    # what is done

    def _command(self, act: Callable[[dict[str, Any]], None]) -> _Act:
        async def run(body: dict[str, Any]) -> Response:
            before, asked = self.session.revision, self.session.outside
            try:
                act(body)
            except StaleError:
                if self.session.outside != asked:
                    self._tell_outside()
                return _json({"revision": self.session.revision, "state": await self.state()}, 409)
            if self.session.outside != asked:
                self._tell_outside()
            if self.session.revision != before:
                self.streams.tell("state", {"revision": self.session.revision})
            return _json(await self.state())

        return self._posted(run)

    def _made(self, file: str, make: Callable[[dict[str, Any]], Awaitable[dict[str, Any]]]) -> _Act:
        """Return what puts a text made by a worker in place of a file's."""

        async def run(body: dict[str, Any]) -> Response:
            revision = body.get("revision")
            if type(revision) is not int:
                raise refused("revision is no whole number")
            if revision != self.session.revision:
                return _json({"revision": self.session.revision, "state": await self.state()}, 409)
            made = await make(body)
            if "text" not in made:
                raise RefusedError(made["faults"])
            edit = {"file": file, "op": "text", "value": made["text"]}
            command = self._command(lambda _: self.session.edit(revision, None, [edit]))
            return await command.run(body)

        return self._posted(run)

    async def _start(self, body: dict[str, Any]) -> dict[str, Any]:
        return await asyncio.to_thread(self.measuring.made, body)

    async def _fit(self, body: dict[str, Any]) -> dict[str, Any]:
        return await (await self._ready()).fit(self.session.read_texts, body)

    async def _way(self, body: dict[str, Any]) -> Response:
        return _json(await (await self._ready()).way(self.session.read_texts, body))

    async def _tape(self, body: dict[str, Any]) -> Response:
        read = await asyncio.to_thread(self.measuring.tape, body)
        return _json(read, 200 if "mm" in read else 422)

    def _posted(self, run: Callable[[dict[str, Any]], Awaitable[Response]]) -> _Act:
        return _Act(run)


class _Act:
    """Answers a POST: its body as a mapping in."""

    def __init__(self, run: Callable[[dict[str, Any]], Awaitable[Response]]) -> None:
        self.run = run

    async def __call__(self, request: Request) -> Response:
        return await self.run(read_json(await request.body()))


def _one(get: Any, post: Any) -> Callable[[Request], Awaitable[Response]]:
    """Return what answers a path by the method."""

    async def answer(request: Request) -> Response:
        act = get if request.method == "GET" else post
        if act is None:
            allowed = "POST" if get is None else "GET"
            return _json({"what": f"only {allowed} is answered here"}, 405, {"Allow": allowed})
        try:
            response: Response = await act(request)
        except GuardError as error:
            return _json({"what": error.what}, error.status)
        except RefusedError as error:
            return _json({"faults": error.faults, "what": str(error)}, 422)
        except OSError as error:
            return _json({"what": f"the change could not be saved: {error}"}, 507)
        except Exception as error:  # the last resort: a line, and the server lives on
            return _json({"what": _own_fault(error)}, 500)
        return response

    return answer


async def _nothing(_: Request, __: Exception) -> Response:
    return _json({"what": "there is nothing here"}, 404)


def _own_fault(error: Exception) -> str:
    return f"this is a fault of the program, please report it: {type(error).__name__}: {error}"


def _choices(request: Request, **known: tuple[str, ...]) -> dict[str, str]:
    """Return what an address asks for by name, the first known where it says nothing."""
    asked = {name: request.query_params.get(name, words[0]) for name, words in known.items()}
    for name, word in asked.items():
        if word not in known[name]:
            raise refused(f"{name} is one of {', '.join(known[name])}")
    return asked


def _paper(name: str, files: Mapping[str, str]) -> Response:
    """Return a drawing, a sheet or a table, with the policy of what holds no script."""
    media = MEDIA[Path(name).suffix]
    return Response(files[name].encode(), media_type=media, headers={"Content-Security-Policy": PAPER_POLICY})


def _held(body: Mapping[str, Any], *keys: str) -> list[Any]:
    return [body.get(key) for key in keys]


def _file_data(text: str | None, data: Any, name_key: str, *more: str) -> dict[str, Any]:
    held = data if isinstance(data, dict) else {}
    found = {"there": text is not None, "name": held.get(name_key), "text": text}
    return found | {key: held.get(key) for key in more}


def _json(data: Any, status: int = 200, headers: Mapping[str, str] | None = None) -> Response:
    """Return an answer in JSON, in ASCII: halves of characters and all."""
    content = json.dumps(data, ensure_ascii=True, allow_nan=False, separators=(",", ":")).encode()
    return Response(content, status, headers, media_type="application/json")
