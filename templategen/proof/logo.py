"""Pictures from outside, checked before anything is made.

A picture is untrusted input. A PNG is decoded whole once; an SVG is read as XML without a
document type, rebuilt from a short list of shapes, and may refer to nothing outside itself.
"""

import io
import re
import struct
from xml.etree import ElementTree

from PIL import Image

from templategen.errors import InputError, LimitError
from templategen.messages import Text, tr
from templategen.output.logo import can_be_drawn, svg_size
from templategen.proof.sandbox import Answer
from templategen.sheets.letterhead import MOST_LOGO, Logo, PictureKind

MOST_SVG = 300_000  # bytes: two megabytes of shapes would take half a minute to read
MOST_PIXELS = 4000  # a side
MOST_KEPT = 1500  # pixels a side: 600 dpi at the widest that is printed; more is made smaller
MOST_MATCHES = 100_000  # rules of styles times shapes; each rule is tried on each shape
LONGEST_SELECTOR = 3  # elements: the work for one rule grows as their number's power
MOST_ELEMENTS = 5000
DEEPEST = 40  # elements within elements
SLIMMEST = 20.0  # greatest ratio of the sides
SPACE = "{http://www.w3.org/2000/svg}"
PLAIN = tr("use a PNG, or an SVG of plain shapes with its text turned into paths")
SIMPLER = tr("use a simpler picture, or PNG")
SMALLER = tr("use a smaller picture")
SIGNATURE = b"\x89PNG\r\n\x1a\n"  # PNG specification (ISO/IEC 15948), 5.2
SHAPES = frozenset(
    {"svg", "g", "defs", "title", "desc", "metadata", "path", "rect", "circle", "ellipse", "line"}
    | {"polyline", "polygon", "linearGradient", "radialGradient", "stop", "clipPath", "style"}
)


def picture(data: bytes, name: str) -> Answer:
    """A task of the sandbox: a checked picture, its sides and its bytes."""
    logo = checked_logo(data, where=name)
    return {"kind": logo.kind.value, "width": logo.width, "height": logo.height}, logo.data


def checked_logo(data: bytes, *, where: Text) -> Logo:
    """The picture that bytes hold, checked.

    Args:
        data: a PNG or an SVG, of up to 2 MB; a checked picture's own bytes give it again.
        where: names it in faults.

    Raises:
        InputError: as `read_logo`.
    """
    try:
        return _checked(data)
    except InputError as error:
        raise type(error)(error.what, where=where, mend=error.mend) from error


def _checked(data: bytes) -> Logo:
    if len(data) > MOST_LOGO:
        raise LimitError(tr("larger than {bound} MB", bound=MOST_LOGO // 1_000_000), mend=SMALLER)
    logo = _png(data) if data.startswith(SIGNATURE) else _svg(data)
    if max(logo.width / logo.height, logo.height / logo.width) > SLIMMEST:
        raise InputError(tr("is too long and thin"), mend=tr("cut the picture to size"))
    return logo


def _png(data: bytes) -> Logo:
    # The heading comes first and states the size (ISO/IEC 15948, 11.2.2): nothing is decoded yet.
    if len(data) < 33 or data[12:16] != b"IHDR":
        raise InputError(tr("is a broken PNG"), mend=tr("save it again"))
    width, height = struct.unpack(">II", data[16:24])
    if max(width, height) > MOST_PIXELS:
        raise LimitError(
            tr("{width} × {height} pixels", width=width, height=height),
            mend=tr("use at most {most} a side", most=MOST_PIXELS),
        )
    try:
        with Image.open(io.BytesIO(data), formats=["PNG"]) as image:
            image.load()
            if max(image.size) > MOST_KEPT:
                whole = image.convert("RGBA")
                whole.thumbnail((MOST_KEPT, MOST_KEPT))
                (width, height), out = whole.size, io.BytesIO()
                whole.save(out, "PNG")
                data = out.getvalue()
    except (OSError, SyntaxError, ValueError) as error:
        raise InputError(tr("is a broken PNG"), mend=tr("save it again")) from error
    return Logo(data=data, kind=PictureKind.PNG, width=float(width), height=float(height))


def _svg(data: bytes) -> Logo:
    if len(data) > MOST_SVG and data.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<"):
        raise LimitError(tr("larger than {bound}", bound=f"{MOST_SVG // 1000} kB"), mend=SMALLER)
    neither = InputError(tr("is neither PNG nor SVG"), mend=PLAIN)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise neither from error
    text = re.sub(r"<!DOCTYPE[^>\[]{0,300}>", "", text, count=1)
    if "<!DOCTYPE" in text or "<!ENTITY" in text:
        raise InputError(tr("declares entities"), mend=PLAIN)
    try:
        root = ElementTree.fromstring(text.strip())
    except (ElementTree.ParseError, ValueError) as error:
        raise neither from error
    if root.tag != f"{SPACE}svg":
        raise neither
    _check_work(root)
    ElementTree.register_namespace("", SPACE[1:-1])
    plain = ElementTree.tostring(_cleaned(root, 1), encoding="utf-8")
    size = svg_size(plain)
    if size is None or not all(0.01 < side < 1e6 for side in size):
        raise InputError(tr("shows nothing"), mend=tr("give it a viewBox and some shapes"))
    logo = Logo(data=plain, kind=PictureKind.SVG, width=size[0], height=size[1])
    if not can_be_drawn(logo):
        raise InputError(tr("holds figures that cannot be drawn"), mend=PLAIN)
    return logo


def _check_work(root: ElementTree.Element) -> None:
    """Refuses too many shapes, and styles that would take long to be matched with them."""
    shapes = sum(1 for _ in root.iter())
    if shapes > MOST_ELEMENTS:
        raise LimitError(tr("holds too many shapes"), mend=SIMPLER)
    styles = [element.text or "" for element in root.iter(f"{SPACE}style")]
    selectors = [s for text in styles for rule in text.split("}") for s in
                 rule.split("{")[0].split(",")]  # fmt: skip
    longest = max((len(re.split(r"[\s>+~]+", s.strip())) for s in selectors), default=0)
    if longest > LONGEST_SELECTOR or len(selectors) * shapes > MOST_MATCHES:
        raise LimitError(tr("holds too many styles"), mend=SIMPLER)


def _cleaned(element: ElementTree.Element, depth: int) -> ElementTree.Element:
    """The element again, of known shapes only; names of other makers' own spaces fall away."""
    if depth > DEEPEST:
        raise LimitError(tr("holds too many shapes"), mend=SIMPLER)
    tag = element.tag.removeprefix(SPACE)
    if tag not in SHAPES:
        raise InputError(tr("holds <{tag}>", tag=tag[:40]), mend=PLAIN)
    made = ElementTree.Element(f"{SPACE}{tag}")
    for key, value in element.attrib.items():
        name = key.rsplit("}", 1)[-1]
        if name.lower().startswith("on"):
            raise InputError(tr("holds a script ({name})", name=name[:40]), mend=PLAIN)
        if (name == "href" and not value.startswith("#")) or _refers_outside(value):
            raise InputError(tr("refers to something outside itself"), mend=PLAIN)
        if not key.startswith("{") or name == "href":
            made.set(key, value)
    if tag in ("title", "desc", "metadata"):
        return made
    made.text = element.text
    if tag == "style" and _refers_outside(element.text or ""):
        raise InputError(tr("refers to something outside itself"), mend=PLAIN)
    for child in element:
        if child.tag.startswith(SPACE):
            made.append(_cleaned(child, depth + 1))
    return made


def _refers_outside(style: str) -> bool:
    inside = re.sub(r"url\(\s*['\"]?#[^)]*\)", "", style, flags=re.IGNORECASE)
    way = r"url\s*\(|@|\\|javascript:|expression\s*\("
    return re.search(way, inside, flags=re.IGNORECASE) is not None
