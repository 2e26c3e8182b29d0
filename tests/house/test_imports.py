"""Who may import whom."""

from __future__ import annotations

import networkx as nx

from house.source import Module, modules

FORMULA_ROOMS = {"ground", "water", "stability", "earth", "timber", "planting", "works"}
STAGE_ORDER = ["ground", "terraces", "walls", "water", "stability", "earth", "timber", "planting", "works"]
OUTER = {"plan", "schemes", "quotes", "readback", "drawings", "book", "exports", "web", "commands", "calculators"}
FILE_AND_SCREEN = {"typst", "ezdxf", "xlsxwriter", "openpyxl", "starlette", "jinja2", "typer", "click", "tomlkit"}


def _formula_modules() -> list[Module]:
    """Modules that declare a calculator."""
    return [module for module in modules().values() if "lynchet.core.calculator" in module.imports
            and module.room in FORMULA_ROOMS and not module.name.endswith((".stage", ".model"))]  # fmt: skip


def test_no_import_cycles() -> None:
    """No module reaches itself through imports, type-only ones and those inside functions included."""
    graph = nx.DiGraph((name, other) for name, module in modules().items() for other in module.imports)
    cycles = [cycle for cycle in nx.strongly_connected_components(graph) if len(cycle) > 1]
    assert cycles == []


def test_formulas_import_only_core_units_and_formulas() -> None:
    """A formula module stands on core, units and other formulas alone, so that anyone may use it."""
    wrong = []
    for module in _formula_modules():
        for other in module.imports:
            room = other.split(".")[1] if "." in other else ""
            allowed = room in {"core", "units"} or (
                room in FORMULA_ROOMS and not other.endswith((".stage", ".model")) and other.count(".") > 1
            )
            if not allowed:
                wrong.append(f"{module.name} imports {other}")
    assert wrong == []


def test_stages_are_known_to_the_pipeline_alone() -> None:
    """Only plan/pipeline.py imports a stage."""
    wrong = [
        f"{name} imports {other}"
        for name, module in modules().items()
        for other in module.imports
        if other.endswith(".stage") and name != "lynchet.plan.pipeline"
    ]
    assert wrong == []


def test_no_stage_looks_ahead() -> None:
    """A discipline never imports the models or builders of a later one; only formulas may be shared."""
    formulas = {module.name for module in _formula_modules()}
    wrong = []
    for module in modules().values():
        if module.room not in STAGE_ORDER or module.name in formulas:
            continue
        for other in module.imports - formulas:
            room = other.split(".")[1] if "." in other else ""
            if room in STAGE_ORDER and STAGE_ORDER.index(room) > STAGE_ORDER.index(module.room):
                wrong.append(f"{module.name} imports {other}")
    assert wrong == []


def test_disciplines_know_nothing_of_outer_rooms() -> None:
    """Stages, formulas and core know no drawing, file, web or command-line room or library."""
    inner = [module for module in modules().values() if module.room in {*STAGE_ORDER, "core", "units"}]
    wrong = [
        f"{m.name} imports {o}" for m in inner for o in m.imports if o.split(".")[1:2] and o.split(".")[1] in OUTER
    ]
    wrong += [f"{m.name} imports {o}" for m in inner for o in m.top_imports & FILE_AND_SCREEN]
    assert wrong == []
