"""A loop as an electrical circuit: what it is made of, the situations of the healthy car, and what flows in each."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from docgen.analysis.copper import COLD, HOTTEST
from docgen.calc.formula import Band
from docgen.calc.wire import temperature_factor
from docgen.calculation import Given, Missing
from docgen.circuit import Draw, Resistor, solve
from docgen.network import EARTH, SOURCE, Element, Kind, Network

NONE = 1e-6
"""Resistance in Ω of what has none: small against everything else, and not too small for the arithmetic."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A fuse, contact, connector position or stretch of wire; a stretch belongs to the element that it leads to or from."""

    group: Literal["fuses", "contacts", "crossings", "wires"]
    element: Element
    start: int
    end: int
    ohms: Band


@dataclass(frozen=True, slots=True)
class Winding:
    """A coil that is a resistance, in Ω at 20 °C, and its highest temperature in °C."""

    ohms: Band
    hottest: float

    @property
    def factor(self) -> float:
        """Its resistance at its highest temperature for each ohm at 20 °C."""
        return temperature_factor(temperature=max(COLD, min(self.hottest, HOTTEST)))

    @property
    def anywhere(self) -> Band:
        """Between cold and hottest."""
        return Band(self.ohms.low * temperature_factor(temperature=COLD), self.ohms.nominal, self.ohms.high * self.factor)

    @property
    def hot(self) -> Band:
        """At its highest temperature, where it needs the highest voltage."""
        return Band(self.ohms.low * self.factor, self.ohms.nominal, self.ohms.high * self.factor)


Load = Winding | Band
"""A winding, or the current in A that an economised coil draws while held."""


@dataclass(frozen=True, slots=True)
class Drive:
    """A coil of a loop: where it lies, and what it is while it picks up and while it is held."""

    element: Element
    start: int
    end: int
    picking_up: Load | Missing
    held: Load | Missing


@dataclass(frozen=True, slots=True)
class Situation:
    """A state of the healthy car in which a loop carries current: which contacts are closed, which coils pick up, which are held."""

    name: str
    """When it is: “when precharging begins”, “while active”."""
    mode: str
    """Empty where the car has one mode only."""
    phase: str
    begins: bool
    closed: frozenset[Element]
    picking_up: frozenset[Element]
    held: frozenset[Element]

    @property
    def title(self) -> str:
        return f"{self.name} in {self.mode} running" if self.mode else self.name

    @property
    def fed(self) -> frozenset[Element]:
        """The coils that carry current."""
        return self.picking_up | self.held


@dataclass(frozen=True, eq=False)
class Circuit:
    """The loop, ready to be solved where nothing is missing; equal only to itself."""

    graph: Network
    source: Given | Missing
    inner: Given | Missing
    pieces: tuple[Piece, ...]
    coils: Mapping[Element, Drive]
    missing: tuple[Missing, ...]
    """What is not known of the source and of the line; each coil says it of itself."""
    impossible: str
    situations: tuple[Situation, ...]

    @property
    def name(self) -> str:
        """The loop as it is named in running text."""
        return f"the {self.graph.loop} loop"

    @property
    def is_known(self) -> bool:
        """Whether it carries current, and everything is known that solving it takes."""
        return bool(self.situations) and not self.lacking and not self.impossible

    @cached_property
    def ways(self) -> dict[Element, frozenset[Element]]:
        """Coil -> itself, and everything that its current can meet before and after it."""
        return {coil: self.graph.before(coil) | self.graph.after(coil) | {coil} for coil in self.coils}

    @property
    def lacking(self) -> tuple[Missing, ...]:
        """What has to be known before anything can be solved: of the source, of the line, of the coils that ever carry current."""
        loads = (self.load(situation, coil) for situation in self.situations for coil in self.coils if coil in situation.fed)
        return tuple(dict.fromkeys((*self.missing, *(load for load in loads if isinstance(load, Missing)))))

    def fed_with(self, name: str) -> frozenset[Element]:
        """The other coils that carry current in a situation in which the coil of a device does."""
        together = (situation.fed for situation in self.situations if any(coil.name == name for coil in situation.fed))
        return frozenset(coil for fed in together for coil in fed if coil.name != name)

    def load(self, situation: Situation, coil: Element) -> Load | Missing:
        """What a coil is in a situation."""
        return self.coils[coil].picking_up if coil in situation.picking_up else self.coils[coil].held


@dataclass(frozen=True)
class Flow:
    """What flows in a situation, with every tolerance at one corner."""

    circuit: Circuit
    volts: Mapping[int, float]
    resistors: Mapping[Piece, Resistor]
    inner: Resistor
    windings: Mapping[Element, Resistor]
    draws: Mapping[Element, Draw]

    @property
    def loop(self) -> float:
        """Current in A that the source gives."""
        return (self.volts[self.inner.start] - self.volts[self.inner.end]) / self.inner.ohms

    def across(self, coil: Element) -> float:
        """Voltage in V at a coil; 0 where the line brings none."""
        drive = self.circuit.coils[coil]
        return max(0.0, self.volts.get(drive.start, 0.0) - self.volts.get(drive.end, 0.0))

    @cached_property
    def amperes(self) -> dict[Piece, float]:
        """Current in A through every piece that conducts."""
        return {
            piece: (self.volts[resistor.start] - self.volts[resistor.end]) / resistor.ohms
            for piece, resistor in self.resistors.items()
            if resistor.start in self.volts and resistor.end in self.volts
        }

    @cached_property
    def through(self) -> dict[Element, float]:
        """Current in A through every fuse, contact and connector position that conducts."""
        return {piece.element: amperes for piece, amperes in self.amperes.items() if piece.group != "wires"}

    @property
    def drawn(self) -> dict[Element, float]:
        """Current in A of every coil that is fed."""
        wound = {coil: self.across(coil) / winding.ohms for coil, winding in self.windings.items()}
        return wound | {coil: draw.amperes for coil, draw in self.draws.items()}


# ── What flows ─────────────────────────────────────────────────────────────────────────────────────────────────────────

End = Literal["low", "nominal", "high"]
_OPPOSITE: dict[End, End] = {"low": "high", "nominal": "nominal", "high": "low"}
_EMF = -1
"""Node of the ideal source behind its inner resistance."""


def loop_current(circuit: Circuit, situation: Situation) -> tuple[Flow, Flow, Flow]:
    """The situation with the smallest, the nominal and the largest current of the loop."""
    least = _flow(circuit, situation, "low", "low", lambda element: "high", lambda winding: winding.anywhere.high)
    most = _flow(circuit, situation, "high", "high", lambda element: "low", lambda winding: winding.anywhere.low)
    return least, nominal(circuit, situation), most


def sagging(circuit: Circuit, situation: Situation) -> Flow:
    """The situation with everything against every coil at once: lowest source, highest line, cold coils."""
    return _flow(circuit, situation, "low", "high", lambda element: "high", lambda winding: winding.anywhere.low)


def nominal(circuit: Circuit, situation: Situation) -> Flow:
    """The situation with everything as stated."""
    return _flow(circuit, situation, "nominal", "nominal", lambda element: "nominal", lambda winding: winding.ohms.nominal)


def lowest_at(circuit: Circuit, situation: Situation, coil: Element) -> Flow:
    """The situation with the lowest voltage at a coil.

    The source at its lowest, the way of the coil at the highest resistance and everything beside it at the lowest, the other coils cold
    and the coil itself at its highest temperature, where it needs the most.
    """
    way = circuit.ways[coil]
    own = circuit.load(situation, coil)
    return _flow(
        circuit, situation, "low", "high", lambda element: "high" if element in way else "low",
        lambda winding: winding.hot.low if winding is own else winding.anywhere.low,
    )  # fmt: skip


def highest_at(circuit: Circuit, situation: Situation, coil: Element) -> Flow:
    """The situation with the highest voltage at a coil: the opposite corner."""
    way = circuit.ways[coil]
    return _flow(
        circuit, situation, "high", "low", lambda element: "low" if element in way else "high", lambda winding: winding.anywhere.high
    )  # fmt: skip


def least_at(circuit: Circuit, situations: Sequence[Situation], coil: Element) -> tuple[Situation, Band]:
    """The one of several situations in which a coil gets the lowest voltage, and its voltage there in V."""
    low, number = min((lowest_at(circuit, situation, coil).across(coil), number) for number, situation in enumerate(situations))
    found = situations[number]
    return found, Band(low, nominal(circuit, found).across(coil), highest_at(circuit, found, coil).across(coil))


def _flow(
    circuit: Circuit, situation: Situation, source: End, held: End, line: Callable[[Element], End], coil: Callable[[Winding], float]
) -> Flow:
    """One corner: which end of the source, of the hold currents and of each piece of the line, and the resistance of each winding.

    The inner resistance is high where the source is low.
    """
    assert isinstance(circuit.source, Given) and isinstance(circuit.inner, Given)
    terminal = Resistor(_EMF, SOURCE, max(NONE, getattr(circuit.inner.band, _OPPOSITE[source])))
    resistors = {
        piece: Resistor(piece.start, piece.end, getattr(piece.ohms, line(piece.element)))
        for piece in circuit.pieces
        if _conducts(piece.element, situation)
    }
    windings: dict[Element, Resistor] = {}
    draws: dict[Element, Draw] = {}
    for element, drive in circuit.coils.items():
        if element in situation.fed:
            load = circuit.load(situation, element)
            if isinstance(load, Winding):
                windings[element] = Resistor(drive.start, drive.end, coil(load))
            elif isinstance(load, Band):
                draws[element] = Draw(drive.start, drive.end, getattr(load, held))
    volts = getattr(circuit.source.band, source)
    solved = solve([terminal, *resistors.values(), *windings.values()], _EMF, EARTH, volts, tuple(draws.values()))
    return Flow(circuit, solved.volts, resistors, terminal, windings, draws)


def _conducts(element: Element, situation: Situation) -> bool:
    if element.kind is Kind.CONTACT:
        return element in situation.closed
    return element.kind is not Kind.COIL or element in situation.fed
