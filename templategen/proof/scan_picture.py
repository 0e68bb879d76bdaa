"""Reads the picture of a scan, within bounds: grey values and resolution.

A scan is untrusted input: its size is read from its header before anything is decoded, and it is
decoded in the process that `sandbox` limits.
"""

import io
import math
import struct
import warnings
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import ExifTags, Image, ImageOps, UnidentifiedImageError

from templategen.errors import InputError, LimitError
from templategen.messages import tr
from templategen.proof.registration import sampled
from templategen.units import MM_PER_INCH

FORMATS = ("PNG", "JPEG", "TIFF")
# What the library raises for broken files
BROKEN = (OSError, SyntaxError, ValueError, TypeError, KeyError, OverflowError, struct.error)
MOST_BYTES = 200_000_000
MOST_PIXELS = 80_000_000  # an A3 sheet at 600 dpi has 70 million
LEAST_SIDE = 80.0  # mm: of a scan that may show a sheet
LEAST_DPI, MOST_DPI = 150.0, 4800.0
WORKING_DPI = 250.0  # finer scans are reduced: more pixels tell no more of a line's place
WORKING_PIXELS = 18_000_000
WHOLE_DPI = 0.02  # PNG keeps pixels a metre: 300 dpi comes back as 299.9994
LYING = (5, 6, 7, 8)  # orientations of a picture that is shown turned by a quarter (Exif 2.32)
LEAST_INK = 2e-4  # share of the pixels that are darker than the paper around by a quarter

MARK_REACH, MARK_WIDTH = 0.45, 0.25  # mm along and across a rule, to each side of a place
LEAST_CONTRAST = 0.08  # darkness of a mark against the steel beside it
MARK_UNCERTAINTY = 0.015  # mm: of a mark's middle and of the rule there; common, no source

Picture = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scan:
    """A scanned picture.

    Args:
        dark: darkness, 0 for white and 1 for black; rows run down.
        across: pixels of `dark` in a mm along a row.
        down: the same along a column.
        reduced: pixels of the file in one of `dark`, across and down.
        dpi: of the file, pixels an inch across.
    """

    dark: Picture
    across: float
    down: float
    reduced: tuple[int, int]
    dpi: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A mark of a rule: its place in `Scan.dark`, and its standard deviation along the rule, mm."""

    place: tuple[float, float]
    uncertainty: float


def read_scan(data: bytes, *, where: str, dpi: float | None = None) -> Scan:
    """The picture that the bytes of a file hold.

    Args:
        data: PNG, JPEG or TIFF.
        where: names it in faults.
        dpi: pixels an inch, if the file states none or a wrong one.

    Raises:
        InputError: no picture of these formats, broken, or no resolution known.
        LimitError: too many pixels, or too few of them an inch.
    """
    mend = tr("scan it as PNG at 300 dpi")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of what is odd in a file but can be read
            with Image.open(io.BytesIO(data), formats=FORMATS) as image:
                across, down = _resolution(image, where, dpi)
                _check_size(image.size, (across, down), where)
                lies = image.getexif().get(ExifTags.Base.Orientation) in LYING
                ImageOps.exif_transpose(image, in_place=True)
                grey = _grey(image)
    except Image.DecompressionBombError as error:
        raise LimitError(
            tr("has far too many pixels"), where=where, mend=tr("scan one sheet at 300 dpi")
        ) from error
    except UnidentifiedImageError as error:
        raise InputError(tr("is no PNG, JPEG or TIFF picture"), where=where, mend=mend) from error
    except BROKEN as error:
        raise InputError(tr("is a broken picture"), where=where, mend=mend) from error
    if lies:
        across, down = down, across
    rows, columns = (max(1, int(n // WORKING_DPI)) for n in (down, across))
    while (
        grey.size / (rows * columns) > WORKING_PIXELS
        and min(across / (columns + 1), down / (rows + 1)) >= LEAST_DPI
    ):
        rows, columns = rows + 1, columns + 1
    return Scan(
        dark=_reduced(grey, rows, columns),
        across=across / MM_PER_INCH / columns,
        down=down / MM_PER_INCH / rows,
        reduced=(columns, rows),
        dpi=across,
    )


def _check_size(size: tuple[int, int], resolution: tuple[float, float], where: str) -> None:
    """Refuses a picture of too many pixels, or too small to show a sheet."""
    width, height = size
    across, down = resolution
    if width * height > MOST_PIXELS:
        mend = tr("scan one sheet at 300 dpi")
    elif min(width / across, height / down) * MM_PER_INCH < LEAST_SIDE:
        mend = tr("scan the sheet whole, with all that is printed on it")
    else:
        return
    fault = tr("{width} × {height} pixels", width=width, height=height)
    raise LimitError(fault, where=where, mend=mend)


def _resolution(image: Image.Image, where: str, dpi: float | None) -> tuple[float, float]:
    """Pixels an inch across and down, as the user or the file states them, within bounds."""
    stated = image.info.get("dpi") if dpi is None else (dpi, dpi)
    try:
        across, down = (float(value) for value in stated or ())
    except (TypeError, ValueError, ZeroDivisionError, ArithmeticError):
        across = down = math.nan
    if not (1 < across < 1e6 and 1 < down < 1e6):  # JFIF and PNG without a unit come as 1 or less
        raise InputError(
            tr("does not say its resolution"),
            where=where,
            mend=tr("give the dpi that it was scanned at with --dpi"),
        )
    across, down = (
        float(round(value)) if abs(value - round(value)) < WHOLE_DPI else value
        for value in (across, down)
    )
    if not all(LEAST_DPI <= value <= MOST_DPI for value in (across, down)):
        raise LimitError(
            tr("{dpi:.0f} dpi is outside {least:g} to {most:g}", dpi=min(across, down),
               least=LEAST_DPI, most=MOST_DPI),
            where=where,
            mend=tr("scan at 300 dpi, or give the dpi it was scanned at with --dpi"),
        )  # fmt: skip
    return across, down


def _grey(image: Image.Image) -> NDArray[np.uint8]:
    """The picture in 256 greys, on white where it is transparent."""
    if image.mode.startswith("I") or image.mode == "F":  # 16 bits a pixel and more
        wide = np.asarray(image, dtype=np.float32)
        top = 65535.0 if image.mode.startswith("I") else max(float(wide.max()), 1e-9)
        return np.asarray(np.clip(wide / top * 255, 0, 255), dtype=np.uint8)
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        image = image.convert("RGBA")
        paper = Image.new("RGBA", image.size, "white")
        image = Image.alpha_composite(paper, image)
    return np.asarray(image.convert("L"), dtype=np.uint8)


def _reduced(grey: NDArray[np.uint8], down: int, across: int) -> Picture:
    """Darkness at a whole part of the size: each pixel is the mean of a rectangle."""
    rows, columns = grey.shape[0] // down, grey.shape[1] // across
    whole = grey[: rows * down, : columns * across].reshape(rows, down, columns, across)
    mean = whole.mean(axis=(1, 3), dtype=np.float32)
    return np.asarray(1.0 - mean / 255.0, dtype=np.float32)


def middle_of_mark(scan: Scan, near: tuple[float, float], along: tuple[float, float]) -> Mark:
    """The middle of a graduation mark of a rule that lies on the glass.

    The darkness is followed along the rule, as the mean over a width of the marks, and its peak
    or its gap is weighed. Where there is none, the place itself is taken.

    Args:
        scan: with the rule on it.
        near: column and row in `scan.dark`, within 0.4 mm of the mark.
        along: direction of the rule in pixels, of any length.
    """
    column, row = near
    length = math.hypot(*along)
    x, y = along[0] / length, along[1] / length
    fineness = math.sqrt(scan.across * scan.down)
    steps = np.arange(-MARK_REACH * fineness, MARK_REACH * fineness + 0.1, 0.2)
    widths = np.arange(-MARK_WIDTH * fineness, MARK_WIDTH * fineness + 0.1, 0.5)
    columns = column + steps[:, None] * x - widths * y
    rows = row + steps[:, None] * y + widths * x
    seen, is_inside = sampled(scan.dark, np.eye(3), columns, rows)
    if not is_inside.all():
        return Mark(place=near, uncertainty=0.5 / fineness)
    line = seen.mean(axis=1)
    off = line - np.median(line)
    off = off if off.max() >= -off.min() else -off
    if off.max() < LEAST_CONTRAST:
        return Mark(place=near, uncertainty=0.5 / fineness)
    peak = int(off.argmax())
    half = round(0.2 * fineness / 0.2)
    some = slice(max(0, peak - half), peak + half + 1)
    weights = np.maximum(off[some] - 0.25 * off.max(), 0.0)
    moved = float((weights * steps[some]).sum() / weights.sum())
    return Mark(place=(column + moved * x, row + moved * y), uncertainty=MARK_UNCERTAINTY)
