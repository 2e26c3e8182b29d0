"""How places and sizes are called on the day sheets of one plan, in one language."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from lynchet.book.texts import Words
from lynchet.drawings.axo_words import WORDS
from lynchet.drawings.day_figures import barrows, ground_tape, size, tape, vulgar
from lynchet.drawings.letters import printable
from lynchet.drawings.pipe_list import pipes
from lynchet.drawings.wall_facts import tie_names, wall_piece_names
from lynchet.plan.day_parts import Share
from lynchet.plan.flight_places import FlightPlace, flight_places
from lynchet.plan.further_pegs import further_pegs
from lynchet.plan.heap_places import drop_place, heap_places
from lynchet.plan.mark_place import mark_place
from lynchet.plan.model import Plan
from lynchet.project.ground_readings import LEVELS_START
from lynchet.terraces.built_with import BuiltWith
from lynchet.units.format import DIGGING, length
from lynchet.units.measures import System
from lynchet.walls.pegs import SettingPoint
from lynchet.walls.setting_out import AREA_CORNER, CLEAR_OF_DIGGING_M, NUMBERED
from lynchet.works.holds import LEVEL_M
from lynchet.works.volumes import REST, dug_for_soil

_ROUND_M = 0.1
"""A heap so little longer than wide is called round."""


@dataclass(frozen=True)
class Naming:
    """Names and figures of a plan."""

    plan: Plan
    words: Words

    @property
    def system(self) -> System:
        """Units of the sheets."""
        return self.plan.project.units

    @cached_property
    def marks(self) -> dict[str, str]:
        """Wall and mark of every piece: "W2 1a"."""
        return wall_piece_names(self.plan)

    @cached_property
    def rows(self) -> dict[str, int]:
        """Course of every piece, counted from the lowest of its wall, 1 first."""
        rows = {run.id: run.row for run in self.plan.walls.runs}
        return {piece.id: rows[piece.run] for piece in self.plan.pieces}

    @cached_property
    def ties(self) -> dict[str, str]:
        """Wall, course and number of every tie: "A2 3 tie 1"."""
        return tie_names(self.plan)

    @cached_property
    def built(self) -> BuiltWith:
        """With which terrace everything is built."""
        return BuiltWith(self.plan.terraces)

    @cached_property
    def dug_for_soil(self) -> frozenset[int]:
        """Stages whose ground is dug out for bed soil alone, so that no bench is cut."""
        return dug_for_soil(self.plan.earth, self.plan.terraces)

    @cached_property
    def pipes(self) -> dict[str, str]:
        """Short names of the pipes, as on the water sheet: "D1"."""
        return {pipe.id: pipe.name for pipe in pipes(self.plan)}

    def flight(self, name: str) -> str:
        """A flight of steps and the walls it goes through: "S0.3 (wall W3)"."""
        flight = next(one for one in self.plan.terraces.flights if one.id == name)
        return self.words("day.flight", flight=name, wall=", ".join(flight.lines or (flight.line,)))

    def flight_at(self, name: str) -> str:
        """A flight with its place along each wall: "S0.3 (wall W3, 5 ft 2 in to 8 ft 8 in from its left end ...)"."""
        said = [
            self.words("day.flight_wall", wall=place.leg, left=self.tape(place.left_m), right=self.tape(place.right_m))
            for place in self._flight_places
            if place.flight == name
        ]
        return self.words("day.flight_at", flight=name, walls="; ".join(said)) if said else self.flight(name)

    @cached_property
    def _flight_places(self) -> tuple[FlightPlace, ...]:
        return flight_places(self.plan)

    @property
    def mark(self) -> str:
        """What levels are read from; names that are not the user's own in the language of the words."""
        name = self.plan.walls.setting_out.benchmark
        if name == AREA_CORNER:
            return self.words("day.mark.corner")
        if name == LEVELS_START:
            return self.words("day.mark.start")
        own = NUMBERED.fullmatch(name)
        return self.words("day.mark.point", number=own[1]) if own else printable(name)

    @cached_property
    def carried(self) -> bool:
        """Whether what levels are read from lies where there will be digging, so that its height is carried away."""
        from shapely.geometry import Point, Polygon

        at = self.plan.walls.setting_out.benchmark_at_m
        if at is None or not any(task.kind == "set out" for task in self.plan.works.tasks):
            return False
        near = Polygon(self.plan.project.area.outline_m).distance(Point(at))
        return bool(near <= CLEAR_OF_DIGGING_M + self.plan.project.digging.work_room_m)

    @property
    def mark_at(self) -> str:
        """How the point levels are read from is found and pegged; empty where it is known by its name."""
        at = mark_place(self.plan)
        if at is None:
            return ""
        return self.words("day.mark.peg", mark=self.mark, tapes=self._tapes("day.drop.tapes", at))

    def heap(self, kind: str, marked: bool = False) -> str:
        """Where a heap lies, by two tapes; named and with the size of its foot where it is marked out.

        Empty where the plan has none of this kind.
        """
        place = next((one for one in heap_places(self.plan) if one.id == kind), None)
        if place is None:
            return ""
        at, tapes = place.middle, self.words("day.heap.nowhere")
        if at is not None:
            tapes = self._tapes("day.heap.tapes", at)
        form = "day.heap.size_round" if place.long_m - place.wide_m < _ROUND_M else "day.heap.size"
        size = self.words(form, long=self.long(place.long_m), wide=self.long(place.wide_m)) if at else ""
        size += self.words("day.heap.moved") if place.moved and marked else ""
        text = "day.heap." + (kind.replace(" ", "_") if marked else "there")
        return self.words(text, tapes=tapes, size=size)

    @property
    def drop_zone(self) -> tuple[str, ...]:
        """What marks the drop zone, act by act: two of its corners, then the rest; or that no room was found."""
        zone = drop_place(self.plan)
        if zone is None:
            return (self.words("day.drop.nowhere"),)
        first, second = (self._tapes("day.drop.tapes", at) for at in zone.corners)
        rest = self.words("day.drop.rest", long=self.long(zone.long_m), wide=self.long(zone.wide_m),
                          side=self.words(f"day.drop.{zone.side}"))  # fmt: skip
        return self.words("day.drop.first", tapes=first), self.words("day.drop.second", tapes=second), rest

    @property
    def banks(self) -> str:
        """The pegs of the banks outside the area; empty without banks."""
        rows: dict[str, list[str]] = {}
        for one in further_pegs(self.plan):
            if one.kind == "bank":
                rows.setdefault(one.peg.id.partition(".")[0], []).append(one.peg.id)
        pegs = [self.words("day.banks_row", first=row[0], last=row[-1]) if len(row) > 1 else row[0]
                for row in rows.values()]  # fmt: skip
        return self.words("day.banks", pegs=", ".join(pegs)) if pegs else ""

    def _tapes(self, text: str, at: SettingPoint) -> str:
        side = self.words("day.heap." + at.side.replace(" ", "_"))
        return self.words(text, a=self.long(at.distance_a_m), corner_a=self._corner(at.from_a),
                          b=self.long(at.distance_b_m), corner_b=self._corner(at.from_b), side=side)  # fmt: skip

    def _corner(self, known: str) -> str:
        """A corner the tapes are held to."""
        thing, _, number = known.rpartition(", corner ")
        return self.words("day.heap.area_corner" if thing == "area" else "day.heap.corner", number=number,
                          thing=printable(thing))  # fmt: skip

    @property
    def level_off(self) -> str:
        """How far a first course may be off level."""
        return self.size(LEVEL_M)

    def size(self, value_m: float) -> str:
        """A short size, to an eighth of an inch or a millimetre; whole inches where it is round."""
        return size(value_m, self.system)

    def digging(self, value_m: float) -> str:
        """A height of ground, to half an inch."""
        return tape(value_m, self.system, DIGGING)

    def ground(self, value_m: float) -> str:
        """A height of bare ground over or under the mark, as the picture of the day says it."""
        return ground_tape(value_m, self.system)

    def long(self, value_m: float) -> str:
        """A length along the ground: "18.62 m", "61 ft 1 in"."""
        return vulgar(length(value_m, self.system, DIGGING))

    def tape(self, value_m: float) -> str:
        """What a tape or staff shows."""
        return tape(value_m, self.system)

    def barrows(self, value_m3: float) -> str:
        """How many barrows a volume is."""
        return self.words.counted("day.need.barrow", barrows(value_m3, self.plan.project.access.barrow_m3))


def picture_words(words: Words) -> dict[str, str]:
    """Words of the labels of pictures, each in the language of the words where it has it, else whole in English."""
    return {
        name: words.raw(f"picture.{name}") if words.has(f"picture.{name}") else text for name, text in WORDS.items()
    }


def naming(plan: Plan, words: Words) -> Naming:
    """Names of a plan in the language of the words; where no wall is built, in words that speak of none."""
    return Naming(plan, replace(words, unwalled=not plan.walls.runs))


def place_of(named: Naming, shares: Sequence[Share]) -> str:
    """Where several tasks are done: "terraces 1 to 3", "beds B4, B3"; empty for the whole site."""
    words = named.words
    beds = [share.task.id.split("/")[0] for share in shares if _of_bed(share)]
    beds = [bed for bed in dict.fromkeys(beds) if bed != REST]
    if beds:
        return words("day.place.bed", id=beds[0]) if len(beds) == 1 else words("day.place.beds", ids=", ".join(beds))
    stages = sorted({share.task.terrace for share in shares if share.task.terrace})
    highest = max((face.terrace for face in named.plan.terraces.faces), default=0)
    inner = [stage for stage in stages if stage <= highest]
    if not inner:
        return words("day.place.back", number=highest) if stages else ""
    many = "day.place.terraces_two" if inner[-1] - inner[0] == 1 else "day.place.terraces"
    said = (
        words("day.place.terrace", number=inner[0]) if len(inner) == 1 else words(many, first=inner[0], last=inner[-1])
    )
    return words("day.place.and_back", inner=said, number=highest) if len(inner) < len(stages) else said


def _of_bed(share: Share) -> bool:
    return share.task.kind in ("bed soil", "plants", "mulch")
