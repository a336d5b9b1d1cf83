"""A page's server whose workers do next to nothing, in a process of its own, to be asked over a real socket.

`python page_stand_in.py FOLDER [PORT]` prints its address and serves until a stop.
"""

from __future__ import annotations

import asyncio
import http.client
import json
import signal
import subprocess
import sys
import time
from pathlib import Path

import yaml

ROOT = Path(__file__).parents[2]
INDEX = '<!doctype html><meta name="sketch-token" content=""><script src="/static/main.js"></script>'
DRAWN = {
    "map.svg": "<svg xmlns='http://www.w3.org/2000/svg'/>",
    "sheet.html": "<p>sheet",
    "bill.csv": "item\r\n",
}


class StandIn:
    """Reads YAML as PyYAML does, all of it as text, and has one plan for everything."""

    def __init__(self):
        self.newest, self.drawn = 0, None

    async def start(self):
        pass

    async def stop(self):
        pass

    async def state(self, texts):
        if texts["profile"] == "fail: now\n":
            raise RuntimeError("the worker is gone")
        return {
            "data": {file: _read(text) for file, text in texts.items()},
            "shapes": [],
            "faults": [],
            "tasks": [],
        }

    async def plan(self, texts, revision, on_stage):
        self.newest = revision
        stage = {"revision": revision, "says": "", "plan": {"job": texts["job"]}, "no_way": None}
        on_stage({**stage, "stage": "answer"})
        await asyncio.sleep(0.01)
        if self.newest == revision:
            on_stage({**stage, "stage": "proof"})
            self.drawn = DRAWN

    async def files(self, *, seen_from, paper):
        return self.drawn

    async def way(self, texts, request):
        return {"number": request.get("number"), "routes": [], "no_way": None}

    async def fit(self, texts, request):
        return (
            {"text": f"job: {request['key']}\n"} if request.get("key") else {"faults": [{"what": "no key"}]}
        )

    async def fitted(self):
        return [{"key": "lamp"}]


class Measured:
    """Knows one type, and one length."""

    def types(self):
        return [{"key": "van"}]

    def library(self):
        return [{"key": "wren", "name": "Wren"}]

    def made(self, request):
        if not request.get("type"):
            return {"faults": [{"name": "type", "what": "there is no such type"}]}
        return {"text": f"profile: {request['name']}\n"}

    def tape(self, request):
        return (
            {"mm": 1650.0, "says": "1650 mm"} if request.get("text") == "1650" else {"what": "is no length"}
        )

    def sheet(self, *, paper, unit):
        return f"<p>{paper} {unit}"


def _read(text):
    try:
        return yaml.load(text, Loader=yaml.CBaseLoader) if text else None
    except yaml.YAMLError:
        return None


class Asked:
    """A running server and how it is asked."""

    def __init__(self, folder, *words, command=None, cwd=ROOT):
        self.folder = Path(folder)
        words = [*(command or [sys.executable, __file__]), str(folder), *words]
        self.process = subprocess.Popen(
            words,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            cwd=cwd,
            text=True,
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509 - else a job in the background ignores it
        )
        self.url = self.process.stdout.readline().strip()
        host, _, self.token = self.url.removeprefix("http://").partition("/?token=")
        self.name, _, port = host.partition(":")
        self.port = int(port or 0)
        self.host = host

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.kill()

    def kill(self):
        """End it as nothing can be held against, with what it had not yet done."""
        self.process.kill()
        self.process.communicate(timeout=10)

    def ask(self, method, path, body=None, headers=None, own=True):
        """Return the status, the headers and the content of an answer; `own`: with those of the page."""
        connection = http.client.HTTPConnection(self.name, self.port, timeout=60)
        given = {"X-Sketch-Token": self.token} if own else {}
        if body is not None and own:
            given["Content-Type"] = "application/json"
        content = body if body is None or isinstance(body, bytes) else json.dumps(body).encode()
        try:
            connection.request(method, path, content, {**given, **(headers or {})})
            answer = connection.getresponse()
            return answer.status, answer.headers, answer.read()
        finally:
            connection.close()

    def json(self, method, path, body=None):
        """Return the status and what an answer holds."""
        status, _, content = self.ask(method, path, body)
        return status, json.loads(content)

    def state(self):
        """Return the state."""
        status, state = self.json("GET", "/state")
        assert status == 200, state
        return state

    def edit(self, revision, *edits, group=None):
        """Return the answer to some edits."""
        return self.json("POST", "/edit", {"revision": revision, "group": group, "edits": list(edits)})

    def until(self, is_so, within_s=5.0):
        """Return the first answer of `is_so` that is true of the state."""
        end = time.monotonic() + within_s
        while time.monotonic() < end:
            if found := is_so():
                return found
            time.sleep(0.02)
        raise AssertionError("it did not come about in time")


def set_to(path, value, file="profile"):
    """Return an edit that sets a value."""
    return {"file": file, "op": "set", "path": path, "value": value}


def main(folder, port="0"):
    """Serve a folder until a stop."""
    from router.page.addresses import open_address
    from router.page.server import PageServer
    from router.page.serving import serve_page
    from router.page.session import Session

    static = Path(folder).parent / "static of the stand-in"
    static.mkdir(exist_ok=True)
    (static / "index.html").write_text(INDEX)
    (static / "main.js").write_text("export {};\n")
    session = Session(Path(folder))
    address = open_address("127.0.0.1", int(port))
    print(address.url, flush=True)
    serve_page(PageServer(session, StandIn(), Measured(), static), [address])
    session.close()


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    main(*sys.argv[1:])
