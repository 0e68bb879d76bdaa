"""The commented files that a new user starts from, and the built-in demo made of them."""

import tomllib

from templategen.inputs.job import job_from_table
from templategen.inputs.records import Job, Shop
from templategen.inputs.shop import shop_from_table

SHOP = """\
# Your shop. Every figure here is invented: put in your own.
units = "mm"
name = "My shop (figures invented)"

[lathe]
swing = 520
centre_height = 260
power = "1.5 kW"
max_mass = "60 kg"

# [chuck]             # the maker's own limits, where they are stated
# max_mass = "50 kg"
# max_speed = 900     # rpm

[post]
min_standoff = 15     # nearest the pivot centre may stand in front of the face
min_offset = -30
max_offset = 40

[rules]
max_coring_speed = 500   # rpm, never above the makers' limits
# [rules.nest]           # your own defaults: any key of a job's [nest], [tenon] or [print]
# setting_tolerance = 0.5

[[cutters]]
id = "R80"
radius = 80           # pivot centre to the outermost corner of the tip
kerf = 9              # width of the tip
section = [9, 20]     # width and height of the bar behind the tip, to reckon its droop

[[cutters]]
id = "R105"
radius = 105
kerf = 9
section = [9, 20]

[[cutters]]
id = "R135"
radius = 135
kerf = 9
section = [9, 20]

[[cutters]]
id = "R170"
radius = 170
kerf = 9
section = [9, 20]

[[jaws]]
id = "50"
true_circle = 50      # the diameter at which the closed jaws form a circle
depth = 12

[[jaws]]
id = "70"
true_circle = 70
depth = 12

[[jaws]]
id = "100"
true_circle = 100
depth = 14

[[jaws]]
id = "130"
true_circle = 130
depth = 14

[[jaws]]
id = "160"
true_circle = 160
depth = 16

[[jaws]]
id = "200"
true_circle = 200
depth = 16
"""

JOB = """\
# One blank. Every figure here is invented: put in your own.
title = "Demo blank (invented)"
date = 2026-05-02
units = "mm"
shop = "shop.toml"

[blank]
diameter = 400
height = 180
wood = "American sycamore"
outside = "arc"

# [wood]              # your own figures, in place of the table's; see: templategen wood
# tangential = 8.4    # shrinkage, % of the green size, green to ovendry
# radial = 5.0
# specific_gravity = 0.46   # ovendry mass over green volume
# green_moisture = 114      # % of the ovendry mass
# tension_across = "4340 kPa"
# source = "own log, weighed"

[nest]
wall = 22             # mm; or "10 %" of the rim, or "drying"
objective = "most"
min_bowl = 120        # least rim diameter of a bowl
height_above_centre = 5
relief = { shift = 5, depth = 25 }   # or false

[tenon]
share = 0.5           # of the blank
core_share = 0.4      # of each core
length = 9

[print]
paper = "a4"          # or "letter"
stock = [3, 6, 18]    # plies at hand to build the gauge blocks from
"""


def starter_files() -> dict[str, str]:
    """The starter files by name."""
    return {"shop.toml": SHOP, "job.toml": JOB}


def demo_shop() -> Shop:
    """The invented demo shop."""
    return shop_from_table(tomllib.loads(SHOP), where="demo shop")


def demo_job() -> Job:
    """The invented demo job."""
    return job_from_table(tomllib.loads(JOB), where="demo job", known_wood=lambda _: None)
