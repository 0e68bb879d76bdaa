"""Measures a printer by the scan of a sheet that it printed."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from templategen.app.printers import keep_profile, looks_fitted
from templategen.app.typed import typed_length
from templategen.errors import InputError
from templategen.inputs.toml_table import read_bounded
from templategen.limits import Limits
from templategen.messages import Message, tr
from templategen.proof.sandbox import in_sandbox
from templategen.proof.scan import RuleMarks, ScanWishes
from templategen.proof.scan_picture import MOST_BYTES
from templategen.proof.untrusted import MOST_PACK
from templategen.trade.printer import PrinterFound, PrinterProfile, checked_factor, checked_skew

# An A3 sheet at 600 dpi in colours, and a pack of 60 sheets to find it in.
LIMITS = Limits(memory=1_600_000_000, work=90)
LONGEST_RULE = 1000.0  # mm


@dataclass(frozen=True, slots=True, kw_only=True)
class ScanReport:
    """How a sheet was printed.

    Args:
        name: of the scan's file.
        page: of the PDF, from 1.
        width: of the page, mm.
        height: of the page, mm.
        dpi: of the scan.
        places: patches of lines that were compared.
        spread: distance of single patches from the fitted map, mm, one standard deviation.
        found: the printer's scale and skew, and the scanner's own error.
        residual: across, down and skew of this page as it was printed, where it is corrected for a
            printer: true is (1, 1, 0); None where it is not.
        has_turned: whether a second scan gave the scanner's skew and the ratio of its scales.
        has_rule: whether a rule gave the scanner's scale.
    """

    name: str
    page: int
    width: float
    height: float
    dpi: float
    places: int
    spread: float
    found: PrinterFound
    residual: tuple[float, float, float] | None
    has_turned: bool
    has_rule: bool

    @property
    def is_fitted(self) -> bool:
        """Whether the page was probably fitted to the paper by the print dialog."""
        return looks_fitted(self.found.across, self.found.down)

    def lines(self) -> Iterator[Message]:
        """What was measured, for the screen, a sentence each."""
        found = self.found
        yield tr(
            "Page {page}: {places} places compared, single ones {spread:.3f} mm off",
            page=self.page,
            places=self.places,
            spread=self.spread,
        )
        wide = 180.0 if min(self.width, self.height) > 200 else 100.0
        high = 250.0 if max(self.width, self.height) > 270 else 150.0
        yield _length(tr("across"), wide, found.across, found.across_off)
        yield _length(tr("down"), high, found.down, found.down_off)
        yield tr(
            "skew: upright lines lean {lean:+.3f} mm in 100 mm to the right, ± {off:.3f} mm",
            lean=found.skew * 100,
            off=found.skew_off * 100,
        )
        if self.residual is not None:
            across, down, skew = self.residual
            yield tr(
                "This page is corrected for a printer. What is left of its error: {across:+.3f} % "
                "across, {down:+.3f} % down, a lean of {lean:+.3f} mm in 100 mm",
                across=100 * (across - 1),
                down=100 * (down - 1),
                lean=100 * skew,
            )
        yield self.scanner_line()

    def scanner_line(self) -> Message:
        """What is known of the scanner, and what to do to know more."""
        if self.found.scanner is None:
            return tr(
                "The scanner is taken as true. To take its own error out, scan the sheet again, "
                "turned by a quarter (--turned), with a steel rule beside it (--rule)."
            )
        across, down, skew = (100 * value for value in self.found.scanner)
        if self.has_turned and self.has_rule:
            return tr(
                "The scanner's own error is taken out: {across:+.3f} % across, {down:+.3f} % "
                "down, skew {skew:+.3f} mm in 100 mm",
                across=across,
                down=down,
                skew=skew,
            )
        if self.has_turned:
            return tr(
                "The scanner's skew ({skew:+.3f} mm in 100 mm) and the difference of its two "
                "scales ({difference:+.3f} %) are taken out; the mean of the two is taken as "
                "true. A steel rule tells it (--rule).",
                skew=skew,
                difference=across - down,
            )
        return tr(
            "The scanner's scale ({across:+.3f} %) is taken out, as the same across and down and "
            "square. A scan turned by a quarter tells whether it is (--turned).",
            across=across,
        )


def _length(side: Message, wanted: float, factor: float, off: float) -> Message:
    return tr(
        "{side}: {factor:.5f}; {wanted:g} mm are printed {printed:.3f} mm long, ± {off:.3f} mm",
        side=side,
        factor=factor,
        wanted=wanted,
        printed=wanted * factor,
        off=max(wanted * off, 0.001),
    )


def measure_scan(
    scan: Path,
    pack: Path,
    *,
    page: int | None = None,
    dpi: float | None = None,
    turned: Path | None = None,
    rule: RuleMarks | None = None,
) -> ScanReport:
    """How a sheet was printed, by the scan of it.

    Args:
        scan: PNG, JPEG or TIFF of one sheet, whole, from 150 dpi.
        pack: the PDF that was printed: a pack, a shop's set or the scale sheet.
        page: of the PDF, from 1; None to look for it.
        dpi: of the scans; None for what they say.
        turned: a second scan with the sheet turned by a quarter; it may be cut off.
        rule: two marks of a steel rule on the first scan, see `rule_marks`.

    Raises:
        InputError: a file that cannot be read; no sheet, another one, one that is cut off.
    """
    wishes = ScanWishes(
        name=scan.name,
        pack_name=pack.name,
        page=page,
        dpi=dpi,
        turned=None if turned is None else _picture(turned),
        turned_name="" if turned is None else turned.name,
        rule=rule,
    )
    answer, _ = in_sandbox(
        "templategen.proof.scan:measure",
        read_bounded(pack, most=MOST_PACK, ending=".pdf", mend=tr("this is no pack")),
        _picture(scan),
        wishes,
        where=scan.name,
        limits=LIMITS,
        mend=tr("scan one sheet at 300 dpi, and give --page"),
    )
    found, residual = answer.pop("found"), answer.pop("residual")
    scanner = None if found["scanner"] is None else tuple(found["scanner"])
    return ScanReport(
        **answer,
        name=scan.name,
        found=PrinterFound(**{**found, "scanner": scanner}),
        residual=None if residual is None else tuple(residual),
        has_turned=turned is not None,
        has_rule=rule is not None,
    )


def keep_scanned_printer(report: ScanReport, name: str) -> tuple[PrinterProfile, Path]:
    """Keeps a measured printer under a name: its profile, and the file that holds it.

    Raises:
        InputError: no scale that a printer may have, or no name for one.
        OutputError: the printer cannot be kept.
    """
    return keep_profile(
        PrinterProfile(
            name=name,
            across=checked_factor(report.found.across, where=report.name),
            down=checked_factor(report.found.down, where=report.name),
            skew=checked_skew(report.found.skew, where=report.name),
        )
    )


def rule_marks(first: str, second: str, length: str, *, where: str = "--rule") -> RuleMarks:
    """Two marks of a rule as they are typed: pixels as ``412,388``, and the length between them.

    Raises:
        InputError: no such text.
    """
    places = []
    for text in (first, second):
        try:
            column, row = (float(part) for part in text.split(","))
        except ValueError:
            column = row = -1.0
        if not (0 <= column < 1e6 and 0 <= row < 1e6):
            raise InputError(
                tr("{text!r} is no place in a picture", text=text),
                where=where,
                mend=tr("give pixels from the left and from the top, as 412,388"),
            )
        places.append((column, row))
    return RuleMarks(
        places=(places[0], places[1]),
        length=typed_length(length, where, most=LONGEST_RULE, mend=tr('write 200 or "8 in"')),
    )


def _picture(path: Path) -> bytes:
    return read_bounded(
        path,
        most=MOST_BYTES,
        ending=tr(".png, .jpg or .tif"),
        mend=tr("scan one sheet at 300 dpi"),
    )
