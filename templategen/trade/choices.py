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


class Grain(enum.StrEnum):
    """Direction across the grain whose shrinkage is used."""

    TANGENTIAL = "tangential"
    RADIAL = "radial"
