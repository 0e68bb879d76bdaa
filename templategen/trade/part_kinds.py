"""The kinds of printed parts; the values are the words of a job file, in the order of the print."""

import enum


class PartKind(enum.StrEnum):
    """A kind of printed part."""

    SETTING_CARD = "setting card"
    SECTION_SHEET = "section sheet"
    CUT_PLATE = "cut plate"
    CUTTER_ARC = "cutter arc"
    GAUGE_STICK = "gauge stick"
    GAUGE_BLOCK = "gauge block"
    TENON_RING = "tenon ring"
    TENON_PROFILE = "tenon profile"
    HEIGHT_STICK = "height stick"
    TAG = "tag"
    DRYING_SHEET = "drying sheet"
    RADIUS_FINDER = "radius finder"
    SCALE_SHEET = "scale sheet"
