"""What is said against a plant says for whom: people, skin or animals; food beds are warned about people."""

from __future__ import annotations

from dataclasses import replace

import pytest

from lynchet.planting.harm import harmed, is_understood, told_for_whom, what_to_do
from lynchet.planting.plants import Plant, plant_table

TOXIC = [plant for plant in plant_table() if plant.toxicity_caution]
ONLY_PETS = [plant for plant in TOXIC if plant.toxicity_caution in ("toxic to pets", "mildly toxic to pets")]
EATEN = ("toxic if eaten", "mildly toxic if eaten", "toxic: all parts", "highly toxic: all parts (cardiac)",
         "leaves and stems toxic", "raw seed toxic; cook it", "berries toxic if eaten")  # fmt: skip


@pytest.mark.parametrize("plant", TOXIC, ids=lambda plant: plant.botanical_name)
def test_every_word_of_the_table_says_for_whom(plant: Plant) -> None:
    """Each caution of the table is understood, and told with people, skin or the animals it is about."""
    words = plant.toxicity_caution
    assert is_understood(words) and harmed(words)
    told = [*told_for_whom(words).split("; ")]
    named = ("people", "skin", "dogs", "cats", "horses", "livestock")
    aside = ("berries edible", "stalks edible", "cook it", "cook ripe fruit")
    assert all(any(word in part for word in named) for part in told if part not in aside), told
    # Nothing of the table's own words is lost.
    assert all(own.strip() in part for own, part in zip(words.split(";"), told, strict=True))


def test_what_harms_pets_alone_is_not_said_of_people() -> None:
    """Chives, lavender and their like: dogs, cats and horses are named, people only as those who eat them."""
    assert {"Allium schoenoprasum", "Lavandula angustifolia"} <= {plant.botanical_name for plant in ONLY_PETS}
    for plant in ONLY_PETS:
        assert harmed(plant.toxicity_caution) == ("animals",)
        said = f"{told_for_whom(plant.toxicity_caution)}. {what_to_do(plant.toxicity_caution, plant.edible, True)}"
        assert "dogs, cats and horses" in said and "children" not in said and "harm people" not in said


@pytest.mark.parametrize("words", EATEN)
def test_what_harms_people_is_said_in_beds_for_food(words: str) -> None:
    """People are named; among food it is said to set the plant apart, or which part alone is eaten."""
    assert "people" in harmed(words)
    assert "people" in told_for_whom(words)
    assert "picked by mistake" in what_to_do(words, "", True)
    assert "picked by mistake" not in what_to_do(words, "", False)
    assert "only its fruit" in what_to_do(words, "fruit", True)


def test_a_word_nobody_knows_is_taken_as_the_worst() -> None:
    """A caution in words of which none is known is told as a danger to people."""
    strange = replace(TOXIC[0], toxicity_caution="unheard of").toxicity_caution
    assert not is_understood(strange) and harmed(strange) == ("people",)
