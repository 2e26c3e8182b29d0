"""The plan as DXF: lines in world units of the file, layers in plain words, every timber piece a block.

Drawn from the terraces sheet's own display list, put back from paper to the ground, so that both show the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from io import StringIO
from math import atan2, cos, degrees, radians, sin
from typing import Any

from lynchet.drawings.display import Letters, Mark, Stroke
from lynchet.drawings.figures import Figures
from lynchet.drawings.model import View
from lynchet.drawings.plan_holes import TESTS, WEEPS, told_lines
from lynchet.drawings.plan_stays import unpaper
from lynchet.drawings.roles import LAYERS, colour
from lynchet.drawings.stamp import stop_words
from lynchet.drawings.symbols import Sign, draw
from lynchet.plan.model import Plan
from lynchet.plan.weep_places import bore_of
from lynchet.stability.model import WEEP_BORE_M, WEEP_FALL_M
from lynchet.units.measures import FOOT

Point = tuple[float, float]
PIECES = "pieces"
STOP = "stop"
"""Layer of the words over a plan that is not to be built so; only such a plan has it."""
_STOP_MM = 5.0
_TOLD_MM, _PITCH = 2.2, 1.55
"""Height of what a test hole told, and from line to line of it."""
_METRES, _FEET = 6, 2
"""Codes of $INSUNITS."""
_WEIGHTS = (0, 5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100)
"""Line weights a DXF file may name, in hundredths of a millimetre, as far as our pens need them."""
_ANCHORS = {"l": "LEFT", "c": "CENTER", "r": "RIGHT"}


def plan_dxf(plan: Plan, view: View, marks: Sequence[Mark]) -> str:
    """The DXF file; one plan gives one file, byte for byte: no time and no random number is written.

    Args:
        plan: for its pieces, its frame and its units.
        view: the plan view to write.
        marks: what it draws, as its sheet was lowered.
    """
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        return _written(plan, view, marks)
    finally:
        options.write_fixed_meta_data_for_testing = before


def _written(plan: Plan, view: View, marks: Sequence[Mark]) -> str:
    from ezdxf.filemanagement import new

    document = new("R2010", setup=True)
    document.header["$INSUNITS"] = _FEET if plan.project.units == "us" else _METRES
    document.header["$MEASUREMENT"] = 0 if plan.project.units == "us" else 1
    document.styles.add("LYNCHET", font="SourceSansPro-Regular.ttf")
    for name in (*LAYERS, PIECES):
        document.layers.add(name)
    writer = _Writer(plan, view, document)
    for mark in marks:
        writer.mark(mark)
    writer.pieces()
    writer.weep_holes()
    writer.test_holes()
    writer.stop()
    for name in sorted(document.entitydb.dxf_types_in_use()):
        document.classes.add_class(name)  # else the library lists them in an order left to chance
    stream = StringIO()
    document.write(stream)
    return stream.getvalue()


class _Writer:
    """Puts marks of one view into model space."""

    def __init__(self, plan: Plan, view: View, document: Any) -> None:
        self.plan, self.view, self.document = plan, view, document
        self.space = document.modelspace()
        self.unit = FOOT if plan.project.units == "us" else 1.0
        self.per_mm = view.scale / 1000.0 / self.unit
        """World units for one millimetre of paper."""

    def world(self, at: Point) -> Point:
        """A paper point in the file's own coordinates and units."""
        return self.placed(unpaper(self.view, at))

    def placed(self, point: Point) -> Point:
        """A point of the own frame in the file's coordinates and units."""
        x, y = self.plan.project.frame.outward(point)
        return x / self.unit, y / self.unit

    def mark(self, mark: Mark) -> None:
        """One path or text."""
        self._letters(mark) if isinstance(mark, Letters) else self._stroke(mark)

    def _stroke(self, mark: Stroke) -> None:
        look = {"layer": mark.layer, "true_color": _number(mark.role or mark.fill or "ink")}
        paths = [[self.world(point) for point in path] for path in mark.paths if len(path) > 1]
        if mark.fill and mark.fill != "paper" and paths:
            hatch = self.space.add_hatch(dxfattribs={"layer": mark.layer})
            hatch.rgb = _rgb(mark.fill)
            for path in paths:
                if len(path) > 2:
                    hatch.paths.add_polyline_path(path, is_closed=True)
        if mark.width_mm:
            for path in paths:
                self.space.add_lwpolyline(
                    path, close=mark.closed, dxfattribs={**look, "lineweight": _weight(mark.width_mm)}
                )

    def _letters(self, mark: Letters) -> None:
        from ezdxf.enums import TextEntityAlignment

        start, end = self.world((mark.x, mark.y)), self.world(_along(mark))
        text = self.space.add_text(
            mark.text,
            height=mark.h * self.per_mm,
            rotation=degrees(atan2(end[1] - start[1], end[0] - start[0])),
            dxfattribs={"layer": mark.layer, "style": "LYNCHET", "true_color": _number(mark.role)},
        )
        text.set_placement(start, align=TextEntityAlignment[_ANCHORS[mark.anchor]])

    def pieces(self) -> None:
        """Each piece a block round its first corner, so that it can be counted and moved."""
        for piece in self.plan.pieces:
            ring = [self.placed(point) for point in piece.outline_m]
            base = ring[0]
            block = self.document.blocks.new(name=piece.id.replace("/", "_"))
            block.add_lwpolyline(
                [(x - base[0], y - base[1]) for x, y in ring], close=True, dxfattribs={"layer": PIECES}
            )
            bottom = piece.bottom_m / self.unit
            self.space.add_blockref(block.name, (*base, bottom), dxfattribs={"layer": PIECES})

    def weep_holes(self) -> None:
        """Each a block at its mouth: the ring of the bore, and its line through the timber, up to the back."""
        look = {"layer": WEEPS, "true_color": _number("water")}
        for hole in self.plan.stability.weeps:
            (x, y), (to_x, to_y) = (self.placed(end) for end in bore_of(hole))
            block = self.document.blocks.new(name=hole.id.replace("/", "_"))
            block.add_circle((0.0, 0.0), WEEP_BORE_M / 2.0 / self.unit, dxfattribs=look)
            block.add_line((0.0, 0.0, 0.0), (to_x - x, to_y - y, WEEP_FALL_M / self.unit), dxfattribs=look)
            self.space.add_blockref(block.name, (x, y, hole.level_m / self.unit), dxfattribs={"layer": WEEPS})

    def test_holes(self) -> None:
        """Each as on the site sheet, and beside it what it told."""
        figures = Figures(self.plan.project.units)
        for hole in self.plan.project.holes:
            if hole.point_m is None:
                continue
            x, y = self.view.paper(hole.point_m)
            for mark in draw("test hole", Sign((x, y), TESTS, role="earth")):
                self.mark(mark)
            for row, text in enumerate(told_lines(hole, figures)):
                down = _TOLD_MM * (0.5 + _PITCH * row)
                self.mark(Letters(x + _TOLD_MM, y + down, text, _TOLD_MM, TESTS, "l", role="earth"))

    def stop(self) -> None:
        """Over the plan, on a layer of its own and in the file's comments, that it is not to be built so."""
        words = stop_words(self.plan)
        if not words:
            return
        self.document.layers.add(STOP)
        self.document.header.custom_vars.append("stop", words)
        left, top, _, _ = self.view.region
        start, along = self.world((left, top - 2.0)), self.world((left + 1.0, top - 2.0))
        turn = degrees(atan2(along[1] - start[1], along[0] - start[0]))
        look = {"layer": STOP, "style": "LYNCHET", "true_color": _number("warn")}
        self.space.add_text(words, height=_STOP_MM * self.per_mm, rotation=turn, dxfattribs=look).set_placement(start)


def _along(mark: Letters) -> Point:
    """A point one millimetre further along a text."""
    return mark.x + cos(radians(mark.turn_deg)), mark.y - sin(radians(mark.turn_deg))


def _weight(width_mm: float) -> int:
    return min(_WEIGHTS, key=lambda weight: abs(weight - 100.0 * width_mm))


def _rgb(role: str) -> tuple[int, int, int]:
    value = colour(role)
    return int(value[1:3], 16), int(value[3:5], 16), int(value[5:7], 16)


def _number(role: str) -> int:
    red, green, blue = _rgb(role)
    return red << 16 | green << 8 | blue
