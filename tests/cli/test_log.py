"""The command ``log``: its table, its JSON and its page agree."""

import json
from pathlib import Path

import pypdfium2
from commands import Run


def test_table_json_and_page_agree(run: Run, tmp_path: Path) -> None:
    """Every blank of the JSON stands in a row of the table and of the page."""
    code, out, _ = run("log", "460x900", "--rim", "bark", "--pdf", "log.pdf")
    assert code == 0
    code, text, _ = run("log", "460x900", "--rim", "bark", "--json")
    made = json.loads(text)
    assert (code, made["format"]) == (0, "templategen-log/1")
    assert {blank["rim"] for blank in made["blanks"]} == {"bark"}
    page = pypdfium2.PdfDocument(tmp_path / "log.pdf")[0].get_textpage().get_text_bounded()
    for blank in made["blanks"]:
        size = f"{blank['diameter']:g} mm", f"{blank['height']:g} mm"
        row = next(row for row in out.splitlines() if row.split("  ")[0].strip() == size[0])
        assert size[1] in row
        assert row.split()[-1] == str(blank["bowls_in_all"])
        assert all(text in page for text in size)


def test_inches_and_german(run: Run) -> None:
    """A log in inches prints inches, and the words of the screen's language."""
    code, out, _ = run("--language", "de", "log", "18x36in", "--units", "in")
    assert code == 0
    assert out.startswith("Stamm Ø 18 × 36 in;")
    assert "Rand zum Mark" in out
    assert max(map(len, out.splitlines())) < 100
