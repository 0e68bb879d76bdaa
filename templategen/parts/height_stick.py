"""Height stick: stands on the lathe's reference and shows the centre and the cutter's height."""

from templategen.geometry.shapes import Point
from templategen.nest.holding import figures_of
from templategen.nest.plan import Plan
from templategen.parts.drawing import BODY, Drawing, Item, Part, polyline
from templategen.parts.labels import block, job_line, length
from templategen.parts.lettering import wrap
from templategen.units import Units

WIDTH = 56.0  # mm
STEP = 22.0  # mm, width of the step for the cutter


def make(plan: Plan, *, units: Units) -> tuple[Part, ...]:
    """The stick, or none where the shop file gives no ``centre_height``.

    The tall step on the left ends at the cutter's height, the step on the right at the centre:
    hold that one to the tailstock's point to prove the stick before it is trusted.
    """
    centre = plan.shop.lathe.centre_height
    if centre is None:
        return ()
    height = plan.job.nest.height_above_centre
    corners = [(0.0, 0.0), (WIDTH, 0.0), (WIDTH, centre)]
    if height > 0:
        corners += [(STEP, centre), (STEP, centre + height), (0.0, centre + height)]
    else:
        corners.append((0.0, centre))
    least = figures_of(plan).least_height
    said = [
        "Height stick",
        "cut on the line",
        f"left step: top of the cutter's tip, {length(height, units)} above centre, never below",
        f"right step: centre, {length(centre, units)} above the lathe's reference; "
        "prove it at the tailstock's point",
    ]
    if least is not None:
        said.append(f"least height against droop: {length(least, units)}, an estimate")
    said.append(job_line(plan, room=2 * WIDTH))
    lines = [
        part
        for n, text in enumerate(said)
        for part in wrap(text, width=WIDTH - 6, size=BODY, bold=n == 0)
    ]
    items: list[Item] = [
        polyline(corners, closed=True),
        *block(lines, at=Point(3.0, centre - 6.0)),
    ]
    return (
        Part(
            kind="height stick",
            key="height-stick",
            title="Height stick",
            drawing=Drawing(items=tuple(items)),
        ),
    )
