"""Pre-charge of the intermediate circuit: the level at which the second contactor closes, the time, and what the resistor bears.

Every container is judged with the whole capacitance. Containers in series share voltage and charge by their resistors. Where the description
does not tell whether containers stand in series or in parallel, each resistor is judged as if it were alone, and the time as if all were in series.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from docgen.analysis.fields import against, bound, constant, count, limit, reading, summed, system_voltage
from docgen.analysis.intermediate import ACCUMULATORS, INVERTERS, is_permanent, switch_of, tractive, whole_capacitance
from docgen.calc.formula import Band, OutOfBounds
from docgen.calc.pulse import attempts_time, mean_power, permitted_power
from docgen.calc.rc import (
    capacitance_seen,
    charge_curve,
    closing_voltage,
    divided_voltage,
    loaded_charge_time,
    loaded_fraction,
    loaded_precharge_energy,
    peak_current,
    resistor_power,
    time_constant,
    true_fraction,
)
from docgen.calculation import Calculation, Given, Missing, computed, of, result_as
from docgen.car.device import Watch
from docgen.car.tractive import Accumulator, Cell, Discharge, Precharge, Segments
from docgen.car.values import Unknown
from docgen.look import Look
from docgen.plot import Axis, Curve, Level, PlotOf, curves
from docgen.printing import band as printed_band
from docgen.printing import measure
from docgen.provenance import Path
from docgen.quantity import Quantity, Spread

_SERIES_WITHIN = 0.01
"""Share of the highest voltage by which the voltages of containers may miss it and still be taken to add up to it."""


def precharges(look: Look) -> dict[str, Precharge]:
    """The described pre-charges by container."""
    return {name: one.precharge for name, one in tractive(look).accumulators.items() if isinstance(one.precharge, Precharge)}


def precharge(look: Look) -> Iterator[Calculation]:
    """For each container with a pre-charge: level, time, energy, power."""
    car = _Car.of(look)
    for name in car.described:
        yield from _Charging.of(car, name).figures()


def is_timed(described: Precharge) -> bool:
    """Whether the second contactor closes after a time, and not at a measured level."""
    return described.ends == "timed" or (described.ends != "measured" and described.at is None and described.after is not None)


def _arrangement(look: Look) -> str:
    """How the containers stand: `alone`, `in series`, `in parallel`, or `unknown`; told by the voltages of their cells."""
    containers = tractive(look).accumulators.values()
    if len(containers) < 2:
        return "alone"
    highest, voltages = system_voltage(look, "highest"), [_own_voltage(one) for one in containers]
    if isinstance(highest, Missing) or None in voltages:
        return "unknown"
    whole = highest.band.nominal
    if math.isclose(sum(voltage or 0.0 for voltage in voltages), whole, rel_tol=_SERIES_WITHIN):
        return "in series"
    return "in parallel" if all(math.isclose(voltage or 0.0, whole, rel_tol=_SERIES_WITHIN) for voltage in voltages) else "unknown"


def _own_voltage(accumulator: Accumulator) -> float | None:
    """The voltage in V of a container with full cells; None where its cells are not described."""
    segments = accumulator.segments if isinstance(accumulator.segments, Segments) else Segments()
    cell = segments.cell if isinstance(segments.cell, Cell) else Cell()
    if isinstance(segments.count, int) and isinstance(segments.in_series, int) and isinstance(cell.voltage_highest, Quantity):
        return segments.count * segments.in_series * float(cell.voltage_highest)
    return None


def _over_the_charge(look: Look, full: Given | Missing) -> Given | Missing:
    """The voltage from cells at their lowest limit, by the battery management, to full; without such a limit from nominal to full."""
    highest, nominal = system_voltage(look, "highest"), system_voltage(look, "nominal")
    if isinstance(full, Missing) or isinstance(highest, Missing):
        return full
    usual = min(1.0, nominal.band.nominal / highest.band.nominal) if isinstance(nominal, Given) else 1.0
    watched = [device.watches for _, _, device in look.devices("battery management") if isinstance(device.watches, Watch)]
    limits = [watch.voltage_limits for watch in watched if isinstance(watch.voltage_limits, tuple)]
    lowest = min([usual, *(float(low) / float(high) for low, high in limits if 0 < low.value < high.value)])
    band = Band(full.band.low * lowest, full.band.nominal * usual, full.band.high)
    return Given("U", "voltage of the accumulator, from empty to full", band, full.unit, full.origin)


@dataclass(frozen=True, slots=True)
class _Car:
    """What the pre-charges of all containers have in common."""

    look: Look
    described: dict[str, Precharge]
    arrangement: str
    full: Given | Missing
    capacitance: Given | Missing
    resistors: dict[str, Given | Missing]
    together: Given | Missing
    """All pre-charge resistors in series."""
    drained: Given | Missing
    """The current of discharges that are connected for good."""
    stuck: Given | Missing | None
    """The strongest of the discharges that a contact switches."""

    @classmethod
    def of(cls, look: Look) -> "_Car":
        described, full = precharges(look), system_voltage(look, "highest")
        resistors = {
            name: reading("R", f"pre-charge resistor of {name}", one.resistor, (*ACCUMULATORS, name, "precharge", "resistor")) for name, one in described.items()
        }
        together = summed("R", "all pre-charge resistors, as if in series", list(resistors.values()), ACCUMULATORS) if resistors else Missing("resistor", ACCUMULATORS)
        return cls(look, described, _arrangement(look), full, whole_capacitance(look), resistors, together, _drained(look, full), _stuck(look))

    def others(self, name: str) -> Given | Missing:
        """The pre-charge resistors of all other containers in series."""
        together, own = self.together, self.resistors[name]
        if isinstance(together, Missing) or isinstance(own, Missing):
            return together if isinstance(together, Missing) else own
        whole, part = together.band, own.band
        band = Band(whole.low - part.low, whole.nominal - part.nominal, whole.high - part.high)
        return Given("R_o", "pre-charge resistors of the other containers", band, own.unit, ACCUMULATORS)


@dataclass(frozen=True, slots=True)
class _Charging:
    """The circuit in which the pre-charge of one container is computed."""

    car: _Car
    name: str
    sharing: tuple[Calculation, ...]
    """How voltage and capacitance are shared with containers in series."""
    full: Given | Missing
    capacitance: Given | Missing
    way: Given | Missing
    """The resistance by which the time is computed."""
    others: Given | Missing | None
    """Resistors of other containers that surely carry the same current."""

    @classmethod
    def of(cls, car: _Car, name: str) -> "_Charging":
        own = car.resistors[name]
        if len(car.resistors) > 1 and car.arrangement == "in series":
            others = car.others(name)
            sharing = _shared(name, car.full, car.capacitance, own, others)
            full, seen = result_as(sharing[0], "U", f"share of {name}"), result_as(sharing[1], "C", "capacitance that it sees")
            return cls(car, name, sharing, full, seen, own, others)
        return cls(car, name, (), car.full, car.capacitance, car.together if car.arrangement == "unknown" else own, None)

    @property
    def look(self) -> Look:
        return self.car.look

    @property
    def described(self) -> Precharge:
        return self.car.described[self.name]

    @property
    def resistance(self) -> Given | Missing:
        """The resistor of this container."""
        return self.car.resistors[self.name]

    @property
    def path(self) -> Path:
        return (*ACCUMULATORS, self.name, "precharge")

    def figures(self) -> Iterator[Calculation]:
        yield from self.sharing
        timed = is_timed(self.described)
        load, source = self._load(), _over_the_charge(self.look, self.full)
        level = self._level_after(source, load) if timed else self._level_read(source)
        yield level
        yield computed(
            "precharge-closing-voltage", f"Voltage behind the contactors of {self.name} when the second one closes", level.about, closing_voltage,
            {"fraction": result_as(level, "f", "true level at which it closes"), "source": self.full},
            prose="At the highest voltage of the accumulator; the rest falls on the closing contact.",
        )  # fmt: skip
        yield computed(
            "precharge-time-constant", f"Time constant of the pre-charge of {self.name}", (*self.path, "resistor"), time_constant,
            {"resistance": self.way, "capacitance": self.capacitance},
            prose="After three of them 95 % of the voltage is there, after five 99.3 %, with nothing drawn meanwhile.",
        )  # fmt: skip
        least = limit(self.look, "f", "level that must be reached", "precharge-level", "level")
        closing = least if timed else result_as(level, "f", "true level at which it closes")
        time = computed(
            "precharge-time",
            f"Time of the pre-charge of {self.name}",
            (*self.path, "resistor"),
            loaded_charge_time,
            {"source": source, "resistance": self.way, "capacitance": self.capacitance, "load": load, "fraction": closing},
            prose=f"Until the level {'that the edition asks for' if timed else 'at which the second contactor closes'} is reached. {self._said}",
        )
        yield time
        energy = computed(
            "precharge-energy",
            f"Energy in the pre-charge resistor of {self.name}",
            (*self.path, "resistor"),
            loaded_precharge_energy,
            {
                "source": self.full, "resistance": self.resistance, "capacitance": self.capacitance, "load": load,
                "fraction": result_as(level, "f", "true level at which it closes"),
                "time": self._after() if timed else result_as(time, "t", "time of the pre-charge"),
            },
            prose="What the resistor has to take in one attempt; about as much as the capacitors hold then.",
        )  # fmt: skip
        yield energy
        yield from self._pulse(result_as(energy, "E₁", "energy of one attempt"))
        if self.described.attempts_within is not None:
            yield self._mean(result_as(energy, "E₁", "energy of one attempt"))
        yield from self._against_stuck()

    @property
    def _said(self) -> str:
        return {
            "alone": "",
            "in series": "The voltages of the containers add up to the highest voltage: they are in series and share it.",
            "in parallel": "Each container has the highest voltage: they are in parallel, and this one is taken to charge alone.",
            "unknown": "Whether the containers stand in series or in parallel is not told: the time is that of all resistors in series, the load of the resistor that of this one alone.",
        }[self.car.arrangement]

    def _load(self) -> Given | Missing:
        """The current drawn meanwhile: what is described, and discharges that are connected for good at their highest."""
        said, origin = self.described.load_current, (*self.path, "load_current")
        nothing = constant("I", "current drawn meanwhile, none described", 0, "A", "nothing is described")
        known = nothing if said is None else reading("I", "current drawn meanwhile", said, origin)
        if isinstance(self.car.drained, Given) and self.car.drained.band.high == 0:
            return known
        return summed("I", "current drawn meanwhile, with that of a discharge connected for good", [known, self.car.drained], origin)

    def _level_read(self, source: Given | Missing) -> Calculation:
        """The true level behind a reading."""
        read = reading("x", "level at which it closes, as measured", self.described.at, (*self.path, "at"))
        return computed(
            "precharge-level",
            f"Level at which the second contactor of {self.name} closes",
            (*self.path, "at"),
            true_fraction,
            {"reading": read, "error": self._error(read, source)},
            bound(self.look, "precharge-level", "level"),
            "The share of the accumulator voltage that is really there; lowest where the measurement reads too high.",
        )

    def _error(self, read: Given | Missing, source: Given | Missing) -> Given | Missing:
        """The error of the measurement as a share of the reading; one in volts weighs most at the lowest voltage."""
        error, origin = self.described.sensing_error, (*self.path, "sensing_error")
        if not isinstance(error, Spread):
            return Missing("error of the voltage measurement" + (f" ({error})" if isinstance(error, Unknown) else ""), origin)
        down, up = float(error.down), float(error.up)
        if not error.relative:
            if isinstance(read, Missing) or isinstance(source, Missing):
                return read if isinstance(read, Missing) else source
            volts = max(read.band.low, 0.01) * source.band.low
            down, up = down / volts, up / volts
        return Given("e", f"error of the measurement, {error}", Band(-down, 0.0, up), "1", origin)

    def _level_after(self, source: Given | Missing, load: Given | Missing) -> Calculation:
        """The level after a fixed time."""
        return computed(
            "precharge-level",
            f"Level at which the second contactor of {self.name} closes",
            (*self.path, "after"),
            loaded_fraction,
            {
                "source": source, "resistance": self.way, "capacitance": self.capacitance, "load": load,
                "time": self._after(),
            },
            bound(self.look, "precharge-level", "level"),
            "The share of the accumulator voltage that is reached when the time is over.",
        )  # fmt: skip

    def _after(self) -> Given | Missing:
        return reading("t", "time after which it closes", self.described.after, (*self.path, "after"))

    def _pulse(self, energy: Given | Missing) -> Iterator[Calculation]:
        """The power at the first moment, against what the resistor bears for as long as all attempts in a row weigh on it."""
        power = computed(
            "precharge-peak-power",
            f"Peak power in the pre-charge resistor of {self.name}",
            (*self.path, "pulse_rating"),
            resistor_power,
            {"voltage": self.full, "resistance": self.resistance},
            prose="At the first moment of an attempt the whole voltage lies across the resistor.",
        )
        length = computed(
            "precharge-pulse",
            f"Pulse on the pre-charge resistor of {self.name}",
            (*self.path, "attempts"),
            attempts_time,
            {
                "energy": energy, "attempts": count("n", "attempts in a row", self.described.attempts, (*self.path, "attempts")),
                "power": result_as(power, "P", "peak power"),
            },
            prose="All attempts in a row weigh on the resistor as one pulse of the peak power and this length.",
        )  # fmt: skip
        yield computed(
            "precharge-peak-current", f"Peak current of the pre-charge of {self.name}", (*self.path, "resistor"), peak_current,
            {"voltage": self.full, "resistance": self.resistance}, prose="At the first moment, through relay and resistor.",
        )  # fmt: skip
        yield length
        yield self._borne(power, length)

    def _mean(self, energy: Given | Missing) -> Calculation:
        """The mean power of all attempts and the pause after them, against what the resistor bears for good."""
        mean = computed(
            "precharge-mean-power",
            f"Mean power in the pre-charge resistor of {self.name}",
            (*self.path, "attempts_within"),
            mean_power,
            {
                "energy": energy, "attempts": count("n", "attempts in a row", self.described.attempts, (*self.path, "attempts")),
                "time": reading("t", "time of the attempts with the pause after them", self.described.attempts_within, (*self.path, "attempts_within")),
            },
            prose="As if the attempts were repeated for ever, with that pause in between.",
        )  # fmt: skip
        return against(mean, "at most", self._rated, "what the resistor bears for good")

    @property
    def _rated(self) -> Given | Missing:
        return reading("P", "continuous power of the resistor", self.described.rated_power, (*self.path, "rated_power"))

    def _borne(self, power: Calculation, length: Calculation) -> Calculation:
        rated = self._rated
        if isinstance(rated, Given) and power.result and power.result.high <= rated.band.low:
            return against(power, "at most", rated, "what the resistor bears for good")
        if length.impossible:
            return replace(power, result=None, impossible=length.impossible)
        lasting = result_as(length, "t", "length of the pulse")
        rating = self.described.pulse_rating
        if isinstance(rated, Missing) or isinstance(lasting, Missing) or not isinstance(rating, tuple):
            gone = Missing("pulse rating of the resistor", (*self.path, "pulse_rating"))
            return against(power, "at most", rated if isinstance(rated, Missing) else lasting if isinstance(lasting, Missing) else gone, "")
        points = tuple((float(time.value), float(watts.low)) for time, watts in rating)
        words = f"what the resistor bears for {measure(lasting.band.high, 's')}"
        try:
            borne = permitted_power(rating=points, rated_power=rated.band.low, time=lasting.band.high)
        except OutOfBounds as error:
            return replace(power, result=None, impossible=str(error))
        return against(power, "at most", constant("P", words, borne, "W", "pulse rating"), words)

    def _against_stuck(self) -> Iterator[Calculation]:
        """What the resistor bears while a discharge that should be open has stuck closed."""
        stuck = self.car.stuck
        if stuck is None:
            return
        rest = stuck if self.others is None else summed("R", "stuck discharge and the other pre-charge resistors", [stuck, self.others], ACCUMULATORS)
        voltage = computed(
            "precharge-stuck-voltage",
            f"Voltage across the pre-charge resistor of {self.name} with the discharge stuck closed",
            (*self.path, "resistor"),
            divided_voltage,
            {"source": self.car.full, "resistance": rest, "discharge": self.resistance},
            prose="So much is missing behind the contactors for as long as the attempt lasts.",
        )
        yield voltage
        power = computed(
            "precharge-stuck-power",
            f"Power in the pre-charge resistor of {self.name} with the discharge stuck closed",
            (*self.path, "rated_power"),
            resistor_power,
            {"voltage": result_as(voltage, "U", "voltage across the resistor"), "resistance": self.resistance},
            prose="It lasts as long as the attempt, because the level is not reached.",
        )
        yield against(power, "at most", self._rated, "what the resistor bears for good")


def _shared(name: str, full: Given | Missing, whole: Given | Missing, own: Given | Missing, others: Given | Missing) -> tuple[Calculation, Calculation]:
    """Voltage and capacitance that the resistor of one of several containers in series sees."""
    return (
        computed(
            "precharge-own-voltage",
            f"Share of {name} in the voltage across the pre-charge resistors",
            (*ACCUMULATORS, name, "precharge", "resistor"),
            divided_voltage,
            {"source": full, "resistance": others, "discharge": own},
            prose="Containers in series charge together, each behind its own resistor; the voltage is shared by the resistors.",
        ),
        computed(
            "precharge-own-capacitance",
            f"Capacitance that the pre-charge resistor of {name} sees",
            (*ACCUMULATORS, name, "precharge", "resistor"),
            capacitance_seen,
            {"capacitance": whole, "resistance": own, "others": others},
            prose="A share of the voltage with the whole charge: so much larger is the capacitance.",
        ),
    )


def _discharges(look: Look) -> Iterator[tuple[Discharge, Given | Missing]]:
    """Every described discharge with its resistor."""
    for name, inverter in tractive(look).inverters.items():
        if isinstance(inverter.discharge, Discharge):
            path = (*INVERTERS, name, "discharge", "resistor")
            yield inverter.discharge, reading("R_d", f"discharge resistor of {name}", inverter.discharge.resistor, path)


def _drained(look: Look, full: Given | Missing) -> Given | Missing:
    """The current of all discharges that are connected for good, at the highest voltage: more than they draw while it rises."""
    resistors = [resistor for discharge, resistor in _discharges(look) if is_permanent(discharge)]
    known = [resistor.band for resistor in resistors if isinstance(resistor, Given)]
    if missing := next((one for one in (*resistors, *([full] if resistors else [])) if isinstance(one, Missing)), None):
        return missing
    volts = full.band if isinstance(full, Given) else Band.exactly(0.0)
    low, nominal, high = (sum(1 / ohms.high for ohms in known), sum(1 / ohms.nominal for ohms in known), sum(1 / ohms.low for ohms in known))
    return Given("I", "current of a discharge connected for good", Band(volts.low * low, volts.nominal * nominal, volts.high * high), "A", INVERTERS)


def _stuck(look: Look) -> Given | Missing | None:
    """The strongest of the discharges that a contact switches; None where there is none."""
    resistors = [resistor for discharge, resistor in _discharges(look) if switch_of(look, discharge)]
    known = [resistor for resistor in resistors if isinstance(resistor, Given)]
    missing = next((resistor for resistor in resistors if isinstance(resistor, Missing)), None)
    return missing or min(known, key=lambda resistor: resistor.band.low, default=None)


def precharge_pictures(look: Look) -> Iterator[PlotOf]:
    """The rising voltage at each container, nominal and as slow as its tolerances allow, with the level at which the second contactor closes."""
    done = tuple(precharge(look))
    shares = {share.about[2]: share.result for share in of(done, "precharge-own-voltage")}
    for number, (level, time) in enumerate(zip(of(done, "precharge-level"), of(done, "precharge-time"), strict=True), 1):
        if level.result and time.result and time.result.high > 0:
            yield _rising(look, number, level, level.result, time, time.result, shares.get(time.about[2]))


def _rising(look: Look, number: int, level: Calculation, closing: Band, time: Calculation, lasting: Band, share: Band | None) -> PlotOf:
    band, after = {given.symbol: given.band for given in time.given}, next((given.band.nominal for given in level.given if given.symbol == "t"), None)
    name, most, until = str(time.about[2]), share.nominal if share else band["U"].high, 1.4 * max(lasting.high, after or 0.0)
    asked, closes, reached = look.limit("precharge-level", "level"), printed_band(closing.low, closing.nominal, closing.high, "1"), band["f"].nominal

    def rising(end: str) -> tuple[tuple[float, float], ...]:
        ohms, farads, load = (getattr(band[symbol], end) for symbol in ("R", "C", "I"))
        return charge_curve(source=most, resistance=ohms, capacitance=farads, load=load, until=until, steps=120)

    lines = [Curve(f"nominal: {measure(lasting.nominal, 's')}", rising("nominal")), Curve(f"slowest: {measure(lasting.high, 's')}", rising("high"))]
    moment = f"after {measure(lasting.nominal, 's')}, at the latest after {measure(lasting.high, 's')}"
    if after is not None:
        lines.append(Curve(f"closes after {measure(after, 's')}", ((after, 0.0), (after, 1.1 * most))))
        moment = f"after {measure(after, 's')}"
    y = Axis(f"share of {name} in the voltage" if share else "voltage behind the contactors", "V", 0, 1.1 * most)
    words = f"closes at {closes}" if after is None else f"{measure(reached, '1')} asked for"
    must = f" The edition asks for {asked[0].compare} {asked[1]}." if asked else ""
    return PlotOf(
        f"precharge-{number}",
        f"Pre-charge of {name}: the {y.name}",
        f"The {y.name} rises from 0 towards {measure(most, 'V')}. The second contactor closes at {closes} of it, {moment}.{must}",
        curves(f"Pre-charge of {name}", Axis("time from the closing of the pre-charge relay", "s", 0, until), y, tuple(lines), (Level(words, reached * most),)),
    )
