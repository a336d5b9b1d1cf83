"""The sheet in a real browser, judged by axe-core (W3C WCAG 2 rules, https://github.com/dequelabs/axe-core).

Skipped where chromium or axe-core is missing; `npm install --prefix tests/browser` fetches the second.
"""

from __future__ import annotations

import html
import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from sample_plan import sample_plan

from router.drawing import draw_map
from router.sheet import make_sheet

AXE = Path(__file__).parent / "browser" / "node_modules" / "axe-core" / "axe.min.js"
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
JUDGE = """axe.run(document).then(result => {
  const found = result.violations.map(({id, impact, nodes}) => [id, impact, nodes[0].html]);
  const said = document.createElement("pre");
  said.id = "judged";
  said.textContent = JSON.stringify({found, passed: result.passes.length});
  document.body.replaceChildren(said);
});"""

pytestmark = pytest.mark.skipif(
    not (CHROMIUM and AXE.exists()), reason="needs chromium, and axe-core from npm in tests/browser"
)


def judged(page: str, folder: Path, *switches: str) -> dict:
    scripts = f"<script>{AXE.read_text(encoding='utf-8')}</script><script>{JUDGE}</script>"
    (folder / "page.html").write_text(page.replace("</body>", f"{scripts}</body>"), encoding="utf-8")
    quiet = ["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-sync"]
    quiet += ["--disable-background-networking", "--disable-component-update"]
    quiet += ["--virtual-time-budget=60000", "--dump-dom"]
    words = [CHROMIUM, *quiet, f"--user-data-dir={folder / 'browser'}", *switches]
    shown = subprocess.run(
        [*words, (folder / "page.html").as_uri()], capture_output=True, text=True, check=True, timeout=120
    ).stdout
    return json.loads(html.unescape(re.search(r'<pre id="judged">(.*?)</pre>', shown, re.DOTALL).group(1)))


@pytest.fixture(scope="module")
def page():
    plan = sample_plan()
    return make_sheet(plan, draw_map(plan))


@pytest.mark.parametrize("window", ["1200,900", "390,844"])
def test_nothing_serious_is_found(page, tmp_path, window):
    result = judged(page, tmp_path, f"--window-size={window}")
    assert [found for found in result["found"] if found[1] in ("serious", "critical")] == []
    assert result["passed"] > 20


def test_a_fault_would_be_found(page, tmp_path):
    faulty = page.replace("--ink:#16181a", "--ink:#c8c8c8").replace('lang="en"', "")
    serious = {found[0] for found in judged(faulty, tmp_path)["found"] if found[1] in ("serious", "critical")}
    assert {"color-contrast", "html-has-lang"} <= serious
