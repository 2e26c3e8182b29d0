"""What a quote says of the yard and the work, in plain words."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from lynchet.core.enumerated import enumerated
from lynchet.core.findings import Verdict
from lynchet.plan.bed_area import beds_words
from lynchet.plan.figures import Figures, figures
from lynchet.plan.model import Plan
from lynchet.project.soil_words import soil_name
from lynchet.units.format import length, slope, small, volume
from lynchet.water.holes_dug import hole_words

_TAKEN = {
    "slope": "one rough fall", "steps": "a board and a level, step by step", "laser": "readings with level and rod",
    "level_book": "readings with level and rod", "points": "surveyed levels",
}  # fmt: skip
OUTLETS = "Keep the outlets of the drains open, and look at them after heavy rain."
DUTIES = (
    "Show us the corners of the lot, and everything that is buried: septic tank, sprinklers, private cables and pipes.",
    OUTLETS,
    "Put no fence, post, tub, shed, car or fill on or near the walls without asking us first.",
)
"""What every such wall asks of its owner. PRACTICE."""
MET = "You pay these only where the thing is met, shown to you, measured, and written on a slip that both of us sign."
SLIPS = "Extra work is done only by a signed slip with a photograph."
CARE = (
    "Soil in the beds settles in the first year: keep some to top it up.",
    "New timber dries and opens cracks along the grain: that is no fault. Call us if a wall leans more than it did at "
    "hand-over, if water stands behind it or runs over it.",
)


def duties(plan: Plan) -> tuple[str, ...]:
    """What the owner does; nothing of outlets where there are none."""
    return tuple(text for text in DUTIES if text != OUTLETS or plan.water.outlets or plan.water.drains)


def _falls(ratio: float) -> str:
    """A slope for people: whole hundredths and the run."""
    _, _, run = slope(ratio).partition(" (")
    return f"{100.0 * ratio:.0f} %" + (f" ({run}" if run else "")


def seen(plan: Plan) -> Iterator[str]:
    """What was measured and looked at, and what was not."""
    ground, units = plan.project.ground, plan.project.units
    fall = f"The ground falls {_falls(hypot(*plan.terraces.fall))}; measured by {_TAKEN[ground.kind]}"
    count = f" ({len(ground.readings)} readings)" if ground.kind in ("laser", "level_book", "points") else ""
    yield f"{fall}{count}."
    soil = plan.project.soil
    yield f"Soil: {soil_name(soil)}." if soil.known else "The soil was not looked at: weak soil is taken."
    for hole in plan.project.holes:
        met = [f"water at {length(hole.water_depth_m, units)}"] if hole.water_depth_m is not None else ["no water"]
        if hole.refusal_depth_m is not None:
            met.append(f"too hard to dig at {length(hole.refusal_depth_m, units)}")
        yield f"{hole_words(hole.name)}, {length(hole.depth_m, units)} deep: {', '.join(met)}."
    if not plan.project.holes:
        below = " (see below, what may be met)" if plan.project.offer.allowances else ""
        yield f"No test hole was dug: what lies underneath is not known{below}."
    yield from _way_in(plan)


def _way_in(plan: Plan) -> Iterator[str]:
    access, units, run = plan.project.access, plan.project.units, plan.earth.barrow_run
    said = []
    if access.gate_m is not None:
        said.append(f"gate {length(access.gate_m, units)} wide")
    if run is not None and run.length_m > 0.5:
        start = "the truck" if run.start == "truck stop" else "the edge of the yard"
        said.append(f"about {length(run.length_m, units, 1)} by barrow from {start} to the heap")
    if access.only_way:
        said.append("the yard is the only way to the back, and a passage stays open")
    if said:
        yield f"The way in: {', '.join(said)}."


def built(plan: Plan) -> Iterator[str]:
    """What is built, with its sizes."""
    found = figures(plan)
    yield from _walls(plan, found)
    yield from _drains(plan)
    yield from _flights(plan)
    units = plan.project.units
    beds = f"{_count(found.terraces, 'level bed')}, together {beds_words(plan, found.bed_m2)}"
    plants = sum(plan.planted.counts.values())
    kinds = _count(len(plan.planted.counts), "kind")
    yield f"{beds}; {plants} plants of {kinds}, set and mulched." if plants else f"{beds}."
    if found.loads:
        amount, loads = volume(abs(found.away_loose_m3), units), _count(found.loads, "load")
        way = "left-over soil is taken away" if found.away_loose_m3 > 0 else "soil is brought in"
        yield f"About {amount} of {way}: {loads}."


def _walls(plan: Plan, found: Figures) -> Iterator[str]:
    timber, units = plan.project.timber, plan.project.units
    run = sum(segment.end_m - segment.start_m for leg in plan.walls.legs for segment in leg.segments)
    section = f"{small(timber.course_m, units)} x {small(timber.thickness_m, units)}"
    treated = f", treated for {timber.treatment}" if timber.treatment in ("ground contact", "above ground") else ""
    yield (
        f"{_count(found.walls, 'wall')} of timber {section}{treated}, together {length(run, units, 1)} long, holding "
        f"back up to {length(found.highest_m, units)} of soil; the lowest timbers are buried, on a bed of tamped stone."
    )
    held = ["screwed course to course"]
    if any(pin.leg for pin in plan.stability.pins):
        held.append("pinned into the ground with steel bars")
    if found.ties:
        held.append(f"tied back into the bank by {_count(found.ties, 'timber')} with cross-pieces")
    yield f"The walls are {enumerated(held)}; corners lap."


def _drains(plan: Plan) -> Iterator[str]:
    water, units = plan.water, plan.project.units
    if water.drains:
        run = sum(hypot(b[0] - a[0], b[1] - a[1]) for drain in water.drains
                  for a, b in zip(drain.points_m, drain.points_m[1:], strict=False))  # fmt: skip
        ways = _count(len(water.outlets), "outlet")
        yield f"Drain stone, fabric and {length(run, units, 1)} of drain pipe behind the walls, led to {ways}."
    elif water.stone:
        yield "Drain stone and fabric behind the walls where the drawings show them."


def _flights(plan: Plan) -> Iterator[str]:
    units = plan.project.units
    sizes: dict[tuple[int, int], int] = {}
    for flight in plan.terraces.flights:
        key = flight.risers, round(flight.width_m * 1000)
        sizes[key] = sizes.get(key, 0) + 1
    flights = [
        f"{_count(many, 'flight')} of {_count(risers, 'step')}, {length(wide / 1000, units)} wide"
        for (risers, wide), many in sizes.items()
    ]
    if flights:
        yield f"Steps of the same timber: {enumerated(flights)}."


def waits_for(plan: Plan) -> tuple[str, ...]:
    """What somebody else must say before the work begins, one line for each body and cause."""
    found: dict[tuple[str, str], str] = {}
    for finding in plan.findings:
        if finding.ask and finding.verdict >= Verdict.ASK:
            who = finding.ask[:1].upper() + finding.ask[1:]
            text = _of_heights(plan, finding.text) if finding.code == "stability.height" else finding.text
            found.setdefault((finding.ask, finding.cause or finding.code), f"{who}: {text}")
    return tuple(found.values())


def _of_heights(plan: Plan, text: str) -> str:
    """What a client is told of height rules: of a place whose rules are not known, no sample of another town."""
    if plan.project.place.known:
        return text
    return (
        "the height above which a wall needs a permit, and how it is counted where walls stand one above the other, "
        "is to be asked at your building office before anything is ordered. The highest wall here holds "
        f"{length(figures(plan).highest_m, plan.project.units)}."
    )


def order_of_work(plan: Plan) -> Iterator[str]:
    """How the job goes, from the lowest wall up."""
    works = plan.works
    programme = works.programme
    begins = f", beginning {day_words(works.days[0].date)}" if works.days and works.days[0].date else ""
    yield (
        f"{_count(programme.days, 'working day')} ({programme.days_low} to {programme.days_high}) for "
        f"{_count(programme.crew, 'person', 'people')}{begins}, as weather and ground allow."
    )
    yield "Buried lines are located and marked first; nobody digs before the answer is there."
    if works.deliveries:
        loads = sum(one.loads for one in works.deliveries if one.name != "soil away")
        yield f"{_count(loads, 'delivery', 'deliveries')}, put down where the site plan shows it."
    yield "The lowest wall comes first, then terrace by terrace up the slope; the barrow run is closed last."
    yield "You may look before anything is covered: the open trench, the drain before stone and soil go in, the end."


def day_words(date: str) -> str:
    """A date as people write it where months have names: "3 April 2027"."""
    from lynchet.works.dates import read_date

    found = read_date(date, "date")
    return f"{found.day} {found:%B %Y}"


def money(hundredths: int, currency: str) -> str:
    """ "USD 1,234.50"; hundredths always shown, below nothing with a minus sign."""
    sign = "\N{MINUS SIGN}" if hundredths < 0 else ""
    return sign + f"{currency} {abs(hundredths) / 100:,.2f}".strip()


def _count(count: int, one: str, many: str = "") -> str:
    return f"{count} {one if count == 1 else many or one + 's'}"
