"""From the three to six rough numbers of a first look to the project file that says the same."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from lynchet.core.errors import Fault, InputError
from lynchet.project.faults import as_written
from lynchet.project.said import is_range, nearest_word, no_idea, size_said, system_said, word_said
from lynchet.units.format import length
from lynchet.units.measures import System
from lynchet.units.parse import is_plain_number, parse, parse_slope, split_fall

Top = Literal["house", "fence", "lawn", "path", "drive", "unknown"]
_STEEP_ASKED = 0.75
"""A drop given as a bare number over this share of the run is asked back: steeper than loose soil stands. PRACTICE."""
TOPS: tuple[Top, ...] = ("house", "fence", "lawn", "path", "drive", "unknown")
HELD = ("level", "ground", "unknown")
FEELS = ("gritty", "silky", "sticky", "sandy", "silty", "clay", "unknown")
_WORDS: dict[str, tuple[tuple[str, ...], str, dict[str, str]]] = {
    "held": (HELD, "level, ground (along the slope), or unknown", {
        "horizontal": "level", "horizontally": "level", "flat": "level", "levelled": "level", "slope": "ground",
        "sloping": "ground", "along": "ground", "surface": "ground", "grass": "ground",
    }),
    "top": (TOPS, "house, fence, lawn, path, drive, or unknown", {
        "home": "house", "building": "house", "garage": "house", "fencing": "fence", "boundary": "fence",
        "neighbour": "fence", "neighbor": "fence", "neighbour's": "fence", "neighbor's": "fence", "lot": "fence",
        "grass": "lawn", "garden": "lawn", "nothing": "lawn", "field": "lawn", "turf": "lawn", "footpath": "path",
        "walk": "path", "walkway": "path", "sidewalk": "path", "pavement": "path", "patio": "path", "paving": "path",
        "driveway": "drive", "road": "drive", "street": "drive", "parking": "drive", "carport": "drive",
    }),
    "soil": (FEELS, "gritty (like sand), silky (like flour), sticky (like clay), or unknown", {
        "sandy": "gritty", "sand": "gritty", "grit": "gritty", "gravel": "gritty", "gravelly": "gritty",
        "silty": "silky", "silt": "silky", "floury": "silky", "smooth": "silky", "clay": "sticky", "clayey": "sticky",
    }),
}  # fmt: skip
"""By question: the words taken, how they are offered, and further words people use for them."""
_TO_THE = {"knee": "20 in (0.5 m)", "hip": "3 ft (0.9 m)", "waist": "3 ft 4 in (1 m)", "belt": "3 ft 4 in (1 m)",
           "chest": "4 ft (1.2 m)", "chin": "5 ft (1.5 m)", "shoulder": "4 ft 8 in (1.4 m)",
           "head": "5 ft 8 in (1.7 m)"}  # fmt: skip
"""How high the parts of a grown person are, for somebody who measured the drop by standing in it. PRACTICE."""


@dataclass(frozen=True)
class RoughYard:
    """What a person says on the sofa. Texts may carry units; plain numbers are feet or metres."""

    side_to_side: str
    """Width of the slope, along its low edge."""
    up_the_slope: str
    """From the low edge to the high one, as taped."""
    drop: str
    """Height from high to low edge; or the slope itself ("30 %", "1 in 6")."""
    held: str = "unknown"
    """How the tape was held up the slope: level, ground, unknown."""
    top: str = "unknown"
    """What is at the top: house, fence, lawn, path, drive, unknown."""
    soil: str = "unknown"
    """By feel: gritty (sandy), silky (silty), sticky (clay), unknown."""


def rough_project_text(rough: RoughYard, system: System, name: str = "First look") -> str:
    """The project file of a first look.

    Raises:
        InputError: everything that cannot be read, under the names side to side, up the slope, drop, ...
    """
    wide, deep, fall = _checked(rough, system)
    plain = _plainly(rough)
    held, top, soil = plain.held, plain.top, plain.soil
    lines = [
        "# Made by a first look from rough numbers. Mend what you learn, and plan it again.",
        "lynchet = 1",
        f'units = "{system}"{_units_remark(system)}',
        f"name = {_quoted(name)}",
        "",
        "[ground]",
        f"slope = {{ fall = {_quoted(fall)} }}                # drop in the run it was measured over",
        f'held = "{held}"                # how the tape was held up the slope: level, ground, unknown',
        "",
        "[area]",
        f"length = {_quoted(wide)}                # side to side, along the low edge",
        f"depth = {_quoted(deep)}                # from the low edge up the slope",
        *_edges(top, system),
        "",
        "[soil]",
        f'feel = "{soil}"                # gritty, silky, sticky, unknown (then weak soil is taken)',
        "",
        "[brief]",
        f'path_strip = "{"2 ft" if system == "us" else "0.6 m"}"                # never dug, under each wall',
        *_at_top(top, wide, deep, system),
    ]
    return "\n".join(_tidy(line) for line in lines) + "\n"


def answer_fault(before: Mapping[str, str], key: str, answer: str, system: System) -> str:
    """What is wrong with one answer as it is typed, with what is accepted; empty where it can be read.

    Args:
        before: answers given already, by field of ``RoughYard``.
        key: field the answer is for.
        answer: as typed.
        system: unit of plain numbers.
    """
    fill = {"side_to_side": "20 ft", "up_the_slope": "20 ft", "drop": "0"}
    try:
        _checked(RoughYard(**(fill | dict(before) | {key: answer})), system)
    except InputError as error:
        mine = [fault for fault in error.faults if fault.key == key.replace("_", " ")]
        return "; ".join(f"{fault.found}; wanted: {fault.accepted}" for fault in mine)
    return ""


def spoken_system(answers: Mapping[str, str]) -> System | None:
    """The units of the first answer that carries one; None where none does."""
    return system_said(answers.get(key, "") for key in ("side_to_side", "up_the_slope", "drop"))


def _plainly(rough: RoughYard) -> RoughYard:
    """The answers in the words and forms the file takes; what is not understood stays as it was typed."""
    found = {key: size_said(getattr(rough, key)) for key in ("side_to_side", "up_the_slope", "drop")}
    for key, (words, _, others) in _WORDS.items():
        answer = getattr(rough, key)
        found[key] = word_said(answer, words, others) or answer.strip().lower()
    return replace(rough, **found)


def _checked(rough: RoughYard, system: System) -> tuple[str, str, str]:
    """Width, depth, and the fall as the file takes it; every fault at once."""
    plain, faults = _plainly(rough), list[Fault]()
    for key, typed, text in (
        ("side to side", rough.side_to_side, plain.side_to_side),
        ("up the slope", rough.up_the_slope, plain.up_the_slope),
    ):
        _read_size(key, typed, text, system, faults)
    fall = _read_fall(rough.drop, plain, system, faults)
    for key, (words, offered, _) in _WORDS.items():
        word = getattr(plain, key)
        if word not in words:
            near = nearest_word(word, words)
            hint = f' (did you mean "{near}"?)' if near else ""
            faults.append(Fault(as_written(getattr(rough, key).strip()) + hint, offered, key))
    if faults:
        raise InputError(*faults)
    return _with_unit(plain.side_to_side, system), _with_unit(plain.up_the_slope, system), fall


def _read_size(key: str, typed: str, text: str, system: System, faults: list[Fault]) -> None:
    accepted = 'a length such as "20 ft", "6 ft 3 in", "6.5 m"'
    try:
        value = parse(text, "length", system)
    except InputError as error:
        faults.append(Fault(*_not_read(typed, error.faults[0].found, accepted), key))
        return
    if not 0.3 <= value <= 500.0:
        faults.append(Fault(f"{as_written(typed)} found", "a length from 0.3 m (1 ft) up to 500 m (1,640 ft)", key))


def _not_read(typed: str, found: str, accepted: str) -> tuple[str, str]:
    """What to say of a size that cannot be read."""
    if no_idea(typed):
        return f"{as_written(typed)}: no look without it", f"{accepted}; a long pace is about 3 ft (0.9 m)"
    if is_range(typed):
        return f"{as_written(typed)} is two sizes", "one: where you are not sure, the larger"
    if "," in size_said(typed):
        return f"{as_written(typed)} has a comma", f"a point for decimals, nothing for thousands; {accepted}"
    return found if size_said(typed) else as_written(typed), accepted


def _read_fall(typed: str, plain: RoughYard, system: System, faults: list[Fault]) -> str:
    """The fall as the file takes it: a slope as it was said, or the drop in the run."""
    text, run = plain.drop, plain.up_the_slope
    accepted = 'a height such as "4 ft" or "1.2 m", or a slope such as "30 %", from 0 and less than the run allows'
    as_slope = text.endswith(("%", "deg")) or bool(split_fall(text)) or not _is_length(text, system)
    try:
        ratio = parse_slope(text) if as_slope else parse(text, "length", system)
    except InputError as error:
        body = next((f"; to the {part} is about {high}" for part, high in _TO_THE.items() if part in text), "")
        faults.append(Fault(*_not_read(typed, error.faults[0].found, accepted + body), "drop"))
        return ""
    if not as_slope:
        if not _is_length(run, system) or parse(run, "length", system) <= 0.0:
            return ""  # the run has its own fault
        ratio /= parse(run, "length", system)
    if not as_slope and is_plain_number(text) and ratio > _STEEP_ASKED:
        large, little = ("ft", "in") if system == "us" else ("m", "cm")
        faults.append(Fault(f"{as_written(typed)} without a unit, which is {text} {large} here; {text} {little}?",
                            f'a height with its unit: "{text} {large}" or "{text} {little}"', "drop"))  # fmt: skip
        return ""
    limit = 1.0 if plain.held == "ground" and not as_slope else 2.0
    if not 0.0 <= ratio < limit:
        faults.append(Fault(f"{as_written(typed)} found", accepted, "drop"))
    return text if as_slope else f"{_with_unit(text, system)} in {_with_unit(run, system)}"


def _is_length(text: str, system: System) -> bool:
    try:
        parse(text, "length", system)
    except InputError:
        return False
    return True


def _with_unit(text: str, system: System) -> str:
    clean = text.strip()
    plain = clean.replace(".", "", 1).replace("/", "").replace(" ", "").replace("-", "").isdigit()
    return f"{clean} {'ft' if system == 'us' else 'm'}" if plain else clean


def _edges(top: str, system: System) -> list[str]:
    if top == "house":
        return [
            'edges = [{ from = 2, finish = "house" }]                # edge 2 is the high one: the house stands there'
        ]
    if top == "fence":
        inset = "1 ft 3 in" if system == "us" else "0.35 m"
        return [
            "# Edge 2 is the high one: no digging past the fence, so room for the stone behind the top wall is kept.",
            f'edges = [{{ from = 2, inset = "{inset}", dig_beyond = 0 }}]',
        ]
    return []


def _at_top(top: str, wide: str, deep: str, system: System) -> list[str]:
    """What stands above the high edge, as tables of the file."""
    deep_m = parse(deep, "length", system)

    def up(by_m: float) -> str:
        return _quoted(length(deep_m + by_m, system) if by_m else deep)

    def box(low_m: float, high_m: float) -> str:
        corners = ((0, low_m), (1, low_m), (1, high_m), (0, high_m))
        return "[" + ", ".join(f"[{_quoted(wide) if right else 0}, {up(by)}]" for right, by in corners) + "]"

    if top == "house":
        return [
            "",
            "[[house]]",
            'name = "house"',
            f"outline = {box(0.0, 8.0)}",
            'far_side = "assumed"                # its depth is a guess',
        ]
    if top == "fence":
        line = f"[[0, {up(0.0)}], [{_quoted(wide)}, {up(0.0)}]]"
        return ["", "[[lot_line]]", 'name = "fence at the top"', f"line = {line}", 'trust = "fence"']
    loads = {"path": ("path at the top", "5 kPa", 1.2), "drive": ("drive at the top", "250 psf", 3.0)}
    if top in loads:
        name, pressure, width_m = loads[top]
        return ["", "[[load]]", f'name = "{name}"', f"outline = {box(0.3, 0.3 + width_m)}", f'pressure = "{pressure}"']
    return []


def _units_remark(system: System) -> str:
    return f"                # plain numbers are {'feet' if system == 'us' else 'metres'}; any value may carry its unit"


def _quoted(text: str) -> str:
    """A TOML text; a mark for inches needs the other quotes."""
    return (
        f"'{text}'" if '"' in text and "'" not in text else '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
    )


def _tidy(line: str) -> str:
    """Remarks in one column where there is room."""
    text, mark, remark = line.partition("                # ")
    return f"{text:<40}  # {remark}" if mark else line
