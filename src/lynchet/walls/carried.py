"""Which of the things of the file that stand on or just behind walls stand at which wall."""

from __future__ import annotations

from lynchet.project.things import OnWall
from lynchet.walls.model import Leg


def stands_at(thing: OnWall, leg: Leg) -> bool:
    """Whether a thing stands at a wall: the one it names, or where it names none every wall but those beside steps."""
    return bool(leg.segments) and (leg.id.split(".")[0] == thing.at or (not thing.at and leg.role != "cheek"))
