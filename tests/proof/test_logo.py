"""Pictures from outside: what is no plain picture is refused before anything is made of it."""

import io
import resource
import zlib
from pathlib import Path

import pytest
from commands import Run
from PIL import Image

from templategen.errors import InputError
from templategen.proof.logo import checked_logo
from templategen.proof.untrusted import read_logo

SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20" width="40" height="20">{}</svg>'
RECT = '<rect width="9" height="9"/>'


def _png(*chunks: tuple[bytes, bytes]) -> bytes:
    """A PNG of these chunks (ISO/IEC 15948, 5.3), check sums true."""
    data = b"\x89PNG\r\n\x1a\n"
    for kind, body in chunks:
        data += len(body).to_bytes(4, "big") + kind + body
        data += zlib.crc32(kind + body).to_bytes(4, "big")
    return data


def _head(width: int, height: int, colour: int = 6) -> tuple[bytes, bytes]:
    body = width.to_bytes(4, "big") + height.to_bytes(4, "big") + bytes([8, colour, 0, 0, 0])
    return b"IHDR", body


def _image(width: int, height: int) -> bytes:
    file = io.BytesIO()
    Image.new("RGBA", (width, height), (200, 0, 0, 255)).save(file, "PNG")
    return file.getvalue()


END = (b"IEND", b"")
TEXT_OF_50_MB = (b"zTXt", b"a\0\0" + zlib.compress(bytes(50_000_000), 9))
NEITHER, BROKEN, OUTSIDE = "neither PNG nor SVG", "is a broken PNG", "something outside itself"
CANNOT, STYLES = "holds figures that cannot be drawn", "holds too many styles"
FILES = {
    "no picture": (b"hello", NEITHER),
    "zip": (b"PK\x03\x04" + bytes(100), NEITHER),
    "packed svg": (zlib.compress(SVG.format(RECT).encode()), NEITHER),
    "pdf": (b"%PDF-1.7\n", NEITHER),
    "jpeg": (b"\xff\xd8\xff\xe0" + bytes(50), NEITHER),
    "utf-16": (SVG.format(RECT).encode("utf-16"), NEITHER),
    "big file": (b"\x89PNG\r\n\x1a\n" + bytes(2_000_001), "larger than 2 MB"),
    "zero png": (b"\x89PNG\r\n\x1a\n" + bytes(8) + b"IHDR" + bytes(20), BROKEN),
    "half a png": (_image(8, 8)[:40], BROKEN),
    "wide png": (_png(_head(60000, 60000), END), "60000 × 60000 pixels"),
    "long png": (_image(1000, 3), "too long and thin"),
    "png of more than it holds": (
        _png(_head(3000, 3000), (b"IDAT", zlib.compress(b"\0" * 100)), END),
        BROKEN,
    ),
    "png without picture": (_png(_head(9, 9), END), BROKEN),
    "png of a wrong colour": (
        _png(_head(9, 9, 5), (b"IDAT", zlib.compress(bytes(999))), END),
        BROKEN,
    ),
    "png with a text of 50 MB": (
        _png(_head(9, 9), TEXT_OF_50_MB, (b"IDAT", zlib.compress(bytes(9 * 37))), END),
        BROKEN,
    ),
    "entity bomb": (
        b'<!DOCTYPE s [<!ENTITY a "aaaaaaaaaa">'
        + b"".join(b'<!ENTITY %c "%s">' % (98 + n, b"&%c;" % (97 + n) * 10) for n in range(8))
        + b"]>"
        + SVG.format("&i;").encode(),
        "declares entities",
    ),
    "outside entity": (
        b'<!DOCTYPE s [<!ENTITY x SYSTEM "file:///etc/passwd">]>' + SVG.format("&x;").encode(),
        "declares entities",
    ),
    "outside document type": (
        b'<!DOCTYPE svg SYSTEM "http://x.invalid/a.dtd" [\n]>' + SVG.format(RECT).encode(),
        "declares entities",
    ),
    "empty": (b'<svg xmlns="http://www.w3.org/2000/svg" width="0" height="0"/>', "shows nothing"),
    "view of no number": (
        SVG.replace("0 0 40 20", "nan 0 1e308 -20").format(RECT).encode(),
        CANNOT,
    ),
}
SHAPES = {
    "script": ("<script>x</script>", "holds <script>"),
    "event": ('<rect onload="x" width="3" height="3"/>', "holds a script"),
    "image": ('<image href="file:///etc/passwd"/>', "holds <image>"),
    "use": ('<use href="#a"/>', "holds <use>"),
    "text": ("<text>x</text>", "holds <text>"),
    "foreign": ("<foreignObject/>", "holds <foreignObject>"),
    "animation": ('<animate attributeName="x"/>', "holds <animate>"),
    "link": ('<linearGradient href="http://x.invalid/a"/>', OUTSIDE),
    "data link": ('<rect fill="url(data:image/png;base64,xx)"/>', OUTSIDE),
    "script link": ('<linearGradient href="javascript:x"/>', OUTSIDE),
    "hidden link": ('<rect style="fill:u\\72l(http://x.invalid)"/>', OUTSIDE),
    "style": ("<style>@import url(http://x.invalid/a.css);</style>", OUTSIDE),
    "fill": ('<rect fill="url(http://x.invalid/#g)" width="3" height="3"/>', OUTSIDE),
    "deep": ("<g>" * 60 + "</g>" * 60, "too many shapes"),
    "many": ("<g/>" * 6000, "too many shapes"),
    "style of 2 MB": (f"<style>{'a{fill:red}' * 150_000}</style>{RECT}", "larger than 300 kB"),
    "path of 450 kB": (f'<path d="M0 0{" L1 1" * 90_000}"/>', "larger than 300 kB"),
    "no numbers": ('<rect x="nan" width="1e308" height="1e400"/>', CANNOT),
    "turned beyond all": (f'<g transform="matrix(nan 0 0 1e300 0 0)">{RECT}</g>', CANNOT),
    "styles without end": (
        "<style>"
        + "".join(f"g g g g g g rect{{fill:#00{n:04}}}" for n in range(200))
        + f"</style>{'<g>' * 20}{RECT * 200}{'</g>' * 20}",
        STYLES,
    ),
    "styles for each shape": (f"<style>{'rect{fill:red}' * 400}</style>{RECT * 400}", STYLES),
    "dashes of nothing": (
        '<rect stroke="red" stroke-dasharray="0 0" width="9" height="9"/>',
        CANNOT,
    ),
}
BAD = FILES | {name: (SVG.format(held).encode(), says) for name, (held, says) in SHAPES.items()}


@pytest.mark.parametrize("name", BAD)
def test_a_logo_that_is_none(name: str) -> None:
    """Whatever could reach out, run or swell up: one line, with a mend; nothing is fetched."""
    data, message = BAD[name]
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with pytest.raises(InputError) as fault:
        checked_logo(data, where="logo.png")
    (line,) = fault.value.lines()
    assert line.startswith("logo.png: ")
    assert message in line
    assert "; " in line
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 200_000  # kB


def test_a_club_stops_at_a_logo_that_is_none(run: Run) -> None:
    """One line and exit 2 before the first pack is made."""
    Path("logo.png").write_bytes(FILES["png without picture"][0])
    Path("list.csv").write_text("diameter,height\n300,140\n")
    code, out, err = run("club", "list.csv", "--logo", "logo.png", "--jobs", "1", "--out", "o")
    assert (code, out) == (2, "")
    assert err == "logo.png: is a broken PNG; save it again\n"
    assert not Path("o").exists()


def test_a_large_logo_is_made_smaller(tmp_path: Path) -> None:
    """A picture of 16 million pixels in 60 kB stays within the sandbox and is kept small.

    A picture that was checked gives itself again.
    """
    rows = zlib.compress((b"\0" + bytes(4 * 4000)) * 4000, 9)
    data = _png(_head(4000, 4000), (b"IDAT", rows), END)
    assert len(data) < 70_000
    (tmp_path / "logo.png").write_bytes(data)
    logo = read_logo(tmp_path / "logo.png")
    assert (logo.width, logo.height) == (1500, 1500)
    assert checked_logo(logo.data, where="x") == logo


def test_what_a_picture_library_leaves_out_is_not_told_on_the_screen(
    run: Run, caplog: pytest.LogCaptureFixture
) -> None:
    """A colour that is none is left out without a word on stderr; the rest is drawn."""
    Path("logo.svg").write_text(SVG.format(f'<rect fill="no-colour" width="9" height="9"/>{RECT}'))
    Path("list.csv").write_text("diameter,height\n300,140\n")
    words = ["--logo", "logo.svg", "--part", "tag", "--jobs", "1", "--out", "o"]
    code, _, err = run("club", "list.csv", *words)
    assert (code, err) == (0, "")
    assert caplog.records == []
