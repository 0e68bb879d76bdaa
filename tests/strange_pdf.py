"""PDF files put together by hand (ISO 32000-1, 7.5), so that they may lie."""

import functools
import zlib
from collections.abc import Sequence

NAME = b"templategen-pack.json"
CATALOG = b"<</Type/Catalog/Pages 2 0 R/Names<</EmbeddedFiles<</Names[(" + NAME + b") 5 0 R]>>>>>>"
PAGES = b"<</Type/Pages/Kids[3 0 R]/Count 1>>"
PAGE = (
    b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 595 842]/Contents 4 0 R"
    b"/Resources<</XObject<</F0 7 0 R>>>>>>"
)
FILE = b"<</Type/Filespec/F(" + NAME + b")/UF(" + NAME + b")/EF<</F 6 0 R>>>>"
FORM = b"/Type/XObject/Subtype/Form/BBox[0 0 9 9]"


def stream(data: bytes, entries: bytes = b"") -> bytes:
    """A stream object; its length is true."""
    return b"<<" + entries + b"/Length %d>>stream\n" % len(data) + data + b"\nendstream"


@functools.cache
def swelling(megabytes: int, filling: bytes) -> bytes:
    """Few bytes that unfold to many (zlib and deflate, RFC 1950 and 1951).

    A block flushed whole refers to nothing before it, so it may stand many times over.
    """
    block = filling * (1_000_000 // len(filling))
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    once = packer.compress(block) + packer.flush(zlib.Z_FULL_FLUSH)
    high, low = divmod(zlib.adler32(block), 1 << 16)
    total, sums = 1, 0  # of the whole, from those of a block (RFC 1950, 8.2)
    for _ in range(megabytes):
        sums = (sums + high + len(block) * (total - 1)) % 65521
        total = (total + low - 1) % 65521
    check = (sums << 16) + total
    return b"\x78\xda" + once * megabytes + b"\x03\x00" + check.to_bytes(4, "big")


def written(objects: Sequence[bytes]) -> bytes:
    """A file of these objects, numbered from 1, the first its catalogue."""
    data = b"%PDF-1.7\n"
    places = []
    for number, one in enumerate(objects, start=1):
        places.append(len(data))
        data += b"%d 0 obj\n%s\nendobj\n" % (number, one)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    size = len(objects) + 1
    return data + (
        b"xref\n0 %d\n0000000000 65535 f \n%strailer<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF"
        % (size, table, size, len(data))
    )


def page(content: bytes, attached: bytes, *more: bytes, pages: int = 1) -> bytes:
    """A file of one page, or of several alike; content and attachment are stream objects."""
    objects = [CATALOG, PAGES, PAGE, content, FILE, attached, *more]
    if pages > 1:
        kids = b"3 0 R " + b"".join(b"%d 0 R " % (len(objects) + n) for n in range(1, pages))
        objects[1] = b"<</Type/Pages/Kids[%s]/Count %d>>" % (kids, pages)
        objects += [PAGE] * (pages - 1)
    return written(objects)


CRUEL = {"attachment of 1.5 GB", "attachment packed twice", "page of 1.5 GB", "page of lines",
         "forms in forms", "form in itself"}  # fmt: skip


def strange_files(recipe: bytes) -> dict[str, tuple[bytes, str, bool]]:
    """Files that are no packs, by name; see `_files`. Cruel ones take memory or time or end us."""
    return {name: (*held, name in CRUEL) for name, held in _files(recipe).items()}


def _files(recipe: bytes) -> dict[str, tuple[bytes, str]]:
    """Files, each with a recipe that is one, and what is said of them."""
    nothing, good = stream(b""), stream(recipe, b"/Type/EmbeddedFile")
    flate = b"/Filter/FlateDecode"
    bomb = swelling(1500, b" ")
    forms = [
        stream(
            b"/F0 Do " * 10,
            FORM + b"/Resources<</XObject<</F0 %d 0 R>>>>" % (8 + n),
        )
        for n in range(12)
    ]
    whole = page(nothing, good)
    too_much = "ended the process that read it: it is broken, or takes too much memory"
    return {
        "attachment of 1.5 GB": (page(nothing, stream(bomb, flate)), too_much),
        "attachment packed twice": (
            page(nothing, stream(zlib.compress(bomb), b"/Filter[/FlateDecode/FlateDecode]")),
            too_much,
        ),
        "page of 1.5 GB": (page(stream(bomb, flate), good), too_much),
        "page of lines": (page(stream(swelling(150, b"0 0 m 9 9 l S "), flate), good), too_much),
        "forms in forms": (
            page(stream(b"/F0 Do " * 10), good, *forms, stream(b"0 0 m 9 9 l S", FORM)),
            too_much,
        ),
        "form in itself": (
            page(
                stream(b"/F0 Do"),
                good,
                stream(b"/F0 Do /F0 Do", FORM + b"/Resources<</XObject<</F0 7 0 R>>>>"),
            ),
            "",
        ),
        "pages in a circle": (
            whole.replace(PAGES, b"<</Type/Pages/Kids[2 0 R]/Count 1>>"),
            "page 1 cannot be read; print it anew",
        ),
        "two milliard pages": (whole.replace(b"/Count 1", b"/Count 2000000000"), ""),
        "size that lies": (
            page(nothing, stream(b"{}", b"/Params<</Size 99999999999>>")),
            "format '' is not 'templategen-pack/2'",
        ),
        "length that lies": (
            whole.replace(b"/Length %d" % len(recipe), b"/Length 5"),
            "",
        ),
        "attachment that is a page": (
            whole.replace(b"/EF<</F 6 0 R>>", b"/EF<</F 3 0 R>>"),
            "carries no templategen-pack.json",
        ),
        "attachment of nothing": (
            whole.replace(b"/EF<</F 6 0 R>>", b"/EF<</F 99 0 R>>"),
            "carries no templategen-pack.json",
        ),
        "names in a circle": (
            whole.replace(b"/Names[(" + NAME + b") 5 0 R]", b"/Kids[5 0 R]").replace(
                FILE, b"<</Kids[5 0 R 5 0 R]>>"
            ),
            "carries no templategen-pack.json",
        ),
        "another version": (whole.replace(b"%PDF-1.7", b"%PDF-9.9"), ""),
        "no version": (whole.replace(b"%PDF-1.7", b"%XYZ-1.7"), ""),
        "figures beyond all": (
            page(stream(b"1e38 1e38 m -1e38 9e99 l S 1e30 0 0 1e30 0 0 cm 0 0 m 9e30 1 l S"), good),
            "",
        ),
        "half a file": (whole[: len(whole) // 2], ""),
    }  # fmt: skip
