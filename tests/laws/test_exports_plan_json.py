"""``plan.json`` of the demos: every stage is in it, and the published schema accepts it and nothing less."""

from __future__ import annotations

import copy
import json
from dataclasses import fields
from functools import cache
from typing import Any

import jsonschema
import pytest

from by_command import command
from demo_plans import DEMOS, demo
from lynchet.exports.plan_json import plan_json, plan_schema

STAGES = ("ground", "terraces", "walls", "water", "stability", "pieces", "earth", "timber", "planted", "works")


@cache
def _data(name: str) -> Any:
    return json.loads(plan_json(demo(name)))


@cache
def _check() -> Any:
    return jsonschema.Draft202012Validator(plan_schema())


def test_the_schema_is_a_schema() -> None:
    """It is valid itself and is what `lynchet schema plan` prints."""
    jsonschema.Draft202012Validator.check_schema(plan_schema())
    assert json.loads(command("schema", "plan").out) == plan_schema()


@pytest.mark.parametrize("name", DEMOS)
def test_schema_accepts_the_demos(name: str) -> None:
    """Not one error, and numbers are numbers: no NaN, no infinity."""
    assert [error.message for error in _check().iter_errors(_data(name))][:5] == []
    assert not {"NaN", "Infinity", "-Infinity"} & set(plan_json(demo(name)).split())


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("stage", STAGES)
def test_every_stage_is_in_it_with_all_its_fields(name: str, stage: str) -> None:
    """What the plan holds of a stage is in the file, field by field, and lists are as long."""
    found, result = _data(name)[stage], getattr(demo(name), stage)
    if stage == "ground":
        assert found["readings"] == len(result.trust_m)
        return
    if stage == "pieces":
        assert len(found) == len(result)
        return
    assert set(found) == {field.name for field in fields(result)}
    for field in fields(result):
        value = getattr(result, field.name)
        if isinstance(value, tuple):
            assert len(found[field.name]) == len(value), field.name


def _spoiled(data: Any, path: tuple[Any, ...], value: Any) -> Any:
    copied = copy.deepcopy(data)
    at = copied
    for key in path[:-1]:
        at = at[key]
    if value is None:
        del at[path[-1]]
    else:
        at[path[-1]] = value
    return copied


@pytest.mark.parametrize(("path", "value"), [
    (("earth",), None), (("timber", "sticks"), None), (("works", "order", 0, "quantity"), "much"),
    (("planted", "plantings", 0, "points_m"), "here"), (("pieces", 0, "bottom_m"), None), (("verdict",), 7),
    (("earth", "account", "fill_m3"), "a heap"), (("works", "days", 0, "number"), 1.5),
    (("timber", "fasteners", 0, "kind"), "nail"), (("findings", 0, "verdict"), "fine"),
])  # fmt: skip
def test_schema_refuses_what_is_not_a_plan(path: tuple[Any, ...], value: Any) -> None:
    """A stage left out, a word for a number, an unknown kind: the schema bites."""
    assert not _check().is_valid(_spoiled(_data("l_garden"), path, value))


@pytest.mark.parametrize("name", DEMOS)
def test_points_are_in_the_files_own_coordinates(name: str) -> None:
    """Pieces, faces and plants lie where the frame puts them."""
    plan, data = demo(name), _data(name)
    out = plan.project.frame.outward
    for piece, found in zip(plan.pieces, data["pieces"], strict=True):
        assert [tuple(point) for point in found["outline_m"]] == [out(point) for point in piece.outline_m]
    for bed, found in zip(plan.terraces.faces, data["terraces"]["faces"], strict=True):
        assert [tuple(point) for point in found["outline_m"]] == [out(point) for point in bed.outline_m]
    for planting, found in zip(plan.planted.plantings, data["planted"]["plantings"], strict=True):
        assert [tuple(point) for point in found["points_m"]] == [out(point) for point in planting.points_m]
