"""Each coil by itself: the voltage at which it picks up when hot, and how soon its contact moves once its supply is gone.

The current of a plain coil dies away against what its suppression allows. Coils that are fed together hang on one line, so that each also
finds a way through the windings of the others, whatever is across it; no way is slower than a short.
"""

from collections.abc import Iterator
from dataclasses import replace

from docgen.analysis.copper import COLD
from docgen.analysis.fields import against, constant, reading
from docgen.analysis.loop_described import circuits, is_economised, low_voltage_supply, steady_resistance
from docgen.calc.coil import coil_current, coil_resistance, decay_time, hot_pick_up, release_time
from docgen.calc.formula import Band
from docgen.calculation import Calculation, Given, Missing, computed, result_as
from docgen.car.device import Coil, Device
from docgen.car.values import Unknown
from docgen.look import Look
from docgen.printing import listed
from docgen.provenance import Path

MOTION = "Panasonic Electric Works, 1 form A automotive relay, data sheet: release at most 10 ms without a diode"


def loop_coils(look: Look) -> Iterator[Calculation]:
    """The hot pick-up voltage of every coil that picks up in a loop, and the release of every coil whose inductance is given."""
    picking = {coil.name for circuit in circuits(look).values() for situation in circuit.situations for coil in situation.picking_up}
    for name, device in look.car.devices.items():
        if name in picking:
            yield hot_pick_up_of(look, name)
        if isinstance(device.coil, Coil) and decays(device.coil):
            yield from _Release(look, name, device.coil).all()


def hot_pick_up_of(look: Look, name: str) -> Calculation:
    """The voltage that a coil needs at its highest temperature."""
    described, path = coil_of(look.car.devices.get(name)), _path(name)
    return computed(
        "hot-pick-up", f"Pick-up voltage of {name}, coil hot", (*path, "pick_up"), hot_pick_up,
        {"pick_up": reading("U_20", f"pick-up voltage of {name}", described.pick_up, (*path, "pick_up")),
         "temperature": reading("T", f"highest temperature of the coil of {name}", described.hottest, (*path, "hottest"))},
        prose="At its highest temperature the coil needs so much.",
    )  # fmt: skip


def coil_of(device: Device | None) -> Coil:
    """The coil of a device, an empty one where none is described."""
    return device.coil if device and isinstance(device.coil, Coil) else Coil()


def decays(coil: Coil) -> bool:
    """Whether the decay of a coil's current can be computed: electronics inside would decide over it otherwise."""
    return coil.inductance is not None and not is_economised(coil)


def release_of(look: Look, name: str) -> Given | Missing:
    """Time from loss of the supply of a coil to the moved contact: as stated with its suppression, else computed from what is given."""
    described, path = coil_of(look.car.devices.get(name)), _path(name)
    if isinstance(found := look.car.devices[name].coil, Unknown):
        return reading("t_r", f"release time of {name}", found, (*path, "release"))
    if _is_stated(described) or not decays(described):
        stated = reading("t_r", f"release time of {name}", described.release, (*path, "release"))
        bare = isinstance(stated, Given) and not _is_stated(described)
        return Missing(f"release time of {name} with its suppression, or the inductance of its coil", (*path, "release")) if bare else stated
    return result_as(_Release(look, name, described).release, "t_r", f"release time of {name}")


def _path(name: str) -> Path:
    return ("devices", name, "coil")


def _is_stated(coil: Coil) -> bool:
    """Whether a release time is stated, or known to be open, that holds with the suppression of the coil."""
    return coil.release is not None and coil.release_stated in (None, "with its suppression")


class _Release:
    """The way from the loss of the supply of a plain coil to the moved contact."""

    def __init__(self, look: Look, name: str, coil: Coil) -> None:
        self.look, self.name, self.described, self.path = look, name, coil, _path(name)
        winding = steady_resistance(name, coil, self.path)
        self.resistance = computed(
            "coil-resistance", f"Resistance of the coil of {name} between cold and hottest", (*self.path, "resistance"), coil_resistance,
            {"resistance": winding, "temperature": self._temperature()}, prose="A cold coil draws the most, and keeps its current longest.",
        )  # fmt: skip
        self.current = computed(
            "coil-current", f"Current of the coil of {name}", (*self.path, "resistance"), coil_current,
            {"voltage": self._voltage(), "resistance": result_as(self.resistance, "R", "resistance of the coil")},
            prose="From the supply of its loop straight at the coil, as if nothing were lost on the way.",
        )  # fmt: skip
        self.least = computed(
            "coil-drop-out-current", f"Current at which {name} lets go", (*self.path, "drop_out"), coil_current,
            {"voltage": reading("U_d", f"drop-out voltage of {name}", coil.drop_out, (*self.path, "drop_out")), "resistance": winding},
            prose="Drop-out voltage and resistance both hold at 20 °C; the coil lets go at this current, whatever its temperature.",
        )  # fmt: skip
        self.decay = self._decay()
        self.longest = self._longest()
        self.release = self._release()

    def all(self) -> Iterator[Calculation]:
        yield from (self.resistance, self.current, self.least, self.decay)
        if not _is_stated(self.described):
            yield from (*([self.longest] if self.longest else []), self.release)

    def _temperature(self) -> Given | Missing:
        hottest = reading("T", f"highest temperature of the coil of {self.name}", self.described.hottest, (*self.path, "hottest"))
        if isinstance(hottest, Missing):
            return hottest
        return Given("T", "temperature of the coil", Band(COLD, 20.0, max(20.0, hottest.band.high)), "°C", hottest.origin)

    def _voltage(self) -> Given | Missing:
        """That of the loop with the highest source, else of the low-voltage source."""
        sources = [circuit.source for circuit in circuits(self.look).values() if any(coil.name == self.name for coil in circuit.coils)]
        sources = sources or [low_voltage_supply(self.look)[0]]
        known = [source for source in sources if isinstance(source, Given)]
        return max(known, key=lambda source: source.band.high) if len(known) == len(sources) else next(s for s in sources if isinstance(s, Missing))

    def _decaying(self, slug: str, title: str, clamp: Given | Missing, damping: Given | Missing, prose: str) -> Calculation:
        inputs = {
            "inductance": reading("L", f"inductance of the coil of {self.name}", self.described.inductance, (*self.path, "inductance")),
            "resistance": result_as(self.resistance, "R", "resistance of the coil"),
            "damping": damping,
            "clamp": clamp,
            "current": result_as(self.current, "I₀", "current before the loop opens"),
            "drop_out": result_as(self.least, "I_d", "current at which it lets go"),
        }
        about = (*self.path, "release" if _is_stated(self.described) else "inductance")
        return computed(slug, title, about, decay_time, inputs, prose=prose)

    def _decay(self) -> Calculation:
        coil = self.described
        clamp = reading("U_c", f"voltage of the suppression of {self.name}", coil.clamp, (*self.path, "clamp"))
        damping = reading("R_p", f"resistor of the suppression of {self.name}", coil.damping, (*self.path, "damping"))
        if coil.damping is None:
            damping = constant("R_p", "resistor of the suppression, none described", 0.0, "Ω", "nothing is described")
        elif coil.clamp is None:
            clamp = constant("U_c", "voltage of the suppression, a resistor alone", 0.0, "V", "nothing is described")
        figure = self._decaying(
            "coil-decay", f"Time until the current of {self.name} no longer holds it", clamp, damping,
            "With its own suppression, as if it hung alone on its line; the motion of the contact comes after it.",
        )  # fmt: skip
        stated = reading("t_r", f"release time of {self.name}", coil.release, (*self.path, "release"))
        return against(figure, "at most", stated, "the release time stated with its suppression") if _is_stated(coil) else figure

    def _longest(self) -> Calculation | None:
        """As if shorted; only where other coils hang on its line."""
        others = sorted({other.name for circuit in circuits(self.look).values() for other in circuit.fed_with(self.name)})
        if not others:
            return None
        return self._decaying(
            "coil-decay-shorted", f"Longest time until the current of {self.name} no longer holds it",
            constant("U_c", "voltage of the way, none", 0.0, "V", "as if shorted"), constant("R_p", "resistance of the way, none", 0.0, "Ω", "as if shorted"),
            f"As if shorted: whatever is across it, once the loop is open its current may also flow on through the coils fed with it, {listed(others)}.",
        )  # fmt: skip

    def _held(self) -> Given | Missing:
        """How long the current holds the contact: as if the coil hung alone, and at worst the longest way."""
        alone = result_as(self.decay, "t_L", "time until the current no longer holds it")
        worst = result_as(self.longest, "t_L", alone.name) if self.longest else alone
        if isinstance(alone, Missing) or isinstance(worst, Missing):
            return alone if isinstance(alone, Missing) else worst
        return replace(worst, band=Band(alone.band.low, alone.band.nominal, worst.band.high))

    def _release(self) -> Calculation:
        motion = reading("t_m", f"release time of {self.name} without suppression", self.described.release, (*self.path, "release"))
        if self.described.release is None:
            motion = constant("t_m", f"motion of the contact of {self.name}, of which the description gives no time", 0.010, "s", MOTION)
        return computed(
            "coil-release", f"Release time of {self.name}", (*self.path, "release"), release_time,
            {"decay": self._held(), "motion": motion},
            prose="From loss of the supply to the moved contact, with its suppression.",
        )  # fmt: skip
