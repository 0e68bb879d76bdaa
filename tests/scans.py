"""Scans as a flatbed makes them, of pages that MuPDF draws: pdfium has no part in them.

A printer and a scanner are 2 x 2 maps, x to the right and y up; a sheet lies turned on the glass,
its middle on the middle of the glass.
"""

import io
import math
from typing import Any

import numpy as np
import pymupdf
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

MM = 25.4 / 72  # in a point
Grey = NDArray[np.float32]
TRUE = np.eye(2)


def turn(degrees: float) -> NDArray[np.float64]:
    """A rotation, anticlockwise."""
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return np.array([[cos, -sin], [sin, cos]])


def printer(across: float, down: float, skew: float) -> NDArray[np.float64]:
    """What a printer makes of an upright page: its stretch, and the lean of upright lines."""
    return np.array([[across, skew * down], [0.0, down]])


def scanned(
    pdf: bytes,
    page: int,
    linear: NDArray[np.float64],
    *,
    dpi: float,
    glass: tuple[float, float],
    noise: float = 0.02,
    blur: float = 0.7,
) -> Grey:
    """The brightness of a scan, 0 to 1: blurred, noisy, and darker to one side.

    Args:
        pdf: that was printed.
        page: index of the page.
        linear: from the page's mm to the scan's.
        dpi: pixels an inch.
        glass: width and height of the scan, mm.
        noise: standard deviation.
        blur: standard deviation, pixels.
    """
    fineness = dpi / 25.4
    with pymupdf.open(stream=pdf, filetype="pdf") as document:
        rect = document[page].rect
        flip = np.diag([1.0, -1.0])
        to_pixels = flip @ linear @ flip * fineness * MM
        columns, rows = (round(side * fineness) for side in glass)
        shift = np.array([columns, rows]) / 2 - to_pixels @ [rect.width / 2, rect.height / 2]
        (a, c), (b, d) = to_pixels
        pixels = document[page].get_pixmap(
            matrix=pymupdf.Matrix(a, b, c, d, *shift), colorspace=pymupdf.csGRAY, alpha=False
        )
        drawn = np.frombuffer(pixels.samples, np.uint8).reshape(pixels.height, pixels.width)
        grey = np.full((rows, columns), 255, np.uint8)
        top, left = max(pixels.y, 0), max(pixels.x, 0)
        bottom = min(pixels.y + pixels.height, rows)
        right = min(pixels.x + pixels.width, columns)
        grey[top:bottom, left:right] = drawn[
            top - pixels.y : bottom - pixels.y, left - pixels.x : right - pixels.x
        ]
    seen = ndimage.gaussian_filter(grey.astype(np.float32) / 255, blur)
    light = np.linspace(0.97, 0.85, columns, dtype=np.float32)
    hiss = np.random.default_rng(7).standard_normal(seen.shape, dtype=np.float32)
    return np.clip(0.08 + 0.86 * seen * light + noise * hiss, 0, 1).astype(np.float32)


def with_rule(
    grey: Grey, scanner: NDArray[np.float64], *, dpi: float, length: int
) -> tuple[Grey, tuple[tuple[float, float], tuple[float, float]]]:
    """The scan with a steel rule of mm marks upright near its left edge, and the first and last.

    The rule's marks are true; the scanner shows them by its own map. Where they are is given as a
    person reads them off, to the nearest pixel.
    """
    fineness = dpi / 25.4
    rows, columns = np.mgrid[: grey.shape[0], : round(9 * fineness)].astype(np.float64)
    flip = np.diag([1.0, -1.0])
    back = np.linalg.inv(flip @ scanner @ flip)
    x = (back[0, 0] * columns + back[0, 1] * rows) / fineness
    y = (back[1, 0] * columns + back[1, 1] * rows) / fineness
    first = 12.3  # mm from the top
    from_mark = np.abs((y - first + 0.5) % 1.0 - 0.5)
    is_mark = (x > 2) & (x < 6) & (y > first - 0.5) & (y < first + length + 0.5)
    mark = np.clip((0.09 - from_mark) * fineness + 0.5, 0, 1) * is_mark  # 0.18 mm wide
    shown = grey.copy()
    shown[:, : columns.shape[1]] = 0.75 - 0.55 * ndimage.gaussian_filter(mark, 0.7)
    places = [np.rint(flip @ scanner @ flip @ [4.0, first + n] * fineness) for n in (0, length)]
    (one, two) = ((float(p[0]), float(p[1])) for p in places)
    return shown, (one, two)


def as_file(
    grey: Grey,
    *,
    dpi: float | None,
    kind: str = "PNG",
    mode: str = "L",
    **how: Any,  # noqa: ANN401 - as Pillow takes it
) -> bytes:
    """The scan as the bytes of a picture file."""
    if mode == "I;16":
        image = Image.fromarray((grey * 65535).round().astype(np.uint16))
    else:
        image = Image.fromarray((grey * 255).round().astype(np.uint8)).convert(mode)
    if dpi is not None:
        how["dpi"] = (dpi, dpi)
    out = io.BytesIO()
    image.save(out, kind, **how)
    return out.getvalue()
