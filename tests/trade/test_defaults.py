"""The one table of defaults: records and readers take theirs from it, each with a ground."""

import dataclasses
import inspect
import json
import tomllib
from typing import Any

import pytest

from templategen.errors import InputErrors
from templategen.inputs.job_file import job_from_table
from templategen.inputs.shop_file import shop_from_table, shop_to_table
from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest.planner import make_plan
from templategen.parts import setting_card
from templategen.parts.cautions import CAUTIONS, cautions_for
from templategen.parts.style import PrintStyle
from templategen.trade import defaults, records
from templategen.trade.records import LengthWall, ShareWall
from templategen.units import Units

SECTIONS = {
    records.Cutter: "cutters",
    records.Jaws: "jaws",
    records.Post: "post",
    records.Rules: "rules",
    records.Blank: "blank",
    records.Relief: "nest.relief",
    records.Nest: "nest",
    records.Tenon: "tenon",
    records.Print: "print",
}
SHOP = {"cutters": [{"id": "a", "radius": 100, "kerf": 9}], "jaws": []}


def _record_defaults() -> dict[str, Any]:
    """Every default of the records that is a choice: not None, empty or a record of its own."""
    found: dict[str, Any] = {}
    for _, record in inspect.getmembers(records, dataclasses.is_dataclass):
        for field in dataclasses.fields(record):
            value = field.default
            if value is dataclasses.MISSING or value in (None, "", ()):
                continue
            found[f"{SECTIONS[record]}.{field.name}"] = value
    return found


def test_each_default_of_the_records_stands_in_the_table() -> None:
    """Same key, same value; a record that grows a default must enter it with its ground."""
    table = {entry.key: entry.value for entry in defaults.TABLE}
    assert len(table) == len(defaults.TABLE)
    found = _record_defaults()
    assert len(found) > 25
    for key, value in found.items():
        if key == "nest.wall":
            value = value.share
        assert table.pop(key) == value, key
    apart = {k for k in table if not k.startswith("fixed: ")}
    assert apart == {
        "nest.wall policy",
        "print.paper of an inch job",
        "print.stock of an inch job",
    }


def test_each_default_has_unit_and_ground() -> None:
    """No figure without its unit and a source or the plain word that there is none."""
    for entry in defaults.TABLE:
        assert entry.unit in {"mm", "°", "%", "rpm", "share", "count", "word", "W", "N", "times"}, (
            entry.key
        )
        assert any(
            word in entry.ground
            for word in ("no source", "from memory", "ISO", "ANSI", "design of the project")
        ), entry.key


def test_the_usual_figures_of_the_trade() -> None:
    """Common practice, no source: the figures turners go by while coring."""
    assert defaults.TENON_SHARE.value == 0.5
    assert defaults.HEIGHT_ABOVE_CENTRE.value == 5
    assert (defaults.RELIEF_SHIFT.value, defaults.RELIEF_DEPTH.value) == (5, 25)
    assert defaults.MAX_CORING_SPEED.value == 500
    assert defaults.CAUTION_SHARE.value == 0.4
    assert defaults.REFUSE_SHARE.value == pytest.approx(1 / 3)


def test_readers_give_the_records_own_defaults() -> None:
    """A file that says only what it must reads as records made with nothing but that."""
    shop = shop_from_table(
        {**SHOP, "jaws": [{"id": "j", "true_circle": 50, "depth": 12}]}, where=""
    )
    assert shop.cutters == (records.Cutter(id="a", radius=100, kerf=9),)
    assert shop.jaws == (records.Jaws(id="j", true_circle=50, depth=12),)
    assert (shop.post, shop.rules, shop.lathe) == (
        records.Post(),
        records.Rules(),
        records.Lathe(),
    )
    table = {"blank": {"diameter": 400, "height": 180}}
    job = job_from_table(table, where="", known_wood=lambda _: None)
    assert job.blank == records.Blank(diameter=400, height=180)
    assert (job.nest, job.tenon, job.print) == (
        records.Nest(),
        records.Tenon(),
        records.Print(),
    )
    inch = job_from_table(
        {**table, "units": "in", "blank": {"diameter": 15, "height": 6}},
        where="",
        known_wood=lambda _: None,
    )
    assert inch.units is Units.IN
    assert inch.print.paper == defaults.INCH_PAPER.value


def test_a_faster_shop_is_allowed_and_cautioned() -> None:
    """Over 500 rpm (common practice, no source) the card says so; over the bound it is refused."""
    fast = shop_from_table({**SHOP, "rules": {"max_coring_speed": 800}}, where="shop.toml")
    assert cautions_for(fast)[1:] == CAUTIONS
    assert "800 rpm" in str(cautions_for(fast)[0])
    assert cautions_for(demo_shop()) == CAUTIONS
    shop = dataclasses.replace(demo_shop(), rules=fast.rules)
    plan = make_plan(demo_job(), shop, with_mends=False)
    card, *_others = setting_card.make(plan, style=PrintStyle(units=Units.MM))
    words = " ".join(t.text for t in card.drawing.texts())
    assert str(cautions_for(fast)[0]) in words
    with pytest.raises(InputErrors, match="9000 is out of bounds"):
        shop_from_table({**SHOP, "rules": {"max_coring_speed": 9000}}, where="shop.toml")


OWN = """
[[cutters]]
id = "a"
radius = 100
kerf = 9
[rules.nest]
wall = "12 %"
floor = 30
setting_tolerance = 0.5
relief = { shift = 4 }
[rules.tenon]
length = 8
[rules.print]
paper = "a3"
stock = [4, 12]
"""


def test_a_shop_may_set_any_default_of_its_jobs() -> None:
    """Design §10, [rules]: what a job leaves out comes from the shop, what it says stands."""
    shop = shop_from_table(tomllib.loads(OWN), where="shop.toml")
    blank = {"diameter": 400, "height": 180}
    plain = job_from_table({"blank": blank}, where="", known_wood=lambda _: None, usual=shop.rules)
    assert plain.nest == records.Nest(
        wall=ShareWall(0.12),
        floor=30.0,
        setting_tolerance=0.5,
        relief=records.Relief(shift=4.0),
    )
    assert plain.tenon == records.Tenon(length=8.0)
    assert plain.print == records.Print(paper="a3", stock=(4.0, 12.0))
    table = {
        "blank": blank,
        "nest": {"wall": 20, "floor": "wall", "relief": False},
        "tenon": {"length": 10},
        "print": {"paper": "letter"},
    }
    job = job_from_table(table, where="", known_wood=lambda _: None, usual=shop.rules)
    assert job.nest.wall == LengthWall(20.0)
    assert (job.nest.floor, job.nest.relief) == (None, None)
    assert job.nest.setting_tolerance == 0.5
    assert job.tenon.length == 10.0
    assert job.print == records.Print(paper="letter", stock=(4.0, 12.0))


def test_a_shop_with_its_own_defaults_survives_json() -> None:
    """Table and back, in millimetres and in inches."""
    for text in (
        OWN,
        'units = "in"\n'
        + OWN.replace("= 100", "= 4")
        .replace("= 9", '= "3/8"')
        .replace("floor = 30", "floor = 1")
        .replace("0.5", '"1/64"')
        .replace("shift = 4", 'shift = "3/16"')
        .replace("length = 8", 'length = "5/16"')
        .replace("[4, 12]", '["1/8", "1/2"]'),
    ):
        shop = shop_from_table(tomllib.loads(text), where="shop.toml")
        again = shop_from_table(json.loads(json.dumps(shop_to_table(shop))), where="json")
        assert again == shop
    assert again.rules.print is not None
    assert again.rules.print.stock == pytest.approx((3.175, 12.7))


def test_faults_in_a_shops_own_defaults_name_their_place() -> None:
    """Every fault of the file in one run, each with its key path."""
    text = OWN.replace("floor = 30", "flor = 30").replace("[4, 12]", '[4, "thick", 900]')
    with pytest.raises(InputErrors) as caught:
        shop_from_table(tomllib.loads(text), where="shop.toml")
    assert caught.value.lines() == (
        "shop.toml: rules.nest.flor: unknown key; did you mean 'floor'?",
        "shop.toml: rules.print.stock[2]: 'thick' is not a length; "
        'write 40, "40 mm" or "1 3/4 in"',
        "shop.toml: rules.print.stock[3]: 900 mm is out of bounds; give 0.5 to 100 mm",
    )
