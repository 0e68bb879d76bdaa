"""How quick the page is in a browser, and how much of it is served.

Not part of the tests: `python -m pytest -n0 -s tests/bench/bench_page.py`. Figures once measured
stand in DEVELOPERS.md.
"""

import gzip
import math
import statistics
from pathlib import Path

from browser import open_browser, open_page, page_process

import templategen

DRAGS, REPLANS = 100, 1000
HEAP = "performance.memory.usedJSHeapSize / 1e6"
REPLAN = """async count => {
    const { replan } = await import(new URL('static/state.js', document.baseURI));
    for (let n = 0; n < count; n += 1) await replan();
}"""
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
        heap = [window.evaluate(HEAP)]
        window.evaluate(REPLAN, REPLANS)
        heap.append(window.evaluate(HEAP))
        print(f"\nmemory of the window: {heap[0]:.1f} MB, {heap[1]:.1f} MB after {REPLANS} replans")
        browser_files = [path for path in STATIC.rglob("*") if path.is_file()]
        size = sum(path.stat().st_size for path in browser_files)
        packed = sum(len(gzip.compress(path.read_bytes())) for path in browser_files)
        print(f"\nfirst paint {paint:.0f} ms; {len(took)} redraws of {DRAGS} inputs")
        print(f"input to redraw: median {statistics.median(took):.0f} ms, worst {max(took):.0f} ms")
        print(f"{served} bytes loaded; {size} bytes of files, {packed} if they were compressed")
