"""The command ``plan``: its tables tell what its JSON tells."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
from builders import EXAMPLES
from commands import Run, run_command


@pytest.mark.parametrize(("name", "bowls"), [("lakeside-400", 4), ("small-220", 3), ("inch-15", 3)])
def test_examples(name: str, bowls: int, tmp_path: Path) -> None:
    """Each example gives its bowls; the 400 × 180 one an outer bowl and three cores."""
    done = run_command("plan", str(EXAMPLES / f"{name}.toml"), "--json", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert len(json.loads(done.stdout)["bowls"]) == bowls


def _table(out: str, first: str, after: str) -> list[dict[str, str]]:
    """The rows of a table by its headings, the first table below a line with those columns."""
    lines = out[out.index(after) :].splitlines()
    top = next(n for n, line in enumerate(lines) if line.lstrip().startswith(first))
    heads = re.split(r"\s{2,}", lines[top].strip())
    rows = []
    for line in lines[top + 1 :]:
        cells = re.split(r"\s{2,}", line.strip())
        if len(cells) != len(heads) or not cells[0].isdigit():
            break
        rows.append(dict(zip(heads, cells, strict=True)))
    return rows


def _figures(run: Run, *words: str) -> tuple[str, dict[str, Any]]:
    out = run("plan", *words)[1]
    return out, json.loads(run("plan", *words, "--json")[1])


@pytest.mark.parametrize("order", ["inner-first", "outer-first"])
def test_the_tables_are_the_json(run: Run, tmp_path: Path, order: str) -> None:
    """Every figure of a cut and a bowl in the tables is that of the JSON, rounded to 0.1 mm."""
    assert run("start", ".")[0] == 0
    job = tmp_path / "job.toml"
    text = job.read_text("utf-8").replace('#order = "inner-first"', f'order = "{order}"')
    job.write_text(text.replace('wall = "10 %"', "wall = 20"), "utf-8")
    out, made = _figures(run, "job.toml")
    assert made["job"]["nest"].get("order", "inner-first") == order
    keys = {"from rim": "entry_from_rim", "standoff": "pivot_standoff", "offset": "pivot_offset",
            "depth": "depth_at_axis", "deepest": "deepest", "swing": "swing"}  # fmt: skip
    _same(_table(out, "cut", "Cut n runs"), made["cuts"], keys)
    _same(_table(out, "cut", "Stop:"), made["cuts"], {"stop at": "stop_angle", "neck": "stop_neck"})
    keys = {"rim Ø": "rim_diameter", "depth": "depth", "least wall": "wall",
            "greatest wall": "wall_greatest", "worst": "wall_worst", "floor": "floor"}  # fmt: skip
    _same(_table(out, "bowl", "Bowls, bowl 1"), made["bowls"], keys)
    keys = {"tenon Ø": "tenon_diameter", "end Ø": "tenon_end_diameter", "length": "tenon_length"}
    _same(_table(out, "bowl", "How each bowl"), made["bowls"], keys)
    dried = _table(out, "bowl", "Dried to")
    _same(dried, made["bowls"], {"out of flat": "rim_out_of_flat"})
    for row, bowl in zip(dried, made["bowls"], strict=True):
        assert row["jaws when dry"] == (bowl["dried_jaws"] or "none")


def _same(rows: list[dict[str, str]], known: list[dict[str, Any]], keys: dict[str, str]) -> None:
    assert [int(next(iter(row.values()))) for row in rows] == [each["number"] for each in known]
    for row, each in zip(rows, known, strict=True):
        for head, key in keys.items():
            value, shown = each[key], row[head]
            if value is None:
                assert shown in ("-", "solid"), (head, shown)
            elif shown.endswith("°"):
                assert float(shown[:-1]) == pytest.approx(value, abs=0.501)
            else:
                assert float(shown) == pytest.approx(value, abs=0.0501), (head, shown)


def test_no_speed_above_the_limit_is_printed(run: Run) -> None:
    """6000 over the inches across is the limit (common practice, no source); start at half."""
    out = run("plan", "--blank", "400x180")[1]
    limit = 6000 / (400 / 25.4)
    speeds = [int(text) for text in re.findall(r"(\d+) rpm", out)]
    assert speeds
    assert max(speeds) <= limit
    start, most = map(int, re.findall(r"start at (\d+) rpm; never above (\d+) rpm", out)[0])
    assert start <= most / 2 <= limit / 2


@pytest.mark.parametrize(
    ("language", "words"), [("en", ["--blank", "18x8in"]), ("de", [])], ids=["en", "de"]
)
def test_tables_fit_the_screen(run: Run, words: list[str], language: str) -> None:
    """No line but a finding's is 100 letters long; a finding is one line."""
    out = run("--language", language, "plan", *words)[1]
    heads = {
        "en": ("\nFindings\n", "\nCautions\n"),
        "de": ("\nBefunde\n", "\nSicherheitshinweise\n"),
    }
    tables, rest = out.split(heads[language][0])
    findings, cautions = rest.split(heads[language][1])
    assert all(len(line) < 100 for line in (tables + cautions).splitlines())
    assert all(line.count(": ") >= 2 for line in findings.splitlines() if line)


def test_explain_lists_the_defaults_that_no_file_states(run: Run, tmp_path: Path) -> None:
    """A key that a file states is no default; the others come with their ground."""
    (tmp_path / "shop.toml").write_text(
        '[[cutters]]\nid = "a"\nradius = 100\nkerf = 9\nmax_swing = 90\n'
        '[[jaws]]\nid = "j"\ntrue_circle = 100\ndepth = 14\n'
    )
    plain = run("plan", "--blank", "250x120", "--shop", "shop.toml")[1]
    out = run("plan", "--blank", "250x120", "--shop", "shop.toml", "--explain")[1]
    assert out.startswith(plain[: plain.index("Findings")])
    told = out[out.index("Defaults of this plan") :]
    assert "max_swing" not in told
    assert "nest.max_slope = 12°: chosen here, no source; set your own" in told
    assert "on marks of 0.5 mm" in out


def test_a_shop_file_is_named_as_one(run: Run) -> None:
    """A person who gives the shop file to ``plan`` is told so in a line."""
    run("start", ".")
    code, out, err = run("plan", "shop.toml")
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert "this is a shop file" in err


def test_a_shops_own_defaults_reach_the_plan(tmp_path: Path) -> None:
    """A [rules.nest] of the shop counts for a job file and for --blank alike."""
    assert run_command("start", "s", cwd=tmp_path).returncode == 0
    shop = tmp_path / "s" / "shop.toml"
    text = shop.read_text("utf-8")
    shop.write_text(text.replace("# [rules.nest]", "[rules.nest]").replace("# setting", "setting"))
    for words in (["s/job.toml"], ["--blank", "400x180", "--shop", "s/shop.toml"]):
        done = run_command("plan", *words, "--json", cwd=tmp_path)
        assert done.returncode == 0, done.stderr
        assert json.loads(done.stdout)["job"]["nest"]["setting_tolerance"] == 0.5


def test_the_plan_tells_what_it_does_not_know(tmp_path: Path) -> None:
    """No wood, no power: dashes, not noughts; with all of it forces, energy and the dried rims."""
    (tmp_path / "shop.toml").write_text('[[cutters]]\nid = "a"\nradius = 100\nkerf = 9\n')
    bare = run_command("plan", "--blank", "250x120", "--shop", "shop.toml", cwd=tmp_path).stdout
    assert "green blank not known" in bare
    assert "full power" not in bare
    assert "a catch" not in bare
    full = run_command("plan", cwd=tmp_path).stdout
    assert "The tip at full power" in full
    assert re.search(r"the blank holds about \d+ J: a catch can break any tenon", full)
    assert "rim, dried" in full
