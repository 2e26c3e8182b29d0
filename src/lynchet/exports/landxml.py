"""``setting-out.xml``: pegs and surfaces as LandXML 1.2, for survey instruments and site programs.

Element names, attributes and their order follow the LandXML 1.2 schema as recalled (MEMORY). Points are written
northing, easting, level: the file's y, x and levels. North of the file is not turned to true north.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from importlib.metadata import version
from xml.etree import ElementTree as Tree

from lynchet.drawings.stamp import stop_words
from lynchet.exports.csv_text import PlainUnits
from lynchet.exports.flat_nets import flat_triangles
from lynchet.exports.setting_rows import set_points
from lynchet.plan.model import Plan

NAMESPACE = "http://www.landxml.org/schema/LandXML-1.2"
_METRIC = {"areaUnit": "squareMeter", "linearUnit": "meter", "volumeUnit": "cubicMeter",
           "temperatureUnit": "celsius", "pressureUnit": "HPA"}  # fmt: skip
_IMPERIAL = {"areaUnit": "squareFoot", "linearUnit": "foot", "volumeUnit": "cubicFeet",
             "temperatureUnit": "fahrenheit", "pressureUnit": "inHG"}  # fmt: skip
_ANGLES = {"angularUnit": "decimal degrees", "directionUnit": "decimal degrees"}
Row = tuple[float, float, float]


def setting_xml(plan: Plan, written: date | None = None) -> str:
    """The file: units, points, the measured ground, every finished bed as a surface of triangles.

    A plan with a stop says so in the description of the project and of its points.

    Args:
        plan: the plan.
        written: the day it is written, which the schema asks for; None = the day of issue, or today where none is said.
    """
    day = written.isoformat() if written else plan.project.sheet.date or date.today().isoformat()
    about = {"version": "1.2", "date": day, "time": "00:00:00", "language": "English", "readOnly": "false"}
    root = Tree.Element("LandXML", {"xmlns": NAMESPACE, **about})
    us = plan.project.units == "us"
    units = Tree.SubElement(root, "Units")
    Tree.SubElement(units, "Imperial" if us else "Metric", {**(_IMPERIAL if us else _METRIC), **_ANGLES})
    stop = {"desc": words} if (words := stop_words(plan)) else {}
    Tree.SubElement(root, "Project", {"name": _clean(plan.project.name) or "Plan", **stop})
    Tree.SubElement(root, "Application", {"name": "Lynchet", "version": version("lynchet")})
    _points(root, plan)
    _surfaces(root, plan)
    Tree.indent(root, " ")
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + Tree.tostring(root, encoding="unicode") + "\n"


def _points(root: Tree.Element, plan: Plan) -> None:
    size = PlainUnits(plan.project.units).length_m
    stop = {"desc": words} if (words := stop_words(plan)) else {}
    holder = Tree.SubElement(root, "CgPoints", {"name": "setting out", **stop})
    names: dict[str, int] = {}
    for row in set_points(plan):
        name = _clean(row.name)
        names[name] = names.get(name, 0) + 1
        if names[name] > 1:
            name = f"{name} ({names[name]})"
        at = (row.point_m[1], row.point_m[0], *(() if row.level_m is None else (row.level_m,)))
        point = Tree.SubElement(holder, "CgPoint", {"name": name, "desc": _clean(row.what), "code": row.kind})
        point.text = _numbers(at, size)


def _surfaces(root: Tree.Element, plan: Plan) -> None:
    size, out = PlainUnits(plan.project.units).length_m, plan.project.frame.outward
    holder = Tree.SubElement(root, "Surfaces")
    ground = plan.ground.surface
    rows = [(*out((x, y)), z) for x, y, z in ground.points.tolist()]
    _surface(holder, "ground before", rows, ground.triangles.tolist(), size)
    for bed in plan.terraces.beds:
        points, triangles = flat_triangles(bed.polygon)
        _surface(holder, f"{bed.id} finished", [(*out(point), bed.level_m) for point in points], triangles, size)


def _surface(
    holder: Tree.Element, name: str, rows: Sequence[Row], triangles: Iterable[Sequence[int]], size: float
) -> None:
    surface = Tree.SubElement(holder, "Surface", {"name": name})
    levels = [row[2] / size for row in rows]
    definition = Tree.SubElement(surface, "Definition", {
        "surfType": "TIN", "elevMin": f"{min(levels):.5f}", "elevMax": f"{max(levels):.5f}",
    })  # fmt: skip
    points = Tree.SubElement(definition, "Pnts")
    for number, (x, y, level) in enumerate(rows, start=1):
        Tree.SubElement(points, "P", {"id": str(number)}).text = _numbers((y, x, level), size)
    faces = Tree.SubElement(definition, "Faces")
    for triangle in triangles:
        Tree.SubElement(faces, "F").text = " ".join(str(corner + 1) for corner in triangle)


def _numbers(values: Iterable[float], size: float) -> str:
    return " ".join(f"{round(value / size, 5) + 0.0:.5f}" for value in values)


def _clean(text: str) -> str:
    """Without characters that XML 1.0 cannot hold."""
    return "".join(letter for letter in text if letter in "\t\n" or (letter >= " " and letter not in "\ufffe\uffff"))
