"""Pictures from outside: what is no plain picture is refused before anything is made of it."""

import io
import zlib

import pytest
from PIL import Image

from templategen.errors import InputError
from templategen.proof.logo import checked_logo

SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20" width="40" height="20">{}</svg>'
GOOD = '<rect x="0" y="0" width="40" height="20" fill="#c80000"/>'


def _png(width: int, height: int) -> bytes:
    file = io.BytesIO()
    Image.new("RGBA", (width, height), (200, 0, 0, 255)).save(file, "PNG")
    return file.getvalue()


def _too_wide_png() -> bytes:
    """A PNG that claims 60000 pixels a side: its heading is all that may be read."""
    data = bytearray(_png(8, 8))
    data[16:24] = (60000).to_bytes(4, "big") * 2
    data[29:33] = zlib.crc32(bytes(data[12:29])).to_bytes(4, "big")
    return bytes(data)


ATTACKS = {
    "no picture": (b"hello", "neither PNG nor SVG"),
    "zero png": (b"\x89PNG\r\n\x1a\n" + bytes(8) + b"IHDR" + bytes(20), "is a broken PNG"),
    "broken png": (_png(8, 8)[:40], "is a broken PNG"),
    "wide png": (_too_wide_png(), "60000 × 60000 pixels"),
    "long png": (_png(1000, 3), "too long and thin"),
    "big file": (b"\x89PNG\r\n\x1a\n" + bytes(2_000_001), "larger than 2 MB"),
    "script": (SVG.format("<script>x</script>").encode(), "holds <script>"),
    "event": (SVG.format('<rect onload="x" width="3" height="3"/>').encode(), "holds a script"),
    "image": (SVG.format('<image href="file:///etc/passwd"/>').encode(), "holds <image>"),
    "use": (SVG.format('<use href="#a"/>').encode(), "holds <use>"),
    "text": (SVG.format("<text>x</text>").encode(), "holds <text>"),
    "link": (
        SVG.format('<linearGradient href="http://x.invalid/a"/>').encode(),
        "something outside itself",
    ),
    "style": (
        SVG.format("<style>@import url(http://x.invalid/a.css);</style>").encode(),
        "something outside itself",
    ),
    "fill": (
        SVG.format('<rect fill="url(http://x.invalid/#g)" width="3" height="3"/>').encode(),
        "something outside itself",
    ),
    "entities": (
        b'<!DOCTYPE svg [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>' + SVG.format("&b;").encode(),
        "declares entities",
    ),
    "deep": (SVG.format("<g>" * 60 + "</g>" * 60).encode(), "too many shapes"),
    "many": (SVG.format("<g/>" * 6000).encode(), "too many shapes"),
    "empty": (b'<svg xmlns="http://www.w3.org/2000/svg" width="0" height="0"/>', "shows nothing"),
    "utf-16": (SVG.format(GOOD).encode("utf-16"), "neither PNG nor SVG"),
}


@pytest.mark.parametrize("name", ATTACKS)
def test_bad_pictures_are_refused(name: str) -> None:
    """Whatever could reach out, run, or swell up is refused with a reason and a mend."""
    data, message = ATTACKS[name]
    with pytest.raises(InputError) as caught:
        checked_logo(data, where="logo.svg")
    assert message in str(caught.value)
    assert "; " in str(caught.value)
