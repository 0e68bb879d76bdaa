"""Draws a page of a PDF as a picture to register scans on, with pdfium, with or without letters.

The place of a letter is up to the program that prints, so only lines are measured by. They are
drawn a few degrees off the pixels: pdfium moves lines that lie along them to whole pixels.
"""

import math
from dataclasses import dataclass

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
from numpy.typing import NDArray

from templategen.proof.pdf_reader import MM

TURN = math.radians(-4.0)  # of pages that are measured by: no line of a page lies so

Array = NDArray[np.float64]
Picture = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class PagePicture:
    """A drawn page.

    Args:
        dark: darkness, 0 for white and 1 for black; rows run down.
        matrix: 3 x 3, from (x, y, 1) in the page's mm, x to the right and y down from its upper
            left corner, to (column, row, 1) of the picture, the middle of the first pixel at
            (0, 0).
    """

    dark: Picture
    matrix: Array


def page_size(page: pypdfium2.PdfPage) -> tuple[float, float]:
    """Width and height of a page as it is shown, mm."""
    width, height = page.get_size()
    return width * MM, height * MM


def correction_of(page: pypdfium2.PdfPage) -> Array:
    """The map, 2 x 2, that lies over all lines of one of our pages; the identity where none does.

    A page for a measured printer begins with its correction, and nothing else on it is mapped.
    """
    matrices = {
        tuple(round(value, 7) for value in item.get_matrix().get()[:4])
        for item in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_PATH], max_depth=1)
    }
    if len(matrices) != 1:
        return np.eye(2)
    a, b, c, d = matrices.pop()
    return np.array([[a, c], [b, d]])


def without_letters(page: pypdfium2.PdfPage) -> None:
    """Takes all letters off an open page."""
    for item in list(page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT], max_depth=1)):
        page.remove_obj(item)


def drawn(page: pypdfium2.PdfPage, fineness: float, *, turn: float = 0.0) -> PagePicture:
    """The page as a picture.

    Args:
        page: open.
        fineness: pixels in a mm.
        turn: how far the picture turns it, radians, clockwise as it is seen.
    """
    width, height = page_size(page)
    cos, sin = math.cos(turn), math.sin(turn)
    linear = np.array([[cos, -sin], [sin, cos]]) * fineness
    corners = np.array([[0, 0], [width, 0], [0, height], [width, height]]) @ linear.T
    least = corners.min(axis=0)
    columns, rows = (math.ceil(n) for n in corners.max(axis=0) - least)
    bitmap = pypdfium2.PdfBitmap.new_native(columns, rows, pdfium.FPDFBitmap_Gray)
    bitmap.fill_rect((255, 255, 255, 255), 0, 0, columns, rows)
    a, c, b, d = (linear * MM).ravel()
    matrix = pdfium.FS_MATRIX(a, b, c, d, -least[0], -least[1])
    window = pdfium.FS_RECTF(0.0, 0.0, float(columns), float(rows))
    pdfium.FPDF_RenderPageBitmapWithMatrix(
        bitmap.raw, page.raw, matrix, window, pdfium.FPDF_GRAYSCALE
    )
    grey = bitmap.to_numpy().reshape(rows, columns)
    dark: Picture = np.float32(1.0) - grey.astype(np.float32) / np.float32(255.0)
    bitmap.close()
    to_pixels = np.eye(3)
    to_pixels[:2] = np.column_stack([linear, -least - 0.5])
    return PagePicture(dark=dark, matrix=to_pixels)
