"""A small pack (invented) and ways to spoil it: in the model, in its recipe, and in the file."""

import dataclasses
import functools
import io
import itertools
import json
import re
from collections.abc import Callable
from typing import Any
from unittest import mock

import pypdf
from builders import example_plan, laid_pack
from pypdf.generic import (
    ArrayObject,
    DictionaryObject,
    FloatObject,
    NameObject,
    NumberObject,
    StreamObject,
    TextStringObject,
)

from templategen.geometry.shapes import Arc, Transform
from templategen.nest.plan import Plan
from templategen.output.pdf import PT, number, write_pdf
from templategen.parts.drawing import LINE_WIDTH, Drawing, Item, Role
from templategen.parts.drawing import Path as Run
from templategen.parts.drawing import Text as Words
from templategen.proof.recipe import NAME, make_recipe
from templategen.sheets.page import Pack, Page, Placement

KINDS = ("cut plate",)
TILED = ("section sheet",)  # on A5 it needs several sheets
CUT_WIDTH = f"{number(LINE_WIDTH[Role.CUT] * PT)} w\n"
Change = Callable[[Placement], Placement]
Where = Callable[[Placement], bool]


@functools.cache
def plan() -> Plan:
    """The plan of the small example."""
    return example_plan("small-220.toml", with_suggestions=True)


def pack() -> Pack:
    """Its pack on A5."""
    return laid_pack(plan(), paper="a5", kinds=KINDS)


def recipe() -> dict[str, Any]:
    """The recipe of the pack; may be changed."""
    return make_recipe(plan(), pack())


def written(drawn: Pack, stated: dict[str, Any] | None = None) -> bytes:
    """A pack as a file that carries a recipe, that of the true pack if none is given."""
    held = json.dumps(recipe() if stated is None else stated).encode()
    return write_pdf(drawn, title=plan().job.title, attachments={NAME: held})


def true_file() -> bytes:
    """The pack as it should be."""
    return _true_file(KINDS)


@functools.cache
def _true_file(_: tuple[str, ...]) -> bytes:
    return written(pack())


def tiled(make: Callable[[], bytes]) -> Callable[[], bytes]:
    """The same way of spoiling, of the pack whose part needs several sheets."""

    def run() -> bytes:
        with mock.patch(f"{__name__}.KINDS", TILED):
            return make()

    return run


def kind(name: str) -> Where:
    """Whether a placement is of a kind."""
    return lambda placement: placement.part.kind == name


def is_tile(placement: Placement) -> bool:
    """Whether a placement is a tile."""
    return bool(placement.tile)


def place_of(where: Where) -> int:
    """Number from 0 of the first page with a fitting placement."""
    return next(n for n, page in enumerate(pack().pages) if any(map(where, page.placements)))


# The model: drawn otherwise than the recipe tells.


def changed(where: Where, change: Change) -> Pack:
    """The pack with its first fitting placement changed."""
    n = place_of(where)
    page = pack().pages[n]
    index = next(n for n, placement in enumerate(page.placements) if where(placement))
    placements = list(page.placements)
    placements[index] = change(placements[index])
    return with_page(n, dataclasses.replace(page, placements=tuple(placements)))


def with_page(place: int, page: Page) -> Pack:
    """The pack with another page at a place."""
    pages = list(pack().pages)
    pages[place] = page
    return dataclasses.replace(pack(), pages=tuple(pages))


def moved(by: Transform) -> Change:
    """Changes where a part lies, its window too."""
    return lambda placement: dataclasses.replace(
        placement,
        transform=placement.transform.then(by),
        clip=placement.clip.moved(by),
    )


def scaled(by: float) -> Change:
    """Draws a part larger or smaller, its window as it was."""
    return lambda placement: dataclasses.replace(
        placement, transform=Transform.scale(by, by).then(placement.transform)
    )


def redrawn(edit: Callable[[Item], Item | None]) -> Change:
    """Draws each item of a part otherwise, or not where `edit` gives None."""

    def change(placement: Placement) -> Placement:
        items = tuple(e for item in placement.part.drawing.items if (e := edit(item)) is not None)
        part = dataclasses.replace(placement.part, drawing=Drawing(items=items))
        return dataclasses.replace(placement, part=part)

    return change


def added(*items: Item) -> Change:
    """Draws more."""

    def change(placement: Placement) -> Placement:
        drawing = Drawing(items=(*placement.part.drawing.items, *items))
        part = dataclasses.replace(placement.part, drawing=drawing)
        return dataclasses.replace(placement, part=part)

    return change


def cut_lines(edit: Callable[[Run], Run | None], *, most: int = 1) -> Change:
    """Draws the first cut lines of a part otherwise."""
    left = itertools.count()
    return redrawn(
        lambda item: (
            edit(item)
            if isinstance(item, Run) and item.role is Role.CUT and next(left) < most
            else item
        )
    )


def wider_arcs(by: float) -> Callable[[Run], Run]:
    """Lines whose large arcs have another radius."""
    return lambda run: dataclasses.replace(
        run,
        segments=tuple(
            dataclasses.replace(s, radius=s.radius + by)
            if isinstance(s, Arc) and s.radius > 20
            else s
            for s in run.segments
        ),
    )


def reworded(old: str, new: str) -> bytes:
    """The pack with a wording changed where it first stands, whatever it stands on."""
    left = [True]

    def edit(item: Item) -> Item:
        if left[0] and isinstance(item, Words) and re.search(old, item.text):
            left[0] = False
            return dataclasses.replace(item, text=re.sub(old, new, item.text, count=1))
        return item

    pages = []
    for page in pack().pages:
        placements = tuple(redrawn(edit)(placement) for placement in page.placements)
        furniture = Drawing(items=tuple(map(edit, page.furniture.items)))
        pages.append(dataclasses.replace(page, placements=placements, furniture=furniture))
    assert not left[0], f"no wording like {old}"
    return written(dataclasses.replace(pack(), pages=tuple(pages)))


def other_words(edit: Callable[[Words], Words | None], where: Where) -> bytes:
    """The pack with all words of a part drawn otherwise."""
    change = redrawn(lambda item: edit(item) if isinstance(item, Words) else item)
    return written(changed(where, change))


def exchanged_titles() -> bytes:
    """The pack with the drawings of two cut plates' words exchanged."""
    plates = [q for page in pack().pages for q in page.placements if kind("cut plate")(q)]
    words = [[i for i in p.part.drawing.items if isinstance(i, Words)] for p in plates[:2]]
    pages = list(pack().pages)
    for plate, others in zip(plates[:2], words[::-1], strict=True):
        rest = [i for i in plate.part.drawing.items if not isinstance(i, Words)]
        part = dataclasses.replace(plate.part, drawing=Drawing(items=(*rest, *others)))
        for n, page in enumerate(pages):
            placements = tuple(
                dataclasses.replace(q, part=part) if q is plate else q for q in page.placements
            )
            pages[n] = dataclasses.replace(page, placements=placements)
    return written(dataclasses.replace(pack(), pages=tuple(pages)))


# The recipe, with the drawing as it was, or changed alike.


def restated(**changes: Any) -> bytes:  # noqa: ANN401 - any value of JSON
    """The true drawing with a recipe in which places such as ``job__blank__wood`` are changed."""
    stated = recipe()
    for way, value in changes.items():
        *steps, last = [int(w) if w.isdigit() else w for w in way.split("__")]
        table: Any = stated
        for step in steps:
            table = table[step]
        table[last] = value(table[last]) if callable(value) else value
    return written(pack(), stated)


def alike(drawn: Pack) -> bytes:
    """A pack whose recipe states it as it is drawn."""
    return written(drawn, make_recipe(plan(), drawn))


def corrected(by: Transform) -> Pack:
    """The pack with every page stretched as for a measured printer that it does not name."""
    pages = tuple(dataclasses.replace(page, correction=by) for page in pack().pages)
    return dataclasses.replace(pack(), pages=pages)


def without(name: str) -> Pack:
    """The pack with all parts of a kind left off its pages."""
    pages = []
    for page in pack().pages:
        left = tuple(q for q in page.placements if q.part.kind != name)
        pages.append(dataclasses.replace(page, placements=left))
    return dataclasses.replace(pack(), pages=tuple(pages))


# The file.


def resaved(edit: Callable[[pypdf.PdfWriter], object]) -> bytes:
    """The file changed by pypdf."""
    writer = pypdf.PdfWriter(clone_from=io.BytesIO(true_file()))
    edit(writer)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def with_content(edit: Callable[[str], str], where: Where, **resources: DictionaryObject) -> bytes:
    """The file with the operators of a page changed, and resources added to it."""

    def change(writer: pypdf.PdfWriter) -> None:
        page = writer.pages[place_of(where)]
        content = page.get_contents()
        assert content is not None
        old = content.get_data().decode("latin-1")
        new = edit(old)
        assert new != old
        stream = StreamObject()
        stream.set_data(new.encode("latin-1"))
        page[NameObject("/Contents")] = writer._add_object(stream)
        held = page["/Resources"].get_object()
        for name, table in resources.items():
            held[NameObject(f"/{name}")] = table

    return resaved(change)


def cut_line(before: str, after: str = "") -> Callable[[str], str]:
    """Puts operators before and after the first cut line of a page."""

    def edit(text: str) -> str:
        start = text.index(CUT_WIDTH)
        end = text.index("\nS\n", start) + 3
        return f"{text[:start]}q\n{before}{text[start:end]}{after}Q\n{text[end:]}"

    return edit


def inside_cut_line(old: str, new: str) -> Callable[[str], str]:
    """Changes an operator of the first cut line of a page."""

    def edit(text: str) -> str:
        start = text.index(CUT_WIDTH)
        end = text.index("\nS\n", start) + 3
        assert old in text[start:end]
        return text[:start] + text[start:end].replace(old, new, 1) + text[end:]

    return edit


def bent(text: str) -> str:
    """The first curve of a cut line with its two inner points moved by 0.1 point."""
    curve = re.compile(r"((?:-?[\d.]+ ){6})c\b").search(text, text.index(CUT_WIDTH))
    assert curve is not None
    figures = [float(word) for word in curve[1].split()]
    figures[0] += 0.1
    figures[2] += 0.1
    points = " ".join(f"{figure:.5f}" for figure in figures)
    return f"{text[: curve.start()]}{points} c{text[curve.end() :]}"


def names(**entries: object) -> DictionaryObject:
    """A dictionary of a PDF: texts are names, numbers numbers."""
    made = DictionaryObject()
    for key, value in entries.items():
        if isinstance(value, str):
            value = NameObject(f"/{value}")
        elif isinstance(value, int | float):
            value = FloatObject(value)
        made[NameObject(f"/{key}")] = value
    return made


def state(**entries: object) -> DictionaryObject:
    """A graphics state named ``GS`` (ISO 32000-2, 8.4.5)."""
    return DictionaryObject({NameObject("/GS"): names(Type="ExtGState", **entries)})


def layered(writer: pypdf.PdfWriter) -> None:
    """Puts the content of the page of a cut plate into a layer that is off (8.11)."""
    layer = writer._add_object(
        DictionaryObject({**names(Type="OCG"), NameObject("/Name"): TextStringObject("x")})
    )
    off = ArrayObject([layer])
    writer.root_object[NameObject("/OCProperties")] = DictionaryObject(
        {
            NameObject("/OCGs"): off,
            NameObject("/D"): DictionaryObject({NameObject("/OFF"): off}),
        }
    )
    page = writer.pages[place_of(kind("cut plate"))]
    page["/Resources"].get_object()[NameObject("/Properties")] = DictionaryObject(
        {NameObject("/MC0"): layer}
    )
    content = page.get_contents()
    assert content is not None
    stream = StreamObject()
    stream.set_data(b"/OC /MC0 BDC\n" + content.get_data() + b"\nEMC")
    page[NameObject("/Contents")] = writer._add_object(stream)


def annotated(kind_of: str, **entries: object) -> Callable[[pypdf.PdfWriter], None]:
    """Lays a mark over the page of a cut plate (12.5)."""

    def edit(writer: pypdf.PdfWriter) -> None:
        page = writer.pages[place_of(kind("cut plate"))]
        box = ArrayObject([FloatObject(v) for v in (100, 100, 300, 300)])
        mark = DictionaryObject({
            **names(Type="Annot", Subtype=kind_of, F=4, **entries), NameObject("/Rect"): box,
            NameObject("/IC"): ArrayObject([NumberObject(1)] * 3),
        })  # fmt: skip
        page[NameObject("/Annots")] = ArrayObject([writer._add_object(mark)])

    return edit


def covered(writer: pypdf.PdfWriter) -> None:
    """Lays a white picture over the page of a cut plate."""
    page = writer.pages[place_of(kind("cut plate"))]
    stream = StreamObject()
    stream.set_data(b"\xff")
    stream.update(names(Type="XObject", Subtype="Image", ColorSpace="DeviceGray"))
    for key in ("Width", "Height"):
        stream[NameObject(f"/{key}")] = NumberObject(1)
    stream[NameObject("/BitsPerComponent")] = NumberObject(8)
    held = DictionaryObject({NameObject("/Im0"): writer._add_object(stream)})
    page["/Resources"].get_object()[NameObject("/XObject")] = held
    content = page.get_contents()
    assert content is not None
    more = StreamObject()
    more.set_data(content.get_data() + b"\nq 200 0 0 200 100 100 cm /Im0 Do Q")
    page[NameObject("/Contents")] = writer._add_object(more)


def on_page(key: str, value: object) -> Callable[[pypdf.PdfWriter], None]:
    """Sets a key of the first page."""
    return lambda writer: writer.pages[0].__setitem__(NameObject(f"/{key}"), value)


def without_page(writer: pypdf.PdfWriter) -> None:
    """Takes the third page away."""
    writer.remove_page(2)


def exchanged_pages(writer: pypdf.PdfWriter) -> None:
    """Exchanges the second and the third page."""
    kids = writer.root_object["/Pages"].get_object()["/Kids"]
    kids[1], kids[2] = kids[2], kids[1]
