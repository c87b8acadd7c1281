"""How quick the page of `standmark open` is to the hand: in Chromium, from the event to what is on the screen.

    PYTHONPATH=.import:tests python benchmarks/page.py [--sport football] [--cameras 1 2] [--times 40]

A camera is dragged along its place by pointer events, one after the other: each waits until what it is worth there is
drawn. Then the match is changed again and again and each change waits for the proven plan to be drawn; the moment that
the server waits after a change, so that a run of changes is searched once, is left out. Needs the `test` extra and
Chromium. Goals on two quiet cores: 50 ms for a dragged camera; 150 ms for a weight, 300 ms for an area, 600 ms for a
thing in the way and 800 ms for another camera.
"""

from __future__ import annotations

import argparse
import statistics
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from open_page import SHOWN, Page, new_browser
from running_page import Running

from standmark.cli.open.live import QUIET_S

DRAG = """
const [at, done] = arguments, ground = document.getElementById('ground'), {screen} = inside;
const event = (kind, [x, y], target) => target.dispatchEvent(new PointerEvent(kind, {
  bubbles: true, pointerId: 1, pointerType: 'mouse', clientX: x, clientY: y, button: 0, buttons: 1}));
const drawn = () => new Promise(requestAnimationFrame);
(async () => {
  const times = [];
  event('pointerdown', at[0], document.querySelector('[data-camera="0"]'));
  for (const place of at.slice(1)) {
    const begin = performance.now(), before = [...screen.tried.values()][0];
    event('pointermove', place, ground);
    let found = before;
    while (found === before || found.worth === null) {
      await drawn();
      found = [...screen.tried.values()][0];
      if (performance.now() - begin > 5000) throw new Error('no worth');
    }
    times.push(performance.now() - begin);
  }
  event('pointerup', at.at(-1), ground);
  document.querySelector('[data-key="back 0"]')?.click();
  done(times);
})().catch(error => done(String(error)));
"""
CHANGE = """
const [edits, done] = arguments, {server, change} = inside, begin = performance.now();
(async () => {
  const {change: number, faults} = await change('benchmark', edits);
  if (number === undefined) throw new Error(JSON.stringify(faults));
  while (!server.answer || server.answer.change < number) await new Promise(requestAnimationFrame);
  done([performance.now() - begin, server.answer.proven]);
})().catch(error => done(String(error)));
"""
AT = "return arguments[0].map(inside.toScreen)"
Edits = list[dict[str, Any]]


def match_text(sport: str, n_cameras: int) -> str:
    """Match with an area, a thing in the way and so many cameras."""
    cameras = "".join(f'[[camera]]\nname = "{name}"\n' for name in "ABCD"[:n_cameras])
    return f"""[match]
sport = "{sport}"
[[venue.allowed]]
name = "bank"
side = "-y"
span_m = [-30, 30]
offset_m = [6, 9]
[[venue.allowed]]
name = "end"
side = "+x"
span_m = [-20, 20]
offset_m = [6, 8]
[[venue.obstacle]]
name = "van"
polygon = [[10, -44], [16, -44], [16, -42], [10, -42]]
top_m = 2.5
{cameras}"""


def put(part: str, field: str, value: Any) -> dict[str, Any]:
    """One edit."""
    return {"do": "put", "part": part, "field": field, "value": value}


def changes(said: dict[str, Any]) -> dict[str, Callable[[int], Edits]]:
    """Kinds of changes by name; each gives the edits of its n-th time, never the same twice."""
    area, van, camera = (said[kind][-1]["mark"] for kind in ("allowed", "obstacle", "camera"))
    return {
        "a weight": lambda n: [put("weights", "goal", 3 + 0.01 * n)],
        "an area": lambda n: [put(area, "span_m", [-20 + 0.3 * n, 20 - 0.1 * n])],
        "a thing in the way": lambda n: [
            put(van, "polygon", [[x + 0.3 * n, y] for x, y in ((10, -44), (16, -44), (16, -42), (10, -42))])
        ],
        "another lens": lambda n: [put(camera, "lenses", ["24-70", f"{70 + n}-200"])],
    }


def line(name: str, times_ms: Sequence[float], note: str = "") -> str:
    """Median and 95 % of times."""
    ordered = sorted(times_ms)
    high = ordered[min(len(ordered) - 1, round(0.95 * len(ordered)))]
    return f"  {name:22} {statistics.median(ordered):6.0f} ms {high:8.0f} ms   {len(ordered)} times {note}"


def measured(page: Page, script: str, argument: Any) -> Any:
    """Result of a script that ends by itself."""
    result = page.browser.execute_async_script(script, argument)
    if isinstance(result, str):
        raise SystemExit(result)
    return result


def main() -> None:
    """Print one table for each number of cameras."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sport", default="football")
    parser.add_argument("--cameras", type=int, nargs="+", default=[1, 2])
    parser.add_argument("--times", type=int, default=40)
    asked = parser.parse_args()
    browser = new_browser()
    browser.set_script_timeout(120)
    for n_cameras in asked.cameras:
        with tempfile.TemporaryDirectory() as folder:
            (Path(folder) / "match.toml").write_text(match_text(asked.sport, n_cameras), "utf-8")
            running = Running("match.toml", folder=folder, enter=False, before=SHOWN)
            try:
                page = Page(browser)
                page.open(running.address)
                page.planned()
                page.wait(lambda page=page: page.browser.execute_script("return inside.server.advice?.doubt"))
                print(f"{asked.sport}, {n_cameras} camera{'s' if n_cameras > 1 else ''}: median, 95 %")
                print(line("a dragged camera", drag(page, asked.times)))
                for name, edits_of in changes(page.state()["said"]).items():
                    found = [measured(page, CHANGE, edits_of(n)) for n in range(asked.times // 4 + 1)][1:]
                    proven = "" if all(is_proven for _, is_proven in found) else "(not all proven)"
                    print(line(name, [ms - 1000 * QUIET_S for ms, _ in found], proven))
            finally:
                running.stop()
    browser.quit()


def drag(page: Page, times: int) -> list[float]:
    """Milliseconds from each pointer event until what the camera is worth there is drawn."""
    start = page.middle(page.key("camera 0"))
    places = page.browser.execute_script(AT, [[-28 + 56 * n / times, -41] for n in range(times + 1)])
    box = page.browser.execute_script(
        "const b = document.getElementById('ground').getBoundingClientRect(); return [b.left, b.top]"
    )
    return measured(page, DRAG, [list(start), *([x + box[0], y + box[1]] for x, y in places)])[1:]


if __name__ == "__main__":
    main()
