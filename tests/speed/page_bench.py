"""How fast the page of `underbody sketch` answers, in a real browser: `python tests/speed/page_bench.py`.

Prints figures to be read by a person; nothing here passes or fails by time.

    python tests/speed/page_bench.py                     the shipped vehicles
    python tests/speed/page_bench.py plover-crossover    only these profiles

A drag is timed in the page: from a move of the pointer to the way drawn for it, while a whole plan of
the same folder is being made. Times are wall time, so that other work on the machine shows in them.
"""

from __future__ import annotations

import os
import re
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).parents[2]
sys.path.append(str(ROOT / "tests" / "support"))

from sketching import browsing, served  # noqa: E402

PROFILES = ("plover-crossover", "dunlin-lwb", "godwit-pickup", "sanderling-estate", "turnstone-electric-van")
MOVES = 60
STEP_PX = 3
SHAPES = 600
SLOW_MS = 120_000
WATCH = """() => {
  const answered = (window.answered = { moved: 0, times: [] });
  document.querySelector(".sheet").addEventListener("pointermove", event => {
    answered.moved = event.timeStamp;
  }, { capture: true });
  new MutationObserver(changes => {
    if (answered.moved && changes.some(each => each.target.closest?.(".ways"))) {
      const moved = answered.moved;
      answered.moved = 0;
      requestAnimationFrame(() => answered.times.push(performance.now() - moved));
    }
  }).observe(document.querySelector(".ways"), { childList: true, subtree: true });
}"""
"""Takes the time from a move to the next change of the drawn ways, as it is painted."""
PAN = """async shapes => {
  const layer = document.querySelector(".layer.parts");
  const parts = [...layer.children];
  for (let number = parts.length; number < shapes; number += 1) {
    layer.append(parts[number % parts.length].cloneNode(true));
  }
  const sheet = document.querySelector(".sheet");
  const box = sheet.getBoundingClientRect();
  const whole = { clientY: box.y + 20, pointerId: 1, bubbles: true, button: 0 };
  const at = step => ({ ...whole, clientX: box.x + 200 + step });
  sheet.setPointerCapture = () => {};
  sheet.dispatchEvent(new PointerEvent("pointerdown", at(0)));
  const frames = [];
  let last = await new Promise(requestAnimationFrame);
  for (let step = 1; step <= 120; step += 1) {
    sheet.dispatchEvent(new PointerEvent("pointermove", at(step * 2)));
    const now = await new Promise(requestAnimationFrame);
    frames.push(now - last);
    last = now;
  }
  sheet.dispatchEvent(new PointerEvent("pointerup", at(240)));
  return frames;
}"""


def main() -> None:
    """Measure every profile that is asked for."""
    print("  profile                  | painted | drag: median, 95 %, moves | frame: median, 95 % | server")
    for key in sys.argv[1:] or PROFILES:
        with tempfile.TemporaryDirectory() as folder:
            print(f"  {key:24s} | {measured(Path(folder), key)}", flush=True)


def measured(folder: Path, key: str) -> str:
    """Return the figures of one vehicle in a line."""
    unit = job_on(folder, key)
    with served(folder) as address:
        painted_ms = first_paint_ms(address)
        with browsing(address) as watched:
            drags, frames = drags_ms(watched, unit), watched.page.evaluate(PAN, SHAPES)
            server_mb = memory_mb(folder)
    return (
        f"{painted_ms:4.0f} ms | {statistics.median(drags):6.0f} ms, {tail(drags):5.0f} ms, {len(drags):3d} "
        f"| {statistics.median(frames):5.1f} ms, {tail(frames):5.1f} ms | {server_mb:.0f} MB"
    )


def tail(values: Sequence[float]) -> float:
    """Return the 95th percentile."""
    return sorted(values)[min(len(values) - 1, round(0.95 * len(values)))]


def job_on(folder: Path, key: str) -> dict[str, Any]:
    """Write a folder with a profile and a job that feeds one more unit on it; return the unit's place."""
    text = (ROOT / "profiles" / f"{key}.yaml").read_text(encoding="utf-8")
    (folder / "profile.yaml").write_text(text, encoding="utf-8")
    terminals = yaml.safe_load(text)["terminals"]
    unit = next(each for each in terminals if each["kind"] == "unit")
    source = next(each for each in terminals if each.get("pole") == "positive")
    place = {"name": "unit dragged", **{key: unit[key] for key in ("space", "at", "height")}, "kind": "unit"}
    conductor = {"name": "supply", "colour": "red", "load": "2 A", "duty": "continuous", "size": "auto"}
    run = {"run": "supply", "from": source["name"], "to": "unit dragged", "conductors": [conductor]}
    earth = next(each for each in terminals if each["kind"] == "earth point")
    back = {
        "run": "earth",
        "from": "unit dragged",
        "to": earth["name"],
        "conductors": [{"name": "earth", "colour": "black", "returns": "supply", "size": "auto"}],
    }
    job = {
        "job": "Drag",
        "profile": "profile.yaml",
        "source": {"nominal": "12 V", "resting": "12.6 V", "at": source["name"]},
        "limits": {"drop": "5 %"},
        "places": [place],
        "runs": [{**run, "fuse": "auto"}, back],
    }
    (folder / "job.yaml").write_text(yaml.safe_dump(job, sort_keys=False), encoding="utf-8")
    return unit


def first_paint_ms(address: str) -> float:
    """Return when something was painted first, after the address was opened; the server is warm."""
    with browsing(address) as watched:
        watched.page.wait_for_timeout(500)
        paints = "performance.getEntriesByName('first-contentful-paint')[0].startTime"
        return float(watched.page.evaluate(paints))


def drags_ms(watched: Any, unit: dict[str, Any]) -> list[float]:
    """Return what each move of a drag took until its way was drawn, a plan being made beside it. [ms]"""
    from playwright.sync_api import expect

    page = watched.page
    page.locator("#spaces button", has_text=re.compile(f"^{unit['space']}$")).click()
    page.locator("#tab-way").click()
    expect(page.locator(".plan-head")).to_contain_text("The way is proven", timeout=SLOW_MS)
    page.evaluate(WATCH)
    x, y = watched.screen_place(*unit["at"])
    page.mouse.move(x, y)
    page.mouse.down()
    for step, (dx, dy) in enumerate(spiral(MOVES)):
        if step % 20 == 0:
            plan_anew(page, step)
        before = page.evaluate("answered.times.length")
        page.mouse.move(x + dx, y + dy)
        until(lambda before=before: page.evaluate("answered.times.length") > before, 2.0)
    times = page.evaluate("answered.times")
    page.keyboard.press("Escape")
    page.mouse.up()
    return [float(each) for each in times]


def spiral(count: int) -> Iterator[tuple[float, float]]:
    """Yield steps about a place, none of them far. [px]"""
    for step in range(1, count + 1):
        side = (step // 4) * STEP_PX % 24 + 8
        yield ((side, 0), (0, side), (-side, 0), (0, -side))[step % 4]


def plan_anew(page: Any, step: int) -> None:
    """Change the job a little, as another window would, so that it is planned from the beginning."""
    page.evaluate(
        """async drop => {
          const token = document.querySelector('meta[name="sketch-token"]').content;
          const headers = { "X-Sketch-Token": token, "Content-Type": "application/json" };
          const { revision } = await (await fetch("/state", { headers })).json();
          const edits = [{ file: "job", op: "set", path: ["limits", "drop"], value: drop }];
          const body = JSON.stringify({ revision, group: null, edits });
          await fetch("/edit", { method: "POST", headers, body });
        }""",
        f"{5 + (step % 7) / 10:g} %",
    )


def until(is_done: Any, at_most_s: float) -> None:
    """Wait until something is so, or for so long at most: a move that asks nothing new is not answered."""
    end = time.monotonic() + at_most_s
    while not is_done() and time.monotonic() < end:
        time.sleep(0.002)


def memory_mb(folder: Path) -> float:
    """Return what the process that serves a folder holds, its workers left out. [MB]"""
    for process in Path("/proc").glob("[0-9]*"):
        try:
            words = (process / "cmdline").read_bytes().split(b"\0")
            if b"sketch" in words and os.fsencode(folder) in words:
                status = (process / "status").read_text(encoding="ascii")
                return int(re.search(r"VmRSS:\s+(\d+)", status)[1]) / 1024  # type: ignore[index]
        except OSError:
            continue
    raise LookupError(folder)


if __name__ == "__main__":
    main()
