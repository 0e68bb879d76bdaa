"""How quick the page is: in a browser, and its server's part; how much of it is served.

Not part of the tests: `python -m pytest -n0 -s tests/bench/bench_page.py`. Figures once measured
stand in DEVELOPERS.md.
"""

import gzip
import math
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from browser import open_browser, open_page, page_process

import templategen
from templategen.app.forms import form_of
from templategen.inputs.job_file import job_to_table
from templategen.inputs.shop_file import shop_to_table
from templategen.page import planning

sys.path.insert(0, str(Path(__file__).parent))

from bench_plan import six_cutters

DRAGS, REPLANS = 100, 1000
HEAP = "performance.memory.usedJSHeapSize / 1e6"
REPLAN = """async count => {
    const { replan } = await import(new URL('static/state.js', document.baseURI));
    for (let n = 0; n < count; n += 1) await replan();
}"""
FIELDS = (  # a field that is typed into, and what is typed
    ("blank", "diameter", [str(390 + n) for n in range(22)]),
    ("blank", "height", [str(170 + n) for n in range(22)]),
    ("nest", "wall", [f"{9 + n / 20:g} %" for n in range(22)]),
    ("nest", "min_bowl", [str(100 + n) for n in range(22)]),
)
STATIC = Path(templategen.__file__).parent / "page" / "static"


def test_speed_of_the_page(tmp_path: Path) -> None:
    """First paint, input to redraw of 100 steps of a drag, bytes served."""
    with page_process(tmp_path / "folder") as address, open_browser() as browser:
        window = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
        open_page(window, address, "nest")
        window.wait_for_timeout(4000)  # processes are warm, advice is given
        open_page(window, address, "nest")
        window.reload()
        window.wait_for_selector("svg.nest")
        window.wait_for_timeout(3000)
        paint = window.evaluate(
            "performance.getEntriesByName('first-contentful-paint')[0].startTime"
        )
        served = window.evaluate(
            "performance.getEntriesByType('resource').filter(e => e.name.includes('/static/'))"
            ".reduce((sum, e) => sum + e.encodedBodySize, 0)"
        )
        box = window.locator("#handle-entry-1").bounding_box()
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        window.mouse.move(x, y)
        window.mouse.down()
        for step in range(DRAGS):
            window.mouse.move(x - 18 + 18 * math.cos(step / 9), y)
            window.wait_for_timeout(120)
        window.mouse.up()
        window.wait_for_timeout(500)
        took = window.evaluate(
            "performance.getEntriesByName('input to redraw').map(e => e.duration)"
        )
        line = window.context.new_cdp_session(window)
        line.send("Performance.enable", {"timeDomain": "threadTicks"})

        def state() -> tuple[float, float]:
            """Memory in use without what is only not collected yet, MB; processor time, s."""
            line.send("HeapProfiler.collectGarbage")
            metrics = line.send("Performance.getMetrics")["metrics"]
            spent = next(one["value"] for one in metrics if one["name"] == "TaskDuration")
            return window.evaluate(HEAP), spent

        before = state()
        window.evaluate(REPLAN, REPLANS)
        after = state()
        each = 1000 * (after[1] - before[1]) / REPLANS
        print(
            f"\nmemory of the window: {before[0]:.1f} MB, {after[0]:.1f} MB after {REPLANS} replans"
        )
        print(f"processor time of the window: {each:.1f} ms a replan")
        browser_files = [path for path in STATIC.rglob("*") if path.is_file()]
        size = sum(path.stat().st_size for path in browser_files)
        packed = sum(len(gzip.compress(path.read_bytes())) for path in browser_files)
        print(f"\nfirst paint {paint:.0f} ms; {len(took)} redraws of {DRAGS} inputs")
        print(f"input to redraw: median {statistics.median(took):.0f} ms, worst {max(took):.0f} ms")
        print(f"{served} bytes loaded; {size} bytes of files, {packed} if they were compressed")


def test_the_servers_part() -> None:
    """Processor time of the answers to a changed field and to a step of a drag, six cutters."""
    wishes, owned = six_cutters()
    job, shop = form_of(job_to_table(wishes)), form_of(shop_to_table(owned))
    request = {"job": job, "shop": shop, "language": "en"}

    def taken(answer: Callable[..., dict[str, Any]], more: dict[str, Any]) -> tuple[float, Any]:
        start = time.process_time()
        found = answer({**request, **more}, lambda *_: None)
        return 1000 * (time.process_time() - start), found

    for table, key, values in FIELDS:
        fields = [{"job": {**job, table: {**job[table], key: value}}} for value in values]
        times = [taken(planning.plan, more)[0] for more in fields][2:]
        print(f"\n{table}.{key}: median {statistics.median(times):.0f}, worst {max(times):.0f} ms")
    cut = taken(planning.plan, {})[1]["plan"]["cuts"][0]
    times, moved = [], job
    for step in range(DRAGS):
        to = {"entry_radius": cut["entry_radius"] - 0.5 * (step % 40), "cut": 1}
        time_taken, found = taken(planning.move, {"job": moved, **to})
        times.append(time_taken)
        moved = found["job"]
    print(f"drag: median {statistics.median(times):.0f}, worst {max(times):.0f} ms")
