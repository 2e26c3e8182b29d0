"""Ground left free, reach, passage, roots, room beside path strips: what is wanted of benches beside their levels."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.core.kept import grown
from lynchet.ground.model import Surface
from lynchet.ground.prisms import prisms
from lynchet.project.model import Project
from lynchet.terraces.area import PIT_MOST_M, Taken
from lynchet.terraces.bed_soil import soil_of
from lynchet.terraces.model import Face, Flight, Level, WallLine
from lynchet.terraces.widest import widest_m
from lynchet.units.format import area as area_text
from lynchet.units.format import length as length_text

ROOT_M = 0.05
"""Level change over roots that is left without a word."""
STRIP_LEAST_M = 0.30
FREE_SHARE = 0.1
"""Share of the area that a thing may keep free without a word. PRACTICE."""
_SLACK_M = 0.001


def wish_findings(
    project: Project, surface: Surface, faces: Sequence[Face], lines: Sequence[WallLine], flights: Sequence[Flight]
) -> list[Finding]:
    """Everything the brief wants of the benches that they do not give."""
    findings = []
    for face in faces:
        if face.kind == "bed":
            soil = soil_of(face, lines, project, surface)
            inner = grown(soil, -project.brief.reach_m, "mitre")
            findings += _reach(project, face, soil, inner)
            findings += _bed_room(project, face, soil, inner)
    findings += _passage(project, flights, faces)
    findings += _roots(project, surface, faces)
    return findings


def left_free(project: Project, taken: Sequence[Taken]) -> list[Finding]:
    """A thing that stays and keeps much of the area free: nothing is planned there, which one may not have meant."""
    import shapely

    outline = shapely.Polygon(project.area.outline_m)
    findings = []
    for number, fixed in enumerate(project.fixed):
        kept = [thing for thing in taken if thing.face == f"F{number}"]
        free = sum(outline.intersection(shapely.Polygon(thing.outline)).area for thing in kept)
        if free <= FREE_SHARE * outline.area:
            continue
        units = project.units
        name, clear = fixed.name or fixed.kind, length_text(fixed.clear_m, units)
        round_it = f" and {clear} round it" if fixed.clear_m else ""
        text = (
            f"{area_text(free, units)} of the {area_text(outline.area, units)} of the area "
            f"{'are' if free > 1 else 'is'} left free for {name}{round_it}: nothing is built there."
        )
        cure = Cure("less-clear", f"where less will do: `clear` of {name} under [[fixed]], as its owner or office says")
        findings.append(Finding("terraces.left_free", Verdict.WATCH, text, f"F{number}", demand=free, unit="m2",
                                cures=(cure,)))  # fmt: skip
    return findings


def _reach(project: Project, face: Face, soil: Any, inner: Any) -> list[Finding]:
    """A bed one cannot reach the middle of from its edges; ``inner`` is its soil out of reach."""
    reach = project.brief.reach_m
    if inner.area < 0.05:
        return []
    deep = 2.0 * widest_m(soil, reach)
    units = project.units
    text = (
        f"Bed {face.id} is {length_text(deep, units)} deep at its widest, from timber to timber; from its edges "
        f"{length_text(reach, units)} can be reached."
    )
    cure = Cure("stepping-pads", "stepping pads or a path strip in it, or one terrace more")
    return [Finding("terraces.reach", Verdict.WATCH, text, face.id, demand=deep / 2, capacity=reach, unit="m",
                    source="PRACTICE", cures=(cure,), cause="terraces.reach")]  # fmt: skip


def _bed_room(project: Project, face: Face, soil: Any, inner: Any) -> list[Finding]:
    """A bed that is nowhere as wide as asked, beside its path strip or between its timbers."""
    least = project.brief.least_bed_m
    if project.brief.reach_m >= least / 2 and not inner.is_empty:
        return []
    if not grown(soil, -least / 2 + _SLACK_M, "mitre").is_empty:
        return []
    if not face.strip_m:
        text = (
            f"Bed {face.id} is nowhere {length_text(least, project.units)} wide from timber to timber: the least a bed "
            "wants."
        )
        cure = Cure("fewer-terraces", "fewer, deeper benches, or its line moved")
        return [Finding("terraces.narrow_bed", Verdict.WATCH, text, face.id, cures=(cure,))]
    wide, bed = length_text(project.brief.path_strip_m or 0.0, project.units), length_text(least, project.units)
    left = 0.0 if soil.is_empty else 2.0 * widest_m(soil)
    beside = f"{length_text(left, project.units)} of bed" if left > _SLACK_M else "no bed"
    text = f"A path strip of {wide} on bench {face.id} leaves {beside} beside it; a bed wants {bed} at least."
    cure = Cure("fewer-terraces", "fewer, deeper benches, or a narrower strip")
    return [Finding("terraces.path_strip", Verdict.WATCH, text, face.id, cures=(cure,))]


def _passage(project: Project, flights: Sequence[Flight], faces: Sequence[Face]) -> list[Finding]:
    """Whether a way of the width wanted leads up past the beds: a path, or flights over every wall in turn."""
    wide = project.access.passage_m
    if wide is None:
        return []
    units = project.units
    if any(path.width_m >= wide - 1e-6 for path in project.paths):
        return []
    climbed = {number for f in flights if f.width_m >= wide - 1e-6 for number in _climbed(f, faces)}
    benches = {face.terrace for face in faces if face.kind == "bed"}
    if benches and benches <= climbed:
        return []
    verdict = Verdict.STOP if project.access.only_way else Verdict.WATCH
    only = " This is the only way to the ground behind." if project.access.only_way else ""
    size = length_text(wide, units)
    text = f"The beds leave no passage {size} wide from the low to the high side.{only}"
    cure = Cure("keep-passage", f"a path {size} wide up one side, or flights of that width over every wall")
    return [Finding("terraces.passage", verdict, text, "area", demand=wide, unit="m", cures=(cure,))]


def _climbed(flight: Flight, faces: Sequence[Face]) -> list[int]:
    """Terraces a flight leads up to."""
    head = int("".join(c for c in flight.id.split(".")[1] if c.isdigit()))
    levels = sorted({face.terrace for face in faces if face.kind == "bed" and isinstance(face.finish, Level)
                     and flight.foot_level_m < face.finish.level_m <= flight.head_level_m})  # fmt: skip
    return [*levels, head]


def _roots(project: Project, surface: Surface, faces: Sequence[Face]) -> list[Finding]:
    """Beds over root zones too wide to be left as a pit: the ground there would be cut or filled."""
    import shapely

    findings = []
    for fixed in project.fixed:
        if fixed.kind != "tree" or fixed.clear_m <= PIT_MOST_M:
            continue
        zone = grown(shapely.Point(fixed.line_m[0]), fixed.clear_m)
        worst, place, share = 0.0, "", 0.0
        for face in faces:
            if face.kind != "bed" or not face.polygon.intersects(zone):
                continue
            part = shapely.intersection(face.polygon, zone, grid_size=1e-5)
            if part.area < 0.01:
                continue
            under = prisms(surface, part)
            change = max(abs(float(under.levels.min()) - face.level_m), abs(float(under.levels.max()) - face.level_m))
            share += part.area / zone.area
            if change > worst:
                worst, place = change, face.id
        if worst > ROOT_M:
            findings.append(_root_finding(project, fixed.name or "tree", place, (worst, share)))
    return findings


def _root_finding(project: Project, name: str, place: str, figures: tuple[float, float]) -> Finding:
    worst, share = figures
    text = (
        f"The ground over the roots of {name} would be cut or filled by up to {length_text(worst, project.units)} "
        f"({share:.0%} of its root circle lies in the beds)."
    )
    cure = Cure("end-at-roots", "end the area at the root circle, and ask an arborist before any digging inside it")
    return Finding("terraces.roots", Verdict.STOP, text, place, demand=worst, capacity=ROOT_M, unit="m",
                   cures=(cure,), ask="arborist")  # fmt: skip
