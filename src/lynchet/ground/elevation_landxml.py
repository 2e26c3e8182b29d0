"""Levels from a LandXML surface: points with ids, faces that name them."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from lynchet.core.calculator import refuse, refuse_if
from lynchet.ground.elevation_points import UNIT_M, ElevationPoints, level_on_triangles, number

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

Array = NDArray[np.float64]
_UNITS = {("Metric", "meter"): "m", ("Imperial", "foot"): "ft", ("Imperial", "USSurveyFoot"): "us_ft"}


def parse_landxml(text: str, unit: str | None, surface: str | None) -> ElevationPoints:
    """Read one TIN surface; namespace and version are ignored.

    Args:
        text: the file. Document types and entities are refused before anything of them is read.
        unit: needed where the file names none; must agree where it does.
        surface: name of the surface; not needed where there is one only.

    Raises:
        InputError: doctype, xml, unit, surface, point or id, named in the text.
    """
    root = _parsed(text.removeprefix("\ufeff").lstrip())
    factor = UNIT_M[_unit(root, unit)]
    definition = _definition(root, surface)
    places, points = _points(definition)
    triangles = _faces(definition, places)
    at = np.array(points) * factor
    local = at - np.array([at[0, 0], at[0, 1], 0.0])  # large grid numbers lose digits otherwise
    return ElevationPoints(at, 0, triangles, partial(_level_at, local, triangles, (at[0, 0], at[0, 1])))


def _level_at(
    points: Array, triangles: NDArray[np.intp], origin: tuple[float, float], x: float, y: float
) -> float | None:
    return level_on_triangles(points, triangles, x - origin[0], y - origin[1])


def _parsed(text: str) -> Element:
    from xml.etree import ElementTree
    from xml.parsers import expat

    def declared(*_: object) -> None:
        raise refuse("text", "a doctype or entity is declared", "a file without document type and entities")

    parser = expat.ParserCreate()
    parser.StartDoctypeDeclHandler = declared
    parser.EntityDeclHandler = declared
    try:
        parser.Parse(text, True)
        return ElementTree.fromstring(text)
    except (expat.ExpatError, ElementTree.ParseError, UnicodeEncodeError) as error:
        raise refuse("text", f"no readable xml: {error}", "a whole LandXML file") from None


def _local(element: Element) -> str:
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""


def _children(element: Element, *path: str) -> list[Element]:
    """Elements below along a path of names, whatever their namespace."""
    found = [element]
    for name in path:
        found = [child for parent in found for child in parent if _local(child) == name]
    return found


def _unit(root: Element, unit: str | None) -> str:
    named = []
    for units in _children(root, "Units"):
        named += [
            (_local(child), child.get("linearUnit", "")) for child in units if _local(child) in ("Metric", "Imperial")
        ]
    for system, word in named:
        accepted = "Metric meter, Imperial foot or USSurveyFoot"
        refuse_if((system, word) not in _UNITS, "unit", f"{system} linearUnit {word!r} in the file", accepted)
    found = {_UNITS[pair] for pair in named} | ({unit} if unit is not None else set())
    refuse_if(not found, "unit", "named neither in the file nor in the call", "m, ft or us_ft")
    refuse_if(len(found) > 1, "unit", f"{' and '.join(sorted(found))} contradict each other", "one unit")
    return found.pop()


def _definition(root: Element, surface: str | None) -> Element:
    every = _children(root, "Surfaces", "Surface")
    names = [each.get("name", "") for each in every]
    ours = [each for each, name in zip(every, names, strict=True) if surface is None or name == surface]
    wanted = f"one surface, named: {', '.join(names) or 'none in the file'}"
    refuse_if(len(ours) != 1, "surface", f"{len(ours)} match", wanted)
    definitions = _children(ours[0], "Definition")
    refuse_if(not definitions or not _children(definitions[0], "Pnts", "P"), "surface", "no points", "points and faces")
    kind = definitions[0].get("surfType", "TIN")
    refuse_if(kind != "TIN", "surface", f"surfType {kind!r}", "TIN")
    return definitions[0]


def _points(definition: Element) -> tuple[dict[str, int], list[list[float]]]:
    """Place of every point id, and [x, y, level] in the unit of the file."""
    places: dict[str, int] = {}
    points: list[list[float]] = []
    for element in _children(definition, "Pnts", "P"):
        name, words = element.get("id", "").strip(), (element.text or "").split()
        refuse_if(not name, "id", f"missing at point {len(points) + 1}", "an id on every point")
        refuse_if(name in places, "id", f"{name!r} twice", "each id once")
        values = [value for value in map(number, words) if value is not None]
        accepted = "three numbers: northing, easting, level"
        refuse_if(len(words) != 3 or len(values) != 3, f"point {name}", f"{element.text!r} found", accepted)
        places[name] = len(points)
        points.append([values[1], values[0], values[2]])
    return places, points


def _faces(definition: Element, places: dict[str, int]) -> NDArray[np.intp]:
    faces = []
    for element in _children(definition, "Faces", "F"):
        if element.get("i") == "1":
            continue
        ids = (element.text or "").split()
        refuse_if(len(set(ids)) != 3 or len(ids) != 3, "id", f"a face with {element.text!r}", "three ids in a face")
        unknown = next((name for name in ids if name not in places), None)
        refuse_if(unknown is not None, "id", f"a face names {unknown!r}", "ids of points of the surface")
        faces.append([places[name] for name in ids])
    refuse_if(not faces, "surface", "no visible face", "a TIN with faces")
    return np.array(faces, dtype=np.intp)
