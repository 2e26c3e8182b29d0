"""Places of the kernels where a planted error changes nothing that is shown: each with its reason.

Here stands what only steers a search (where it starts, how far it steps, in which order it tries), guards of rounding,
and constants whose effect lies below the last digit shown. Never a formula that changes a number, and no bound that a
proof rests on.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass

START = "a first plan or a choice of what is tried next: what is found is proven or improved after (laws compare)"
STEP = "steps of a solver that ends only where the equation itself holds (laws hold the root against a second solver)"
GUESS = "guesses how large a programme gets or how long it may run; the programme gives the same answer"
TRIED = (
    "which circles a search tries: it goes on until no neighbour of any start is worse, and what it finds is held "
    "against published least factors and a dense grid of circles (laws)"
)
WORDS = "chooses which rule a refusal names, not whether it refuses"
ROUNDING = "asks whether an exact test is needed, not what it says"


@dataclass(frozen=True)
class Steering:
    """A function, or what of it reads so; an empty pattern stands for all of it."""

    module: str
    function: str
    pattern: str
    reason: str
    numbers: bool = False
    """Only the numbers in it."""


STEERED = (
    Steering("lynchet.works.serial_schedule", "good_schedule", "chance.expovariate.*", START),
    Steering("lynchet.timber.cut_integer", "flow_of", "at \\+ need > room or .*",
             "more steps past a stick's end, on which no stick may end: a larger programme, the same answer"),
    Steering("lynchet.timber.cut_plan", "_window", "", GUESS),
    Steering("lynchet.timber.knapsack", "fills", "lambda i: .*", START),
    Steering("lynchet.timber.laying_plan", "_size", "", GUESS),
    Steering("lynchet.timber.laying_plan", "window", "", GUESS),
    Steering("lynchet.timber.laying_plan", "_least", "0.4|0.3|search.best.plan.cost > .*|1.02 .*", GUESS),
    Steering("lynchet.timber.laying_plan", "_by_values",
             "not search.open|left = .*|0.1 \\* left|(monotonic.* \\+ )?min\\(2.0, .*", GUESS),
    Steering("lynchet.timber.laying_plan", "_by_patterns", "(monotonic.* \\+ )?min\\(2.0, .*", GUESS),
    Steering("lynchet.timber.cut_plan", "least_cost", "0.5|1.0", GUESS),
    Steering("lynchet.timber.cut_plan", "_closed", "0.4|0.7", GUESS),
    Steering("lynchet.timber.laying_choices", "_apart", "rows = 0",
             "a first rule without a joint, which none can break"),
    Steering("lynchet.planting.plant_counts", "lattice_points", "at_once = .*",
             "rows looked at in one go, to spare memory; each row is looked at once"),
    Steering("lynchet.timber.courses", "stations", "(first|last) = .*",
             "stations past the ends of the span are taken out in the last line"),
    Steering("lynchet.timber.johansen", "embedment_eu", "word = .*", WORDS),
    Steering("lynchet.ground.triangle_net", "_key", "a < b", "two unlike ends the other way round, in every pair"),
    Steering("lynchet.ground.triangle_net", "_turn", "abs\\(one - two\\) > .*", ROUNDING),
    Steering("lynchet.ground.triangle_net", "_in_circle", "size = .*", ROUNDING),
    Steering("lynchet.ground.tape_fit", "_descend", "(shift|damping) = .*", STEP),
    Steering("lynchet.stability.slip_factors", "factors", "engine .*",
             "which of two engines works; both give the same within 1e-10 (law)"),
    Steering("lynchet.stability.slip_slices", "", "REPORTED_SLICES = .*",
             "one slice more of 400 moves the factor in its sixth digit"),
    Steering("lynchet.stability.slip_search", "_far_apart", "0.3|0.05|4000", TRIED),
    Steering("lynchet.timber.cut_near", "near_patterns", "len\\(found\\) > most or .*", GUESS),
    Steering("lynchet.timber.cut_programme", "_time_left", "", GUESS),
    Steering("lynchet.timber.cut_programme", "price_patterns", "settled = .*|monotonic\\(\\) > until", GUESS),
    Steering("lynchet.timber.cut_programme", "_solve", "dear = .*",
             "price of pieces from nowhere, far above any stick's: the programme buys none where sticks are to be had"),
    Steering("lynchet.timber.cut_plan", "least_cost", "best is None or habit.cost < best.cost", START),
    Steering("lynchet.timber.cut_plan", "_closed", "(loss, few) = .*|few is not None and .*|2.0|loss \\*= .*", START),
    Steering("lynchet.works.layered_search", "run", "number % 64 == 0 and .*|.*len\\(states\\) > width", GUESS),
    Steering("lynchet.stability.slip_spencer", "_newton", "(step|columns|slopes|guess) = .*|not np.all.*", STEP),
    Steering("lynchet.stability.slip_spencer", "", "_FIRST_SLOPES = .*", STEP),
    Steering("lynchet.stability.slip_search", "", "(FULL|LIVE) = .*|_(MOVES|LEVELS) = .*", TRIED),
    Steering("lynchet.stability.slip_search", "places", "counts = .*|parts = .*", TRIED),
    Steering("lynchet.stability.slip_search", "first_look", "apart = .*", TRIED),
    Steering("lynchet.stability.slip_search", "_neighbours",
             "move = .*|end\\[:, None\\] \\+ move.*|share \\+ 2.0 \\* turn", TRIED),
    Steering("lynchet.stability.slip_search", "close_in", "(step|keep) = .*|round_ in .*|round_ % 2 == 1", TRIED),
)  # fmt: skip


def puts_back(tree: ast.Module) -> Iterator[tuple[str, str]]:
    """``if a > b: b = a`` and ``a if a > b else b``: the same with an equals sign, where they do not stand twice."""
    tests = [ast.unparse(n) for n in ast.walk(tree) if isinstance(n, ast.Compare)]
    for node in ast.walk(tree):
        if not isinstance(node, ast.If | ast.IfExp) or not isinstance(node.test, ast.Compare):
            continue
        test, sides = node.test, {ast.unparse(node.test.left), ast.unparse(node.test.comparators[0])}
        if isinstance(node, ast.IfExp):
            put = {ast.unparse(node.body), ast.unparse(node.orelse)}
        elif len(node.body) == 1 and isinstance(node.body[0], ast.Assign) and not node.orelse:
            put = {ast.unparse(node.body[0].targets[0]), ast.unparse(node.body[0].value)}
        else:
            continue
        text = ast.unparse(test)
        if put == sides and len(sides) == 2 and tests.count(text) == 1:
            for one, other in ((" > ", " >= "), (" < ", " <= "), (" >= ", " > "), (" <= ", " < ")):
                if one in text:
                    yield text, text.replace(one, other)


def steered(tree: ast.Module, module: str) -> Iterator[ast.AST]:
    """Nodes of a module that are left out, each with all that stands in it."""
    for entry in STEERED:
        if entry.module == module:
            for place in _within(tree, entry.function):
                for node in ast.walk(place):
                    if not entry.pattern:
                        found = [node]
                    elif isinstance(node, ast.expr | ast.Assign) and re.fullmatch(entry.pattern, ast.unparse(node)):
                        found = list(ast.walk(node))
                    else:
                        continue
                    yield from (one for one in found if not entry.numbers or isinstance(one, ast.Constant))
    examples = set(_examples(tree))
    for statement in tree.body:
        if isinstance(statement, ast.Assign) and ast.unparse(statement.targets[0]) in examples:
            yield from ast.walk(statement)
    for node in ast.walk(tree):  # any negative length of a shape is worked out
        if isinstance(node, ast.Call) and ast.unparse(node.func).endswith("reshape"):
            yield from (part for arg in node.args for part in ast.walk(arg))


def _within(tree: ast.Module, function: str) -> Iterator[ast.AST]:
    if not function:
        yield tree
    yield from (n for n in ast.walk(tree) if function and isinstance(n, ast.FunctionDef) and n.name == function)


def _examples(tree: ast.Module) -> Iterator[str]:
    """Names of constants that only the examples of calculators use."""
    calls = [n for n in ast.walk(tree) if isinstance(n, ast.Call)]
    inside = [key.value for call in calls for key in call.keywords if key.arg == "example"]
    used = [n.id for value in inside for n in ast.walk(value) if isinstance(n, ast.Name)]
    everywhere = [n.id for n in ast.walk(tree) if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Load)]
    yield from (name for name in used if everywhere.count(name) == used.count(name))


def at_load(tree: ast.Module) -> set[str]:
    """Functions called while the module loads: whichever test comes first goes through them, all depend on them."""
    plain = [n for n in tree.body if not isinstance(n, ast.FunctionDef | ast.ClassDef)]
    calls = [n.func for top in plain for n in ast.walk(top) if isinstance(n, ast.Call)]
    return {called.id for called in calls if isinstance(called, ast.Name)}
