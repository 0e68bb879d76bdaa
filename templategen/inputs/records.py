"""What shop and job files become, checked. Lengths mm, angles degrees as in the files."""

from dataclasses import dataclass, field

from templategen.units import Units


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutter:
    """A curved cutter: `radius` pivot to outermost tip corner, `kerf` tip width, mm."""

    id: str
    radius: float
    kerf: float
    max_swing: float = 100.0  # degrees


@dataclass(frozen=True, slots=True, kw_only=True)
class Jaws:
    """A set of chuck jaws: closed, they form a perfect circle of diameter `true_circle`, mm."""

    id: str
    true_circle: float
    depth: float
    dovetail_angle: float = 10.0  # degrees
    jaw_count: int = 4
    max_gap: float = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Post:
    """The cutter post: how the pivot centre may stand, mm."""

    min_standoff: float = 15.0
    min_offset: float = -30.0
    max_offset: float = 40.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Lathe:
    """The lathe; None where the shop file does not say. mm, W, kg."""

    swing: float | None = None
    centre_height: float | None = None
    power_w: float | None = None
    max_mass_kg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """Limits; all are common practice, no source."""

    max_coring_speed: float = 500.0  # rpm
    caution_share: float = 0.4
    refuse_share: float = 1 / 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """What a turner's shop file states."""

    name: str
    units: Units
    cutters: tuple[Cutter, ...]
    jaws: tuple[Jaws, ...]
    lathe: Lathe = field(default_factory=Lathe)
    post: Post = field(default_factory=Post)
    rules: Rules = field(default_factory=Rules)


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """The green disc. `outside` is "arc", "cylinder" or (r, z) points from rim to shoulder, mm."""

    diameter: float
    height: float
    wood: str = ""
    outside: str | tuple[tuple[float, float], ...] = "arc"


@dataclass(frozen=True, slots=True, kw_only=True)
class Relief:
    """The relief cut: `shift` towards the axis, run in to `depth`, mm."""

    shift: float = 5.0
    depth: float = 25.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Nest:
    """How the blank is to be cored. `wall` and `floor`: see design; lengths mm, shares 0..1.

    Args:
        wall: "drying", ("share", 0.1) or ("length", mm) as (policy, figure).
        floor: None for "as the wall", else mm.
    """

    wall: tuple[str, float] = ("share", 0.1)
    finished_wall: float = 8.0
    truing_margin: float = 3.0
    final_moisture: float = 10.0
    across: str = "tangential"
    floor: float | None = None
    objective: str = "most"
    cutters: tuple[str, ...] = ()
    height_above_centre: float = 5.0
    relief: Relief | None = field(default_factory=Relief)
    max_slope: float = 12.0  # degrees
    min_bowl: float = 120.0
    min_depth: float = 25.0
    setting_tolerance: float = 1.0
    guard: str = "nominal"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tenon:
    """Tenon wishes: shares of the rim diameter, lengths mm."""

    share: float = 0.5
    core_share: float = 0.4
    length: float = 9.0
    shoulder: float = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Print:
    """How the pack is printed. `parts` empty means all."""

    paper: str = "a4"
    parts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """What a job file states; `date` is ISO text or empty; `shop` the file named in it or empty."""

    title: str
    date: str
    units: Units
    blank: Blank
    shop: str = ""
    nest: Nest = field(default_factory=Nest)
    tenon: Tenon = field(default_factory=Tenon)
    print: Print = field(default_factory=Print)
