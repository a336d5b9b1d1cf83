"""The page of `underbody sketch` in a real browser: headless Chromium, driven by Playwright (playwright.dev).

Skipped with a reason where either is missing; with BROWSER_CHECKS=required set, that fails.
"""

from __future__ import annotations

import importlib.util
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from browsing import AXE, CHROMIUM

ROOT = Path(__file__).parents[2]
SCREENS = {"wide": (1400, 900), "tablet": (820, 1180), "phone": (390, 844), "phone on its side": (844, 390)}
TOUCH_PX = 48
_HERE = {"127.0.0.1", ""}
"""Hosts that may be asked; no host at all are data and blobs of the page itself."""
_NEEDED = {
    "chromium": CHROMIUM is not None,
    "playwright": importlib.util.find_spec("playwright") is not None,
    "axe-core": AXE.exists(),
}
missing = [name for name, is_there in _NEEDED.items() if not is_there]
in_a_sketch = pytest.mark.skipif(
    bool(missing) and os.environ.get("BROWSER_CHECKS") != "required",
    reason=f"not there: {', '.join(missing)}; DEVELOPERS.md says how to install what pages are judged with",
)


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """Give the address of the page for a folder; ended with it."""
    command = [sys.executable, "-m", "router", "sketch", str(folder), "--port", "0", "--no-open"]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=folder, env=environment) as server:
        assert server.stdout is not None
        try:
            found = re.search(r"http://\S+", server.stdout.readline())
            assert found, "the first line is not the address of the page"
            yield found.group()
        finally:
            server.terminate()
            server.wait(timeout=60)


@dataclass
class Watched:
    """A page of a browser, all that it asked for, and all that went wrong in it."""

    page: Any
    asked: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    typed: list[str] = field(default_factory=list)

    def watch(self) -> None:
        """Write down every request, every error, every dialogue that a script opens."""
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.on("pageerror", lambda error: self.wrong.append(f"error: {error}"))
        self.page.on("dialog", self._refuse)
        self.page.on("console", lambda said: self.wrong.append(said.text) if said.type == "error" else None)

    def _refuse(self, dialog: Any) -> None:
        self.wrong.append(f"a script opened a dialogue: {dialog.message}")
        dialog.dismiss()

    def strangers(self) -> list[str]:
        """Return what was asked of any other machine."""
        return [url for url in self.asked if urlsplit(url).hostname not in (*_HERE, None)]

    def type(self, field_: Any, text: str) -> None:
        """Type into a field as a person does, and count it."""
        field_.fill(text)
        field_.press("Tab")
        self.typed.append(text)

    def typed_numbers(self) -> int:
        """Return how many numbers were typed: one for each run of digits."""
        return sum(len(re.findall(r"\d+(?:[.,]\d+)?", text)) for text in self.typed)

    def judged(self) -> list[tuple[str, list[str]]]:
        """Return what axe-core finds in the page as it stands."""
        if not self.page.evaluate("'axe' in window"):
            self.page.evaluate(AXE.read_text(encoding="utf-8"))
        found = self.page.evaluate("axe.run()")["violations"]
        return [(each["id"], [node["html"] for node in each["nodes"]]) for each in found]

    def too_small(self) -> list[str]:
        """Return what is to be touched and is lower than a finger needs."""
        return self.page.evaluate(
            """least => [...document.querySelectorAll("button, a, select, summary, input:not([type])")]
            .filter(each => each.offsetParent && each.getBoundingClientRect().height < least - 0.5)
            .map(each => each.outerHTML.slice(0, 150))""",
            TOUCH_PX,
        )

    def is_wider_than_its_window(self) -> bool:
        """Return whether the page itself scrolls sideways."""
        return self.page.evaluate("document.documentElement.scrollWidth > innerWidth")

    def screen_place(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Return where a place of the vehicle is in the window. [px]"""
        return tuple(
            self.page.evaluate(
                """([x, y]) => {
                  const to = document.querySelector(".world").getScreenCTM();
                  return [to.a * x + to.c * y + to.e, to.b * x + to.d * y + to.f];
                }""",
                [x_mm, y_mm],
            )
        )


@contextmanager
def browsing(address: str, screen: str = "wide", **wanted: Any) -> Iterator[Watched]:
    """Give a watched page at an address; its policy is lifted for axe-core alone where `judged=True`.

    Parameters
    ----------
    address : str
        Of the page, token included.
    screen : str
        A key of `SCREENS`.
    **wanted : Any
        `judged`, and what Playwright makes a context with: `color_scheme`, `has_touch`.
    """
    from playwright.sync_api import sync_playwright

    assert not missing, f"needed for this check: {missing}"
    is_judged = wanted.pop("judged", False)
    width, height = SCREENS[screen]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        context = browser.new_context(
            viewport={"width": width, "height": height}, reduced_motion="reduce", **wanted
        )
        watched = Watched(context.new_page())
        watched.watch()
        if is_judged:
            context.new_cdp_session(watched.page).send("Page.setBypassCSP", {"enabled": True})
        try:
            watched.page.goto(address)
            yield watched
        finally:
            browser.close()
