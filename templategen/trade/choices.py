"""What a job may choose between; the values are the words of a job file."""

import enum


class Order(enum.StrEnum):
    """In which order the cuts are made."""

    INNER_FIRST = "inner-first"  # all cores are parted while the blank stays on its own tenon
    OUTER_FIRST = "outer-first"  # each core is held again on its own tenon and cored further


class Guard(enum.StrEnum):
    """Whether required walls and floors apply to the nominal figures or to the worst case."""

    NOMINAL = "nominal"
    WORST = "worst"


class Objective(enum.StrEnum):
    """What the planner seeks first."""

    MOST = "most"  # bowls
    LARGEST = "largest"  # size of the first core
    EVEN = "even"  # least sum of greatest minus least wall


class OutsideShape(enum.StrEnum):
    """How the outside of the blank is turned, from the rim to the shoulder."""

    ARC = "arc"
    CYLINDER = "cylinder"
    EVEN = "even"  # concentric with the first cut


class MeasuredAt(enum.StrEnum):
    """Where the true circle of dovetail jaws is measured."""

    MOUTH = "mouth"  # where the neck of a tenon lies
    BOTTOM = "bottom"  # where its end face lies


class LogRim(enum.StrEnum):
    """Which way a bowl opens in its log."""

    PITH = "pith"
    BARK = "bark"


class Grain(enum.StrEnum):
    """Direction across the grain whose shrinkage is used."""

    TANGENTIAL = "tangential"
    RADIAL = "radial"
