"""Pages in a real browser: headless Chromium, with axe-core from npm (W3C WCAG 2 rules) as the judge.

Skipped with a reason where either is missing; with BROWSER_CHECKS=required set, that fails.
"""

from __future__ import annotations

import html
import json
import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

AXE = Path(__file__).parents[1] / "browser" / "node_modules" / "axe-core" / "axe.min.js"
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
POLICY = re.compile(r'<meta http-equiv="Content-Security-Policy"[^>]*>')
QUIET = (
    "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-sync", "--hide-scrollbars",
    "--disable-background-networking", "--disable-component-update",
)  # fmt: skip
NIGHT = "--blink-settings=preferredColorScheme=0"
WIDE_PX, PHONE_PX = 1200, 390
FRAME = """<!DOCTYPE html><iframe src="page.html" style="border:0;width:{width}px;height:844px"></iframe>
<script>onmessage = message => {{
  const said = document.createElement("pre");
  said.id = "answer";
  said.textContent = message.data;
  document.body.replaceChildren(said);
}};</script>"""
"""A page in a frame as wide as a phone: a window of its own is never that narrow."""
ANSWER = """<script>const answer = found => parent.postMessage(JSON.stringify({
  ...found, width: innerWidth, needed: document.documentElement.scrollWidth,
  night: matchMedia("(prefers-color-scheme: dark)").matches}), "*");</script>"""
JUDGE = """<script>axe.run(document).then(result => answer({
  found: result.violations.map(({id, impact, nodes}) => [id, impact, nodes.map(node => node.html)]),
  passed: result.passes.length}));</script>"""

missing = [name for name, there in (("chromium", CHROMIUM), ("axe-core", AXE.exists())) if not there]
required = os.environ.get("BROWSER_CHECKS") == "required"
in_a_browser = pytest.mark.skipif(
    bool(missing) and not required,
    reason=f"not there: {', '.join(missing)}; DEVELOPERS.md says how to install what pages are judged with",
)


def judged(page: str, folder: Path, width_px: int, *switches: str) -> dict:
    """Return what axe-core finds in a page, and how wide it is; its policy is lifted for the judge."""
    scripts = f"<script>{AXE.read_text(encoding='utf-8')}</script>{ANSWER}{JUDGE}"
    return answer_of(POLICY.sub("", page), scripts, folder, width_px, *switches)


def answer_of(page: str, scripts: str, folder: Path, width_px: int, *switches: str) -> dict:
    """Return what scripts in a page answer; a KeyError where none ran."""
    assert not missing, f"needed for this check: {missing}"
    (folder / "page.html").write_text(page.replace("</body>", f"{scripts}</body>"), encoding="utf-8")
    frame = folder / "frame.html"
    frame.write_text(FRAME.format(width=width_px), encoding="utf-8")
    window = (
        "--window-size=1300,900",
        "--virtual-time-budget=60000",
        f"--user-data-dir={folder / 'browser'}",
    )
    command = [CHROMIUM, *QUIET, *window, *switches, "--dump-dom", frame.as_uri()]
    shown = subprocess.run(command, capture_output=True, text=True, check=True, timeout=240).stdout
    answer = re.search(r'<pre id="answer">(.*?)</pre>', shown, re.DOTALL)
    if not answer:
        raise KeyError("no script in the page gave an answer")
    return json.loads(html.unescape(answer.group(1)))


def printed_pages(page: str, folder: Path, paper: str) -> list[tuple[float, float]]:
    """Return the width and height in mm of every page that a browser prints on a paper such as "A4"."""
    assert not missing, f"needed for this check: {missing}"
    on_paper = page.replace("</style>", f"@page{{size:{paper}}}</style>", 1)
    (folder / "page.html").write_text(on_paper, encoding="utf-8")
    target = folder / "page.pdf"
    words = ["--no-pdf-header-footer", f"--print-to-pdf={target}", f"--user-data-dir={folder / 'browser'}"]
    command = [CHROMIUM, *QUIET, *words, (folder / "page.html").as_uri()]
    subprocess.run(command, capture_output=True, check=True, timeout=240)
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", target.read_bytes())
    return [(float(width) * 25.4 / 72, float(height) * 25.4 / 72) for width, height in boxes]
