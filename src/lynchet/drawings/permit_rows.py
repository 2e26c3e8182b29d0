"""The table of wall heights on permit sheet 2: all walls in one column or two, and which walls are left out, if any."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lynchet.drawings.figures import Figures
from lynchet.drawings.page import Page
from lynchet.drawings.page_parts import Side, fitted, para, para_height, table, table_height
from lynchet.drawings.permit_heights import Heights, WallHeight
from lynchet.drawings.strip import Column

SUM = "sum of tiers"
Row = tuple[str, ...]
_ONE = (Column("wall", 0.18, "l"), Column("top at", 0.14), Column("ground held", 0.15), Column("timber seen", 0.16),
        Column("lowest timber to top", 0.20), Column("from wall below", 0.17))  # fmt: skip
_TWO = (Column("wall", 0.14, "l"), Column("top at", 0.19), Column("held", 0.155), Column("seen", 0.155),
        Column("whole", 0.17), Column("below", 0.19))  # fmt: skip
_SAID = (
    "held = ground held; seen = timber seen; whole = lowest timber to top; below = from the wall below, – = not added; "
    "sum = sum of tiers."
)
_SHORT = {SUM: "sum", "not added": "–"}
_GAP_MM = 5.0


@dataclass(frozen=True)
class WallTable:
    """Rows of walls, set in one column or, where they are many, in two side by side."""

    rows: tuple[Row, ...]
    double: bool = False
    left_out: tuple[Row, ...] = ()
    """Rows there is no room for."""

    def high_mm(self, side: Side) -> float:
        """What it takes of the page."""
        said = sum(para_height(side, words) for words in self._words())
        columns = self._columns(side)
        return said + max(table_height(half, columns, rows) for half, rows in self._halves(side))

    def set_on(self, page: Page, side: Side, y: float) -> float:
        """Write it; the height below it."""
        ends, columns = [], self._columns(side)
        for half, rows in self._halves(side):
            strong = next((n for n, row in enumerate(rows) if row[0] in (SUM, _SHORT[SUM])), None)
            ends.append(table(page, (half, y), columns, rows, strong))
        y = max(ends)
        for words in self._words():
            y = para(page, side, y, words)
        return y

    def without(self, kept: frozenset[str]) -> WallTable:
        """One row fewer: the last of a wall nothing here is compared by, else the last of all but the sum."""
        spare = [n for n, row in enumerate(self.rows) if row[0] != SUM]
        free = [n for n in spare if self.rows[n][0] not in kept]
        gone = max(free or spare)
        rows = tuple(row for n, row in enumerate(self.rows) if n != gone)
        return WallTable(rows, self.double, (self.rows[gone], *self.left_out))

    def _columns(self, side: Side) -> tuple[Column, ...]:
        """Of both halves alike, as wide as the cells of either need: levels over the sea are long."""
        halves = self._halves(side)
        return fitted(halves[0][0], _TWO if self.double else _ONE, [row for _, rows in halves for row in rows])

    def _halves(self, side: Side) -> list[tuple[Side, Sequence[Row]]]:
        if not self.double:
            return [(side, self.rows)]
        middle, first = (side[0] + side[1]) / 2, (len(self.rows) + 1) // 2
        rows = [(_SHORT.get(row[0], row[0]), *row[1:-1], _SHORT.get(row[-1], row[-1])) for row in self.rows]
        return [((side[0], middle - _GAP_MM / 2), rows[:first]), ((middle + _GAP_MM / 2, side[1]), rows[first:])]

    def _words(self) -> list[str]:
        said = [_SAID] if self.double else []
        added = [row[0] for row in self.left_out if row[-1] != "not added"]
        others = [f"{row[0]} {' / '.join(row[2:5])}" for row in self.left_out if row[-1] == "not added"]
        said += [f"Added too, their heights at their names in the picture: {', '.join(added)}."] if added else []
        told = f"Not added, and none of them higher (held / seen / whole): {'; '.join(others)}."
        return [*said, told] if others else said


def wall_rows(found: Heights, figures: Figures) -> tuple[Row, ...]:
    """A row for each wall: those of the stack, their sums, the others."""
    rows = [_row(wall, figures) for wall in found.stack]
    if len(found.stack) > 1:
        heights = (figures.height(value) for value in (found.held_m, found.seen_m, found.whole_m))
        rows.append((SUM, "", *heights, f"{len(found.stack)} walls"))
    return (*rows, *(_row(wall, figures, "not added" if len(rows) > 1 else "") for wall in found.others))


def _row(wall: WallHeight, figures: Figures, else_said: str = "") -> Row:
    apart = figures.words(wall.setback_m) if wall.setback_m is not None else else_said
    return (
        wall.leg,
        figures.laid(wall.highest_m),
        figures.height(wall.held_m),
        figures.height(wall.seen_m),
        figures.height(wall.whole_m),
        apart,
    )


def compared(found: Heights, counted: Sequence[str]) -> frozenset[str]:
    """Walls that must stand in the table: those added, those a rule counts, and the highest by each measure."""
    walls = (*found.stack, *found.others)
    high = [max(walls, key=measure).leg for measure in (
        lambda wall: wall.held_m, lambda wall: wall.seen_m, lambda wall: wall.whole_m)] if walls else []  # fmt: skip
    return frozenset((*(wall.leg for wall in found.stack), *counted, *high))
