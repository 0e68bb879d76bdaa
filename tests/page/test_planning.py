"""Live plan: drawing, findings at their places, moved cuts, suggestions."""

import copy
import math
import re
from typing import Any
from xml.etree import ElementTree

import pytest
from asking import Asker

from templategen.app.jobs import open_job
from templategen.app.plans import make_plan

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def made(page: Asker, forms: dict[str, Any]) -> dict[str, Any]:
    """The plan of the starter job."""
    status, answer = page.ask("plan", **forms, window="w", serial=1)
    assert status == 200
    return answer


def _drawing(answer: dict[str, Any]) -> tuple[ElementTree.Element, dict[str, ElementTree.Element]]:
    root = ElementTree.fromstring(answer["svg"])
    return root, {group.get("id", ""): group for group in root.iter(f"{SVG}g")}


def _points(group: ElementTree.Element) -> list[tuple[float, float]]:
    """The end points of all lines and arcs of a group."""
    found = []
    for path in group.iter(f"{SVG}path"):
        numbers = re.findall(r"[MLA]([^MLAZ]*)", path.get("d", ""))
        found += [tuple(float(n) for n in words.split()[-2:]) for words in numbers]
    return [(x, y) for x, y in found]


def test_the_page_plans_as_the_command_does(page: Asker, made: dict[str, Any]) -> None:
    """The same files give the same cuts as `templategen plan`."""
    plan = make_plan(open_job(page.root / "job.toml"))
    assert [(c["cutter"], c["entry_radius"], c["depth_at_axis"]) for c in made["plan"]["cuts"]] == [
        (c.cutter.id, c.entry_radius, c.depth_at_axis) for c in plan.cuts
    ]
    assert made["verdict"]["text"] == f"{len(plan.bowls)} bowls"


def test_marks_stand_where_the_figures_say(made: dict[str, Any]) -> None:
    """Entry, depth and pivot of each cut in the drawing, by the formulas of a circle."""
    root, groups = _drawing(made)
    left, face = float(root.get("data-left", "")), float(root.get("data-face", ""))
    for cut in made["plan"]["cuts"]:
        n, height = cut["number"], cut["cutter_height"]
        entry = math.sqrt(cut["entry_radius"] ** 2 - height**2)
        assert _points(groups[f"entry-{n}"])[0][0] + left == pytest.approx(entry, abs=1e-4)
        assert _points(groups[f"depth-{n}"])[0][1] - face == pytest.approx(
            cut["depth_at_axis"], abs=1e-4
        )
        pivot = _points(groups[f"pivot-{n}"])
        assert sum(x for x, _ in pivot) / 4 + left == pytest.approx(cut["pivot_offset"], abs=1e-4)
        assert face - sum(y for _, y in pivot) / 4 == pytest.approx(cut["pivot_standoff"], abs=1e-4)
        for x, y in _points(groups[f"cut-{n}"]):
            far = math.hypot(x + left - cut["pivot_offset"], y - face + cut["pivot_standoff"])
            assert far == pytest.approx(cut["radius"], abs=1e-4)


def test_every_bowl_has_its_walls(made: dict[str, Any]) -> None:
    """Each bowl is filled and has least and greatest wall, as long as its figures; each id once."""
    root, groups = _drawing(made)
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    for bowl in made["plan"]["bowls"]:
        n = bowl["number"]
        assert "bowl" in groups[f"bowl-{n}"].get("class", "").split()
        if bowl["kind"] == "core":
            assert f"wall-{n}-least" not in groups
            continue
        for which, key in (("least", "wall"), ("greatest", "wall_greatest")):
            line = groups[f"wall-{n}-{which}"].find(f"{SVG}path")
            assert line is not None
            (x0, y0), (x1, y1) = _points(groups[f"wall-{n}-{which}"])[:2]
            # Above centre a wall is a little longer in the cutter's plane than its true distance.
            assert math.hypot(x1 - x0, y1 - y0) == pytest.approx(bowl[key], abs=0.3)


def test_the_drawing_brings_no_colour_or_script(made: dict[str, Any]) -> None:
    """No style, no script and no address in the drawing: the content policy needs no exception."""
    for name in ("svg", "rims_svg"):
        for element in ElementTree.fromstring(made[name]).iter():
            assert element.tag.removeprefix(SVG) in {"svg", "g", "path", "text", "defs"}
            assert not {"style", "onload", "href"} & element.attrib.keys()


def test_findings_name_places_of_the_drawing(page: Asker, forms: dict[str, Any]) -> None:
    """Every place of a finding and of a row of a table is an id of the drawing."""
    thin = copy.deepcopy(forms)
    thin["job"]["nest"]["pinned"] = [
        {"cutter": "R105", "entry_radius": "115", "depth_at_axis": "95"}
    ]
    answer = page.ask("plan", **thin)[1]
    _, groups = _drawing(answer)
    places = [place for finding in answer["findings"] for place in finding["places"]]
    assert places
    rows = [place for table in answer["tables"] for place in table["places"]]
    assert {*places, *rows} <= groups.keys()
    assert answer["verdict"]["state"] in {"stop", "caution"}


def test_the_tables_say_what_the_drawing_shows(made: dict[str, Any]) -> None:
    """The text equivalent: a row for each cut and each bowl, as long as its heading."""
    tables = {table["id"]: table for table in made["tables"]}
    assert len(tables["cuts"]["rows"]) == len(made["plan"]["cuts"])
    assert len(tables["bowls"]["rows"]) == len(made["plan"]["bowls"])
    for table in tables.values():
        assert all(len(row) == len(table["head"]) for row in table["rows"])


def test_a_dragged_cut_is_fixed_on_the_marks(page: Asker, forms: dict[str, Any]) -> None:
    """A drag becomes a fixed cut on half millimetres, and comes off again."""
    status, moved = page.ask("move", **forms, cut=1, entry_radius=157.26, depth_at_axis=115.1)
    assert status == 200
    assert moved["job"]["nest"]["pinned"] == [
        {"cutter": "R135", "entry_radius": 157.5, "depth_at_axis": 115.0}
    ]
    cut = moved["plan"]["cuts"][moved["cut"] - 1]
    assert (cut["entry_radius"], cut["depth_at_axis"]) == (157.5, 115.0)
    assert moved["pinned"] == [moved["cut"]]
    again = {"job": moved["job"], "shop": forms["shop"]}
    status, further = page.ask("move", **again, cut=moved["cut"], entry_radius=158.0)
    assert (status, len(further["job"]["nest"]["pinned"])) == (200, 1)
    status, free = page.ask("unpin", job=further["job"], shop=forms["shop"], cut=further["cut"])
    assert (status, free["pinned"]) == (200, [])
    assert free["job"] == forms["job"]


@pytest.mark.parametrize(
    ("step", "key", "change"),
    [
        ({"entry": 1}, "entry_radius", 0.5),
        ({"depth": -2}, "depth_at_axis", -1.0),
        ({"offset": 1}, "pivot_offset", 0.5),
        ({"standoff": 1}, "pivot_standoff", 0.5),
    ],
)
def test_arrow_keys_move_a_cut_by_marks(
    page: Asker, forms: dict[str, Any], made: dict[str, Any], step: dict[str, int], key: str,
    change: float,
) -> None:  # fmt: skip
    """A step is a mark of half a millimetre; a pivot between marks goes to the next one."""
    before = made["plan"]["cuts"][0][key]
    status, moved = page.ask("move", **forms, cut=1, step=step)
    assert status == 200
    after = moved["plan"]["cuts"][moved["cut"] - 1][key]
    assert after == pytest.approx(before + change, abs=0.2501)
    assert after / 0.5 == pytest.approx(round(after / 0.5), abs=1e-6)


def test_inch_jobs_move_on_64ths(page: Asker, forms: dict[str, Any]) -> None:
    """In an inch job a drag is snapped to 1/64 in and written as an inch rule shows it."""
    job = {"units": "in", "blank": {"diameter": "16", "height": "7"}}
    status, moved = page.ask("move", job=job, shop=forms["shop"], cut=1, entry_radius=160.0)
    assert status == 200
    pin = moved["job"]["nest"]["pinned"][0]
    assert pin["entry_radius"] == "6 19/64"  # 160 mm = 6.299 in; 6 19/64 = 6.297
    cut = moved["plan"]["cuts"][moved["cut"] - 1]
    assert cut["entry_radius"] * 64 / 25.4 == pytest.approx(6 * 64 + 19)


def test_a_move_that_cannot_be_changes_nothing(page: Asker, forms: dict[str, Any]) -> None:
    """A cut dragged where no circle of its radius runs is a fault; so is one that is not there."""
    status, answer = page.ask("move", **forms, cut=1, entry_radius=700.0, depth_at_axis=600.0)
    assert (status, "job" in answer, answer["faults"][0]["doc"]) == (422, False, "job")
    assert page.ask("move", **forms, cut=99, entry_radius=100.0)[0] == 422
    assert page.ask("unpin", **forms, cut=1)[0] == 422


def test_a_suggestion_applies_itself(page: Asker, forms: dict[str, Any]) -> None:
    """The change of each suggestion, put into the forms as data, gives the bowls it promises."""
    have = len(page.ask("plan", **forms)[1]["plan"]["bowls"])
    suggestions = page.ask("advice", **forms)[1]["suggestions"]
    assert suggestions
    for suggestion in suggestions:
        changed = copy.deepcopy(forms)
        for change in suggestion["change"]:
            *tables, key = change["key"].split(".")
            inner = changed[change["doc"]]
            for table in tables:
                inner = inner.setdefault(table, {})
            inner[key] = change["value"]
        status, answer = page.ask("plan", **changed)
        assert status == 200, answer
        assert len(answer["plan"]["bowls"]) > have, suggestion


def test_another_set_can_be_taken(page: Asker, forms: dict[str, Any]) -> None:
    """The job of another set plans to the rims that it promised."""
    for other in page.ask("advice", **forms)[1]["sets"]:
        answer = page.ask("plan", job=other["job"], shop=forms["shop"])[1]
        assert answer["headline"]["rims"] == other["rims"]


def test_an_older_request_is_dropped(page: Asker, forms: dict[str, Any]) -> None:
    """A request that comes after a newer one of its window is not planned."""
    assert "plan" in page.ask("plan", **forms, window="late", serial=5)[1]
    assert page.ask("plan", **forms, window="late", serial=4)[1] == {"stale": True, "serial": 4}
    assert "plan" in page.ask("plan", **forms, window="other", serial=4)[1]


@pytest.mark.parametrize(("language", "bowls"), [("en", "bowls"), ("de", "Schalen")])
def test_the_plan_speaks_the_language_of_the_window(
    page: Asker, forms: dict[str, Any], language: str, bowls: str
) -> None:
    """Verdict, tables and fields are in the language that is asked for."""
    answer = page.ask("plan", **forms, language=language)[1]
    assert bowls in answer["verdict"]["text"]
    heads = {cell for table in answer["tables"] for cell in table["head"]}
    assert ("Schale" in heads) is (language == "de")


def test_names_from_files_stay_text(page: Asker, forms: dict[str, Any]) -> None:
    """A cutter whose id looks like markup is drawn as its letters, in drawing and thumbnails."""
    name = "<script>alert(1)</script>&\"'"
    shop = {**forms["shop"], "cutters": [{"id": name, "radius": "105", "kerf": "9"}]}
    status, answer = page.ask("plan", job=forms["job"], shop=shop)
    assert status == 200
    root, _ = _drawing(answer)
    assert not list(root.iter(f"{SVG}script"))
    assert any(name in "".join(text.itertext()) for text in root.iter(f"{SVG}text"))
    for thumb in page.task("thumbs", job=forms["job"], shop=shop)["result"]["thumbs"]:
        assert not list(ElementTree.fromstring(thumb["svg"]).iter(f"{SVG}script"))


def test_every_kind_of_part_has_a_picture(page: Asker, forms: dict[str, Any]) -> None:
    """Each kind that can be ticked is drawn small; where the plan has none, what it lacks is named.

    The field that is named gives the part once it is filled in.
    """
    job = {key: value for key, value in forms["job"].items() if key != "log"}
    kinds = [kind["kind"] for group in page.ask("kinds")[1]["groups"] for kind in group["kinds"]]
    thumbs = page.task("thumbs", job=job, shop=forms["shop"])["result"]["thumbs"]
    assert [thumb["kind"] for thumb in thumbs] == kinds
    for thumb in thumbs:
        assert ElementTree.fromstring(thumb["svg"]).find(f"{SVG}path") is not None
    lacking = {thumb["kind"]: thumb["needs"] for thumb in thumbs if thumb["needs"]}
    assert lacking["log end"] == {"doc": "job", "key": "log.diameter"}
    job["log"] = {"diameter": "600", "length": "1000"}
    thumbs = page.task("thumbs", job=job, shop=forms["shop"])["result"]["thumbs"]
    assert next(thumb for thumb in thumbs if thumb["kind"] == "log end")["made"]


def test_findings_name_a_field_that_there_is(page: Asker, forms: dict[str, Any]) -> None:
    """The field of a finding is one of the forms, in a row that the shop has."""
    fields = page.ask("fields", units="mm")[1]
    known = {
        doc: {field["path"] for table in fields[doc] for field in table["fields"]} for doc in fields
    }
    thin = copy.deepcopy(forms)
    thin["job"]["nest"] |= {
        "wall": "drying",
        "pinned": [{"cutter": "R105", "entry_radius": "115", "depth_at_axis": "95"}],
    }
    bare = {"job": {"blank": {"diameter": "700", "height": "300"}}, "shop": forms["shop"]}
    named = set()
    for request in (forms, thin, bare):
        for finding in page.ask("plan", **request)[1]["findings"]:
            if found := finding["field"]:
                key = re.sub(r"\[\d+\]", "", found["key"])
                assert key in known[found["doc"]], finding
                row = re.search(r"(cutters|jaws)\[(\d+)\]", found["key"])
                assert row is None or int(row[2]) <= len(request["shop"][row[1]])
                named.add(finding["rule"])
    assert {"droop", "lathe", "wood"} <= named


def test_dried_outlines_shrink_as_the_handbook_says(page: Asker, forms: dict[str, Any]) -> None:
    """The dashed half section of bowl 1 is narrower by the shrinkage of its rim across the grain.

    Along a ring the wood keeps 1 - S_T, along a radius 1 - S_R, so its width lies between the two
    (Wood Handbook FPL-GTR-282, table 4-3; red oak: radial 4.0, tangential 8.6 % to ovendry, of
    which (30 - 10)/30 to 10 %, Eq. 4-9).
    """
    job = {**forms["job"], "blank": {**forms["job"]["blank"], "wood": "northern red oak"}}
    root, groups = _drawing(page.ask("plan", job=job, shop=forms["shop"])[1])
    left = float(root.get("data-left", ""))
    green = max(x for x, _ in _points(groups["bowl-1"])) + left
    dried = max(x for x, _ in _points(groups["dry-1"])) + left
    assert 1 - 0.086 * 2 / 3 <= dried / green <= 1 - 0.040 * 2 / 3
