"""The eye-level sheet: the finished garden from one standpoint, in the first year and in the fifth."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from lynchet.drawings.axo_visible import Seen, whole_parts
from lynchet.drawings.eye_place import HALF_WIDTH, Stand, stand_of
from lynchet.drawings.eye_scene import Sight, sight_of
from lynchet.drawings.figures import Figures
from lynchet.drawings.kept import rings_of
from lynchet.drawings.model import Area, Item, Line, Sheet, Text, View
from lynchet.drawings.paper import Box, paper_of
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Column, Content, Note, Rows, strip
from lynchet.plan.building_days import days_of
from lynchet.plan.model import Plan
from lynchet.planting.growth import grown_share
from lynchet.units.measures import FOOT, INCH

ID = "eye-level"
TITLE = "Eye-level view"
AGES = (1.0, 5.0)
NOT_A_PHOTOGRAPH = (
    "A drawing from the plan, not a photograph: no weather, no shade, no fences. Plants are "
    "shown as plain ovals of about the size they may have; in any garden they grow by half more or less."
)
_GAP_MM = 9.0
_UP_M = {"metric": 4.0, "us": 13 * FOOT}
"""From how high up the second picture of a garden without plants is seen."""
_WORDS = {0.0: "When it is built", 1.0: "First year, about", 5.0: "Fifth year, about"}
_LOOKS: dict[str, tuple[str, str, str]] = {
    "timber": ("timber", "thin", "ink"), "step": ("timber", "thin", "ink"), "house": ("barrow", "fine", "mid"),
    "roof": ("stone", "fine", "mid"), "mulch": ("mulch", "hair", "mid"), "bed soil": ("bed", "hair", "mid"),
    "strip": ("path", "hair", "mid"), "fill": ("soil", "hair", "mid"), "outlet": ("stone", "hair", "mid"),
    "existing ground": ("soil", "hair", "mid"), "dug ground": ("fill", "hair", "mid"),
    "plant": ("planted", "fine", "plant"), "crown": ("planted", "fine", "plant"), "stem": ("bed", "fine", "mid"),
}  # fmt: skip
"""Fill, pen and role by kind."""


def eye_sheet_names(plan: Plan) -> tuple[str, ...]:
    """Names of the sheets, one for each standpoint: "eye-level", "eye-level-2"; none where the yard has no bed."""
    count = max(1, len(plan.project.views)) if plan.terraces.beds and plan.works.tasks else 0
    return tuple(ID + (f"-{n}" if n > 1 else "") for n in range(1, count + 1))


def eye_sheet(plan: Plan, stamp: Stamp, number: int = 0) -> Sheet | None:
    """The eye-level sheet of a standpoint; None where the yard has no bed.

    Args:
        plan: what is shown.
        stamp: firm, date, issue and sheet numbers.
        number: of the standpoint, from 0.
    """
    names = eye_sheet_names(plan)
    if not names:
        return None
    name = names[number]
    title = TITLE + (f", {number + 1} of {len(names)}" if len(names) > 1 else "")
    figures, paper = Figures(plan.project.units), paper_of(plan.project)
    stand = stand_of(plan, number)
    ages = AGES if plan.planted.plantings else (0.0,)
    sight = sight_of(days_of(plan), stand, ages)
    pictures = [(f"year-{years:.0f}", _WORDS[years], sight, n) for n, years in enumerate(ages)]
    if (
        len(ages) < len(AGES) and stand.eye_m < _UP_M[figures.system]
    ):  # nothing planted: beds are hardly seen from the foot of a slope, so from higher up too
        lifted = replace(stand, eye_m=_UP_M[figures.system])
        said = f"The same from {figures.words(lifted.eye_m)} up, as from a ladder"
        pictures.append(("from-above", said, sight_of(days_of(plan), lifted, ages), 0))
    left, top, right, bottom = paper.field
    high = (bottom - top - 9.0 - _GAP_MM * (len(pictures) - 1)) / len(pictures)
    views = []
    heads: list[Item] = []
    for k, (own, said, seen, n) in enumerate(pictures):
        y = top + 4.5 + k * (high + _GAP_MM)
        box = (left + 4.5, y + 6.0, right - 4.5, y + high)
        views.append(_view(own, seen, n, box))
        heads.append(Text(id=f"head-{k}", layer="labels", at=(box[0], y + 4.0), text=said, h=4.0, weight="bold"))
    fields = stamp.fields(name, title, "not to scale", plan)
    content = Content(TITLE, (), tuple(_parts(plan, stand, sight, figures)))
    marks, notes = strip(paper, fields, content, figures)
    planted = "with plants in their first year above and in their fifth below" if len(ages) > 1 else "unplanted"
    alt = f"The finished garden seen from {stand.name}, eyes {figures.words(stand.eye_m)} over the ground, {planted}."
    return Sheet(name, "eye", paper, fields, tuple(views), (*heads, *marks), stamp.theme, cautions=(NOT_A_PHOTOGRAPH,),
                 alt=alt, notes=notes)  # fmt: skip


def _view(name: str, sight: Sight, n: int, box: Box) -> View:
    """One picture: as wide as its box takes in; sky above and ground at the feet cut off."""
    wide, tall = box[2] - box[0], box[3] - box[1]
    scale = round(2.0 * HALF_WIDTH * 10.0 * 1000.0 / wide)
    low, high = _heights(sight)
    room = tall * scale / 1000.0
    # A little ground at its foot, the rest for what stands above; where the garden is taller, its foot is cut off. In a
    # tall picture it stands near the middle.
    foot = 0.1 if tall < 0.6 * wide else max(0.1, 0.45 - 0.5 * (high - low) / room)
    middle = max(low - foot * room, high - 0.92 * room) + 0.5 * room
    edge = _ring(box, scale, middle)
    items = [*_items(sight.standing, edge, f"{name}-a", "tones"), *_items(sight.plants[n], edge, f"{name}-p", "plants")]
    items.append(Line(id=f"{name}-edge", layer="levels", pts=edge, closed=True, pen="thin"))
    at = (box[0] + box[2]) / 2.0, (box[1] + box[3]) / 2.0
    return View(name, "axo", scale, tuple(items), box, "", (0.0, middle), at)


def _ring(box: Box, scale: int, middle: float) -> tuple[tuple[float, float], ...]:
    half, high = (box[2] - box[0]) * scale / 2000.0 - 1e-6, (box[3] - box[1]) * scale / 2000.0 - 1e-6
    return (-half, middle - high), (half, middle - high), (half, middle + high), (-half, middle + high)


def _heights(sight: Sight) -> tuple[float, float]:
    """From the foot of the lowest wall to the top of beds and plants, in the picture."""
    from shapely import total_bounds

    shapes = [one.shape for one, kind in sight.standing if kind in ("timber", "step", "mulch", "bed soil", "strip")]
    shapes += [one.shape for one, kind in sight.plants[-1] if kind == "plant"]
    if not shapes:
        shapes = [one.shape for one, _ in sight.standing]
    _, low, _, high = total_bounds(shapes)
    return float(low), float(high)


def _items(
    seen: Sequence[tuple[Seen, str]], edge: tuple[tuple[float, float], ...], name: str, layer: str
) -> Iterator[Item]:
    """Areas of what is seen, cut at the picture's edge."""
    from shapely import contains, prepare
    from shapely.geometry import Polygon

    window = Polygon(edge)
    prepare(window)
    whole = contains(window, [one.shape for one, _ in seen]).tolist()
    parts: list[tuple[str, str, str, Any]] = []
    for k, ((one, kind), is_whole) in enumerate(zip(seen, whole, strict=True)):
        inside = one.shape if is_whole else whole_parts(one.shape.intersection(window))
        for j, shape in enumerate(getattr(inside, "geoms", [inside]) if inside is not None else ()):
            parts.append((f"{name}{k:05d}-{j}", kind, one.face.body, shape))
    rings = rings_of([shape for *_, shape in parts])
    for (own, kind, body, _), around in zip(parts, rings, strict=True):
        fill, pen, role = _LOOKS.get(kind, ("soil", "hair", "mid"))
        yield Area(id=own, layer=layer, rings=around, fill=fill, pen=pen, role=role, of=body)  # type: ignore[arg-type]


def _parts(plan: Plan, stand: Stand, sight: Sight, figures: Figures) -> Iterator[Note | Rows]:
    yield Note("What this is", NOT_A_PHOTOGRAPH)
    where = f"From {stand.name}, eyes {figures.words(stand.eye_m)} over the ground there."
    own = "" if plan.project.views else " Another place: [[view]] in the project file, with at and towards."
    yield Note("From where", where + own)
    if sight.not_drawn:
        yield Note("Not drawn", f"{', '.join(sight.not_drawn)}: the file says no height.")
    if sight.stood_in:
        yield Note("Left out", f"{', '.join(sight.stood_in)}: you stand in it, and it would hide the garden.")
    species = {planting.species.botanical_name: planting.species for planting in plan.planted.plantings}
    if species:
        unit = "" if figures.system == "us" else ", mm"
        columns = (Column(f"plant, about{unit}", 0.48, "l"), Column("year 1", 0.25), Column("year 5", 0.27))
        rows = tuple(
            (one.common_name, *(_size(figures, grown_share(one.type, years), one) for years in AGES))
            for one in sorted(species.values(), key=lambda one: (-one.height_m, one.common_name))
        )
        yield Rows("Height × spread", columns, rows, "see the planting sheet")
    else:
        yield Note("Plants", "None are chosen or wished in the file, so none are drawn.")


def _size(figures: Figures, share: float, species: Any) -> str:
    high, wide = (_about(figures, share * size) for size in (species.height_m, species.spread_m))
    return f"{high} × {wide}"


def _about(figures: Figures, size_m: float) -> str:
    """A size no finer than plants are: 10 mm, or an inch."""
    step = INCH if figures.system == "us" else 0.01
    return figures.small(max(1, round(size_m / step)) * step)
