"""Laws of regions: what lies within what, and where a caution about a plant that spreads holds."""

from __future__ import annotations

import pytest

from lynchet.planting.plants import spread_cautions
from lynchet.planting.regions import names_region, regions, regions_in


@pytest.mark.parametrize(
    ("written", "listed"),
    [
        ("England", "British Isles"),
        ("Edinburgh, Scotland", "British Isles"),
        ("south Wales", "British Isles, Belgium, Switzerland"),
        ("UK", "coasts of northern Europe"),
        ("uk", "British Isles"),
        ("Northern Ireland", "British Isles"),
        ("Germany", "Europe"),
        ("Europe", "British Isles"),
        ("Oregon", "US Pacific coast, Australia, New Zealand"),
        ("Portland, Oregon, USA", "North American Pacific coast"),
        ("Ohio", "North America"),
        ("Vermont", "New England, US Pacific north-west"),
        ("Georgia", "southern US"),
        ("U.S.A.", "California"),
        ("Pacific Northwest", "US Pacific coast"),
        ("Virginia", "eastern US"),
        ("New South Wales", "Australia"),
        ("Auckland", "northern New Zealand"),
        ("Hawaii", "eastern Australia, New Zealand, Pacific islands, southern US"),
        ("Ontario", "woods of eastern North America"),
    ],
)
def test_a_place_in_a_listed_region_is_told(written, listed):
    """Countries, states and parts of a country lie in the regions that cautions list."""
    assert names_region(written, listed)


@pytest.mark.parametrize(
    ("written", "listed"),
    [
        ("New England", "British Isles"),
        ("New South Wales", "British Isles"),
        ("New Mexico", "Mexico"),
        ("Ohio", "US Pacific coast"),
        ("West Virginia", "New England"),
        ("Scotland", "central Europe"),
        ("Kansas", "south-eastern US"),
        ("Canada", "New Zealand, Hawaii"),
        ("Spain", "British Isles"),
        ("Portland, Oregon, USA", "California, New England"),
        ("", "Europe"),
    ],
)
def test_a_place_elsewhere_is_not(written, listed):
    """Names that hold another place's name, and neighbours, are not taken for it."""
    assert not names_region(written, listed)


def test_every_region_that_must_be_kept_out_of_is_known():
    """Every caution not to plant names at least one region of the table, or holds everywhere."""
    for caution in spread_cautions():
        if caution.severity == "avoid" and caution.region != "everywhere":
            assert regions_in(caution.region), caution


def test_the_table_is_a_tree_of_its_own_names():
    """Each larger region has a row, no region lies in itself, none has two rows, each says where it is from."""
    table = {region.name: region for region in regions()}
    assert len(table) == len(regions())
    for region in regions():
        above, seen = list(region.part_of), set()
        while above:
            name = above.pop()
            assert name != region.name
            if name not in seen:
                seen.add(name)
                above += table[name].part_of
        assert region.origin
