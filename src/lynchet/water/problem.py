"""What the search for a net is given, and what it has laid so far."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from lynchet.water.across import Crossings
from lynchet.water.chains import DrawnChain
from lynchet.water.inside import Exit, Rooms, Target
from lynchet.water.model import Chain
from lynchet.water.options import Mouth, Option, mouths_of
from lynchet.water.programme import Course, Reach
from lynchet.water.ring import FloatArray, Ring
from lynchet.water.routes import Pipe, boxes_of
from lynchet.water.tails import Tenant
from lynchet.water.yard import Yard


@dataclass(frozen=True)
class Laid:
    """The layout of one chain: its reaches, each with its way out and solid pipe."""

    chain: int
    cost: float
    reaches: tuple[Reach, ...]
    options: tuple[Option, ...]
    solids: tuple[Pipe, ...]


@dataclass(frozen=True)
class Net:
    """A partial net: chains laid so far."""

    cost: float = 0.0
    laid: tuple[Laid, ...] = ()
    refused: tuple[int, ...] = ()
    tenants: tuple[Tenant, ...] = ()
    exits: tuple[Exit, ...] = ()
    pipes: tuple[Pipe, ...] = ()
    """Every pipe laid, drains and solids."""
    mouths: tuple[Pipe, ...] = ()
    """Solids that end in daylight."""
    notches: tuple[tuple[str, float], ...] = ()
    roots: tuple[tuple[str, str], ...] = ()
    """(drain, drain at whose outlet its water comes out)."""
    loads: tuple[tuple[str, float], ...] = ()
    """(such a drain, flow of one chain that comes out there)."""

    @cached_property
    def boxes_m(self) -> FloatArray:
        """(pipes, 4) the boxes round all that are laid."""
        return boxes_of(self.pipes)

    @cached_property
    def root_of(self) -> dict[str, str]:
        """``roots`` to be looked up."""
        return dict(self.roots)

    @cached_property
    def load_of(self) -> dict[str, float]:
        """Flow that comes out at each."""
        found: dict[str, float] = {}
        for drain, load in self.loads:
            found[drain] = found.get(drain, 0.0) + load
        return found


@dataclass(frozen=True)
class Problem:
    """All that stays the same while nets are searched."""

    yard: Yard
    ring: Ring
    chains: tuple[DrawnChain, ...]
    mouths: tuple[tuple[Mouth, ...], ...]
    rooms: Rooms
    targets: tuple[Target, ...]
    flows_l_s: dict[str, float]
    """Own flow of each chain."""

    @cached_property
    def courses(self) -> dict[tuple[int, tuple[float | None, ...]], Course]:
        """Chains as the programme sees them, by index and prices of stone alone, as far as they were asked for."""
        return {}

    @cached_property
    def outside(self) -> dict[tuple[int, tuple[Tenant, ...]], list[Option]]:
        """Ways out by chain and the pipes on the ring, as far as they were asked for."""
        return {}

    @cached_property
    def inside(self) -> dict[tuple[int, tuple[Exit, ...]], list[Option]]:
        """Ways out by chain and the sinks on the benches below, as far as they were asked for."""
        return {}

    @cached_property
    def routes(self) -> dict[int, tuple[Option, Pipe, bool]]:
        """Ways out looked at before, by identity, each with its pipe and whether that meets timber."""
        return {}

    @cached_property
    def bounds(self) -> list[tuple[Pipe, Pipe]]:
        """Each chain's pipe at its lowest and its highest."""
        found = []
        for drawn in self.chains:
            nodes = drawn.chain.nodes
            points = tuple(node.point_m for node in nodes)
            lowest, highest = tuple(node.floor_m for node in nodes), tuple(node.ceiling_m for node in nodes)
            found.append((Pipe("", points, lowest), Pipe("", points, highest)))
        return found

    @cached_property
    def boxes_m(self) -> FloatArray:
        """(chains, 4) the boxes round their pipes."""
        return boxes_of([lowest for lowest, _ in self.bounds])

    @cached_property
    def across(self) -> Crossings:
        """Where pipe may pass from under the benches to the ring."""
        return Crossings(self.yard, self.ring)


def problem_of(
    yard: Yard, ring: Ring, chains: list[DrawnChain], targets: list[Target], flows_l_s: dict[str, float]
) -> Problem:
    """The search's constants: mouths of every chain and free ground by face."""
    mouths = tuple(tuple(mouths_of(yard, ring, drawn)) for drawn in chains)
    return Problem(yard, ring, tuple(chains), mouths, Rooms(yard, chains), tuple(targets), flows_l_s)


def drain_name(chain: Chain, number: int) -> str:
    """Id of the drain of a chain, counted from 0 along it."""
    return f"{chain.id}/{number + 1}"


def carries(problem: Problem, number: int, net: Net, option: Option) -> bool:
    """Whether the pipe an option runs into can carry this chain's water too."""
    root = net.root_of.get(option.into)
    if root is None:
        return True
    most = problem.yard.settings.solid_carries_l_s
    flow = net.load_of.get(root, 0.0)
    return bool(flow + problem.flows_l_s.get(problem.chains[number].chain.id, 0.0) <= most)
