"""Kinds of parts: their groups in working order, and the names that people type."""

import pytest

from templategen.errors import InputError
from templategen.trade.part_kinds import (
    DRAWN_KINDS,
    Group,
    Material,
    PartKind,
    kinds_meant,
    part_kind_named,
)


def test_kinds_run_in_the_order_of_the_work() -> None:
    """Every kind has its step, and no kind of a later step stands before one of an earlier."""
    steps = [list(Group).index(kind.group) for kind in PartKind]
    assert steps == sorted(steps)
    assert {kind.group for kind in PartKind} == set(Group)


@pytest.mark.parametrize(
    ("group", "materials"),
    [
        (Group.READ_FIRST, {Material.PAPER}),
        (Group.LOG, {Material.CARD}),
        (Group.TURN, {Material.CARD}),
        (Group.SET, {Material.PLY}),
        (Group.CUT, {Material.CARD}),
        (Group.AFTER, {Material.PAPER, Material.CARD}),
        (Group.SHOP, {Material.PAPER, Material.PLY}),
    ],
)
def test_a_group_has_its_materials(group: Group, materials: set[Material]) -> None:
    """Design §7, table; the scale sheet is paper, for glue would stretch it."""
    assert {kind.material for kind in PartKind if kind.group is group} == materials


@pytest.mark.parametrize("kind", DRAWN_KINDS)
def test_every_kind_is_found_by_its_name_and_plural(kind: PartKind) -> None:
    """Whatever the capitals, hyphens and spaces, one part or several."""
    for name in (kind.value, kind.value.upper(), kind.replace(" ", "-"), f" {kind}s "):
        assert part_kind_named(name) is kind


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("rings", PartKind.TENON_RING),
        ("ring", PartKind.TENON_RING),
        ("profiles", PartKind.TENON_PROFILE),
        ("tags", PartKind.TAG),
        ("drying", PartKind.DRYING_SHEET),
        ("sect", PartKind.SECTION_SHEET),
        ("cut pl", PartKind.CUT_PLATE),
        ("gauge blocks", PartKind.GAUGE_BLOCK),
    ],
)
def test_a_word_or_a_beginning_is_enough(name: str, kind: PartKind) -> None:
    """A word of the name, its plural, or the first letters, where only one kind has them."""
    assert part_kind_named(name, PartKind) is kind


def test_a_whole_word_comes_before_a_beginning() -> None:
    """'cut' is the cut plate's word; the cutter arc only begins with it."""
    assert kinds_meant("cut", PartKind) == (PartKind.CUT_PLATE,)
    assert kinds_meant("cutter", PartKind) == (PartKind.CUTTER_ARC,)
    assert kinds_meant("figures", PartKind) == (PartKind.FIGURES_CARD,)


@pytest.mark.parametrize("name", ["", " ", "-", "zzz", "ring zzz", "ngs"])
def test_other_words_mean_no_kind(name: str) -> None:
    """Nothing, or a word that no kind has, means none."""
    assert kinds_meant(name, PartKind) == ()


def test_an_unclear_name_lists_what_it_may_be() -> None:
    """A word that several kinds share is never guessed."""
    with pytest.raises(InputError, match="it may be: tenon ring, tenon profile"):
        part_kind_named("tenon")


def test_an_unknown_name_offers_the_nearest_kind() -> None:
    """A slip of the pen gets the nearest name, nonsense the whole list."""
    with pytest.raises(InputError, match="did you mean 'cut plate'"):
        part_kind_named("cit plate")
    with pytest.raises(InputError, match="known: setting card, figures card, section sheet"):
        part_kind_named("xqj")


def test_the_work_order_is_not_asked_for_by_name() -> None:
    """It is part of every pack."""
    with pytest.raises(InputError, match="unknown kind of part"):
        part_kind_named(PartKind.WORK_ORDER.value)


@pytest.mark.parametrize("kind", PartKind)
def test_every_beginning_of_a_name_means_some_kind(kind: PartKind) -> None:
    """One who types on is never told 'unknown' on the way to the whole name."""
    assert all(kinds_meant(kind[:n], PartKind) for n in range(1, len(kind) + 1))
