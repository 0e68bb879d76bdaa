"""Shop files: what reads, what is refused and in which words. Figures invented."""

import tomllib

import pytest

from templategen.errors import InputError, InputErrors
from templategen.inputs.shop_file import shop_from_table
from templategen.trade.choices import MeasuredAt
from templategen.trade.records import Cutter, Jaws, Lathe, Post, Rules, Shop

CUTTER = '[[cutters]]\nid = "a"\nradius = 100\nkerf = 9\n'
HUGE = "0x" + "f" * 5000


def _shop(text: str) -> Shop:
    return shop_from_table(tomllib.loads(text), where="shop.toml")


SHOP_FAULTS = [
    ("", "shop.toml: cutters: no cutter given; add a [[cutters]] table with radius and kerf"),
    (
        "name = 3\n",
        "shop.toml: name: 3 is not text; put it in quotes\n"
        "shop.toml: cutters: no cutter given; add a [[cutters]] table with radius and kerf",
    ),
    (
        CUTTER.replace("kerf", "kerv"),
        "shop.toml: cutters[1].kerf: is missing; give 1 to 20 mm\n"
        "shop.toml: cutters[1].kerv: unknown key; did you mean 'kerf'?",
    ),
    (
        CUTTER.replace("= 9", "= true"),
        'shop.toml: cutters[1].kerf: True is not a length; write 40, "40 mm" or "1 3/4 in"',
    ),
    (CUTTER + CUTTER, "shop.toml: cutters: id 'a' is used twice; give each its own id"),
    (
        CUTTER + f"[lathe]\npower = {HUGE}\n",
        "shop.toml: lathe.power: a number of thousands of digits has no known unit; "
        "write a figure in W or kW or hp",
    ),
    (
        CUTTER + "section = [9]\n[chuck]\nmax_mas = 3\nmax_speed = -1\n",
        "shop.toml: cutters[1].section: is not a width and a height; write section = [6, 20]\n"
        "shop.toml: chuck.max_speed: -1 is out of bounds; give 20 to 5000\n"
        "shop.toml: chuck.max_mas: unknown key; did you mean 'max_mass'?",
    ),
    (
        CUTTER + "section = 9\n",
        "shop.toml: cutters[1].section: is not a width and a height; write section = [6, 20]",
    ),
    (
        CUTTER + 'section = [9, "5 in"]\n',
        "shop.toml: cutters[1].section: is out of bounds; "
        "give a width of 1 to 60 mm and a height of 1 to 100 mm",
    ),
    (
        CUTTER.replace("= 9", "= 12").replace("= 100", '"20 mm"').replace('radius "', 'radius = "')
        + 'section = [9, "x"]\n[post]\nmin_offset = 30\nmax_offset = -30\n',
        "shop.toml: cutters[1].section: is not a width and a height; write section = [6, 20]\n"
        "shop.toml: post.min_offset: is above max_offset; swap the two",
    ),
    (
        CUTTER + "[post]\npin = 2\nbody = 201\n",
        "shop.toml: post.pin: 2 mm is out of bounds; give 3 to 60 mm\n"
        "shop.toml: post.body: 201 mm is out of bounds; give 8 to 200 mm",
    ),
    (
        CUTTER + "[post]\npin = 30\nbody = 16\n",
        "shop.toml: post.pin: is above body; swap the two",
    ),
    (
        CUTTER.replace("= 9", "= 20").replace("= 100", "= 20"),
        "shop.toml: cutters[1].kerf: is not below the radius; give the width of the tip",
    ),
    (
        CUTTER + "[post]\nbody = 40\n",
        "shop.toml: post.body: would stand in the wood: half of it is over min_standoff; "
        "raise min_standoff to 20 mm",
    ),
    (
        CUTTER + "arc = 19\nholder = 201\nrelief_angle = 0.5\n[lathe]\nfull_power_speed = 5001\n",
        "shop.toml: cutters[1].arc: 19 is out of bounds; give 20 to 350\n"
        "shop.toml: cutters[1].holder: 201 mm is out of bounds; give 3 to 200 mm\n"
        "shop.toml: cutters[1].relief_angle: 0.5 is out of bounds; give 1 to 60\n"
        "shop.toml: lathe.full_power_speed: 5001 is out of bounds; give 20 to 5000",
    ),
    (
        CUTTER + '[[jaws]]\nid = "j"\ntrue_circle = 50\ndepth = 4\nmeasured_at = "end"\n',
        "shop.toml: jaws[1].depth: 4 mm is out of bounds; give 4.5 to 60 mm\n"
        "shop.toml: jaws[1].measured_at: 'end' is not known; use mouth or bottom",
    ),
    (
        CUTTER + '[[jaws]]\nid = "j"\ntrue_circle = 20\ndepth = 12\ndovetail_angle = 45\n'
        'measured_at = "bottom"\n',
        "shop.toml: jaws[1].dovetail_angle: leaves no neck: the flanks meet inside the jaws; "
        "check angle, depth and measured_at",
    ),
    (
        CUTTER + "[rules]\ndried_share = 0.8\n",
        "shop.toml: rules.dried_share: 0.8 is out of bounds; give 0.1 to 0.75",
    ),
    (
        'units = "in"\n'
        + CUTTER.replace("= 100", "= 4").replace("= 9", "= 1")
        + 'section = [3, "1/8"]\nholder = "220 mm"\n[post]\nmin_standoff = 30\n',
        "shop.toml: cutters[1].kerf: 1 in is out of bounds; give 1/16 to 3/4 in\n"
        "shop.toml: cutters[1].section: is out of bounds; "
        "give a width of 1/16 to 2 1/4 in and a height of 1/16 to 3 3/4 in\n"
        "shop.toml: cutters[1].holder: 220 mm is out of bounds; give 3 to 200 mm\n"
        "shop.toml: post.min_standoff: 30 in is out of bounds; give 0 to 19 in",
    ),
    (
        CUTTER + "[rules]\ncaution_share = 0.2\nrefuse_share = 0.6\n",
        "shop.toml: rules.refuse_share: is above caution_share; swap the two",
    ),
    (
        CUTTER + "[rules]\nmax_coring_speed = 9000\n",
        "shop.toml: rules.max_coring_speed: 9000 is out of bounds; give 20 to 1500",
    ),
    (
        CUTTER
        + '[rules.nest]\nflor = 30\n[rules.print]\nstock = [4, "thick", 900]\npaper = "a44"\n',
        "shop.toml: rules.nest.flor: unknown key; did you mean 'floor'?\n"
        "shop.toml: rules.print.paper: unknown paper 'a44'; did you mean 'a4'?\n"
        "shop.toml: rules.print.stock[2]: 'thick' is not a length; "
        'write 40, "40 mm" or "1 3/4 in"\n'
        "shop.toml: rules.print.stock[3]: 900 mm is out of bounds; give 0.5 to 100 mm",
    ),
]


@pytest.mark.parametrize(("text", "message"), SHOP_FAULTS)
def test_shop_faults_in_full(text: str, message: str) -> None:
    """Every fault of a shop file in one run, word for word."""
    with pytest.raises(InputErrors) as caught:
        _shop(text)
    assert str(caught.value) == message


def test_what_a_file_leaves_out_is_as_in_the_records() -> None:
    """A file that says only what it must reads as records made with nothing but that."""
    shop = _shop(CUTTER + '[[jaws]]\nid = "j"\ntrue_circle = 50\ndepth = 12\n')
    assert shop.cutters == (Cutter(id="a", radius=100, kerf=9),)
    assert shop.jaws == (Jaws(id="j", true_circle=50, depth=12),)
    assert (shop.post, shop.rules, shop.lathe) == (Post(), Rules(), Lathe())


def test_units_of_power_and_mass() -> None:
    """Horsepower and pounds against their definitions."""
    lathe = _shop(CUTTER + '[lathe]\npower = "2 hp"\nmax_mass = "120 lb"\n').lathe
    # 550 ft lbf/s with the exact foot, pound and standard gravity
    # (definitions of NIST SP 811, from memory).
    assert lathe.power_w == pytest.approx(2 * 550 * 0.3048 * 0.45359237 * 9.80665, rel=1e-6)
    assert lathe.max_mass_kg == pytest.approx(120 * 0.45359237, rel=1e-12)


def test_what_a_file_may_state() -> None:
    """Figures of cutter, post, lathe, chuck, jaws and rules, in inches and other units."""
    shop = _shop(
        'units = "in"\n'
        + CUTTER.replace("100", "4").replace("9", "0.375")
        + 'section = [0.375, "1 in"]\narc = 110.5\nholder = "1 1/2"\nrelief_angle = 12\n'
        '[post]\npin = "1/2"\nbody = 1.25\n'
        "[lathe]\nfull_power_speed = 500\n"
        '[chuck]\nmax_mass = "100 lb"\nmax_speed = 600\n'
        "[rules]\ndried_share = 0.3\n"
        '[[jaws]]\nid = "j"\ntrue_circle = "100 mm"\ndepth = "14 mm"\nmeasured_at = "bottom"\n'
    )
    (own,), (jaws,) = shop.cutters, shop.jaws
    assert own.section == pytest.approx((9.525, 25.4))
    assert (own.arc, own.holder, own.relief_angle) == pytest.approx((110.5, 38.1, 12))
    assert (shop.post.pin, shop.post.body) == pytest.approx((12.7, 31.75))
    assert (shop.lathe.full_power_speed, shop.chuck.max_speed) == (500, 600)
    assert shop.chuck.max_mass_kg == pytest.approx(45.359237)
    assert shop.rules.dried_share == 0.3
    assert jaws.measured_at is MeasuredAt.BOTTOM


def test_an_inch_shop_has_defaults_that_an_inch_rule_shows() -> None:
    """Each is a whole number of 1/64 in, near to the millimetre one."""
    shop = _shop(
        'units = "in"\n'
        + CUTTER.replace("100", "4").replace("9", "0.375")
        + '[[jaws]]\nid = "j"\ntrue_circle = 2\ndepth = 0.5\n'
    )
    inch = (
        shop.post.min_standoff,
        shop.post.min_offset,
        shop.post.max_offset,
        shop.jaws[0].max_gap,
    )
    assert inch == pytest.approx((15.875, -31.75, 38.1, 5 / 64 * 25.4))


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("[blank]\ndiameter = 400\n", "this is a job file, not a shop file"),
        ("[[blanks]]\ndiameter = 400\n", "this is a club's list, not a shop file"),
    ],
)
def test_a_wrong_kind_of_file_is_one_line(text: str, what: str) -> None:
    """Not a fault for each of its keys."""
    with pytest.raises(InputError) as caught:
        _shop(text)
    assert str(caught.value) == f"shop.toml: {what}; a shop file has [[cutters]] and [[jaws]]"
