"""The topics under which editions are known: stable names, because clause numbers move."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Subject:
    """One topic: what it is about, the limits (name -> dimension) and the choices of words it may hold."""

    about: str
    limits: dict[str, str]
    words: dict[str, tuple[str, ...]]


def _t(about: str, words: dict[str, tuple[str, ...]] | None = None, **limits: str) -> Subject:
    return Subject(about, {name.rstrip("_"): dimension.replace("_", " ") for name, dimension in limits.items()}, words or {})


TOPICS: dict[str, Subject] = {
    # the loop
    "contact-wording": _t("contacts named by state at rest and when healthy"),
    "loop-carries-coil-current": _t("the loop itself carries the coil current"),
    "loop-members": _t("members that the loop must have in series"),
    "loop-high-side": _t("members stand on the high side of the coils"),
    "ts-master-last": _t("place of the TS master in the loop"),
    "loop-opening-result": _t("what opening the loop brings about", voltage="voltage", time="time"),
    "contactor-opening-delay": _t("allowed delay of the contactors", delay="time"),
    "monitor-latch": _t("latch of insulation monitor and battery management"),
    "monitor-reset": _t("who may reset insulation monitor and battery management", {"loop_switches": ("not allowed",)}),
    "open-when-unpowered": _t("each device of the loop opens it when unpowered or unplugged"),
    "loop-demonstrable": _t("every function of the loop can be demonstrated"),
    "own-power-stage": _t("own, non-programmable power stage for each system that opens the loop"),
    "no-back-feed": _t("a stage may not feed power back into the loop"),
    "direct-contacts": _t("members that must act by a contact of their own, without a stage"),
    "critical-signals": _t("signals that influence the loop and their failures", delay="time"),
    "critical-signal-list": _t("failure modes, detection and tests of each critical signal are written down"),
    "activation-separate": _t("closing the loop alone does not activate the tractive system"),
    "driver-activates": _t("the driver alone can activate the tractive system"),
    "ready-to-drive": _t("conditions of ready-to-drive and when it is left"),
    "ready-to-drive-sound": _t("sound of ready-to-drive", level="sound_level", shortest="time", longest="time"),
    "charging-loop": _t("members of the charging loop", button_diameter="length"),
    "driverless-members": _t("remote emergency and its bypass in driverless cars"),
    # low voltage
    "lv-source-protection": _t("overcurrent protection at the low-voltage source", distance="length"),
    "lv-source-cells": _t("overcurrent protection of the low-voltage source against the current of its cells"),
    "lv-lithium-protection": _t("protection of lithium low-voltage batteries", temperature_share="share", temperature="temperature"),
    "lv-ground": _t("low voltage grounded to chassis, no orange"),
    "overcurrent-protection": _t("overcurrent protection in general: rating, voltage, breaking capacity"),
    # switches
    "master-switches": _t("construction and place of the master switches", {"handle": ("red",)}, handle_width="length"),
    "lv-master": _t("LV master", {"colour": ("red",), "label": ("LV",)}, disc="length"),
    "ts-master": _t("TS master and its disc", {"colour": ("orange",), "label": ("TS",)}, disc="length"),
    "ts-master-lockout": _t("lockout of the TS master"),
    "shutdown-buttons": _t("shutdown buttons: number, place, size", side_diameter="length", cockpit_diameter="length"),
    "button-construction": _t("shutdown buttons: construction, height, symbol"),
    "inertia-switch": _t(
        "inertia switch: trip values and latch",
        long_pulse="acceleration", long_length="time", short_pulse="acceleration", short_length="time", lowest="acceleration", highest="acceleration",
    ),
    "inertia-directions": _t("directions in which the inertia switch trips"),
    "inertia-semiconductors": _t("no semiconductor in the inertia switch"),
    "inertia-mounting": _t("mounting of the inertia switch, and its shake test"),
    "over-travel-switch": _t("brake over-travel switch"),
    "over-travel-kind": _t("construction of the over-travel switch", dict.fromkeys(("push_pull", "push_rotate", "flip"), ("allowed", "not allowed"))),
    "over-travel-reset": _t("who may reset the over-travel switch"),
    "service-disconnect": _t("service disconnect: time and height", height="length", time="time"),
    "service-disconnect-removal": _t("service disconnect: poles, tool, remote handle", poles="count"),
    "connector-interlock": _t("pilot contact of tractive-system connectors"),
    "outboard-interlock": _t("interlock of outboard motors"),
    "interlock-routing": _t("interlock lines and other lines in one conduit", {"beside_tractive": ("interlock lines only",)}),
    "connector-locking": _t("positive locking of tractive-system connectors"),
    # tractive system
    "contactor-count": _t("contactors of each container, poles", each="count"),
    "contactor-kind": _t("kind of the contactors"),
    "fuse-vs-contactor": _t("main fuse against breaking capacity of the contactors"),
    "precharge-level": _t("level before the second contactor closes", level="share"),
    "precharge-end": _t("end of pre-charge measured or timed", {"end": ("measured", "measured or timed")}),
    "precharge-relay": _t("kind of the pre-charge relay"),
    "precharge-unfused": _t("no fuse in the pre-charge path"),
    "discharge": _t("discharge circuit: time, rating, active when the loop is open", time="time", rating="time"),
    "discharge-unfused": _t("no fuse in the discharge path"),
    "maximum-voltage": _t("highest voltage of the tractive system", voltage="voltage"),
    "power-limit": _t("power and current limits", power="power", current="current"),
    "segments": _t("segments: voltage, energy, mass", voltage="voltage", energy="energy", mass="mass"),
    "measuring-points": _t("measuring points and their resistors", up_to_200="resistance", up_to_400="resistance", up_to_600="resistance"),
    "measuring-point-lines": _t("connection, fuses and jacks of the measuring points"),
    "active-light-red": _t("threshold of the active light", voltage="voltage", of_nominal="share"),
    "active-light-flash": _t("frequency of the active light", slowest="frequency", fastest="frequency"),
    "active-light-sensing": _t("what the active light senses", {"relays": ("mechanical state",)}),
    "active-light-logic": _t("logic and independence of the active light", {"logic": ("hard-wired",), "red_and_green": ("independent",)}),
    "active-light-latch": _t("implausibility of the active light is latched"),
    "active-light-runtime": _t("time the active light runs on", time="time"),
    "off-lamp": _t("cockpit lamp for tractive system off", {"colour": ("green",), "label": ("TS off",), "follows": ("green of the active light",)}),
    "voltage-indicator": _t("voltage indicator of the container"),
    "wiring-temperature": _t("temperature rating of tractive-system wiring", temperature="temperature"),
    "wiring-colour": _t("colour and anchoring of tractive-system wiring", pull="force"),
    "spacing-in-housing": _t("spacing between systems in one housing", spacing="length"),
    "board-spacing": _t(
        "spacing between systems on one board, by the highest voltage",
        up_to_50="length", up_to_150="length", up_to_300="length", up_to_600="length",
        coated_up_to_50="length", coated_up_to_150="length", coated_up_to_300="length", coated_up_to_600="length",
    ),
    "grounding": _t("bonding of conductive parts", near="resistance", possibly="resistance"),
    "sense-wire-protection": _t("protection of thin wires into the tractive system", unfused="length"),
    # insulation monitor
    "monitor-required": _t("insulation monitor required"),
    "monitor-response": _t("response value of the insulation monitor", ratio="insulation"),
    "monitor-test": _t("function test of the insulation monitor", ratio="insulation", time="time"),
    "monitor-side": _t("side of the contactors where the monitor is connected"),
    "monitor-chassis-lines": _t("chassis lines of the monitor"),
    "monitor-hard-wired": _t("no programmable logic between monitor and loop"),
    "monitor-lamp": _t("lamp of the insulation monitor", {"colour": ("red",), "label": ("IMD",)}),
    # battery management
    "cells-watched": _t("share of cells whose temperature is watched", share="share"),
    "cell-temperature": _t("highest cell temperature", temperature="temperature"),
    "cell-delays": _t("delays of the battery management", voltage="time", current="time", temperature="time"),
    "cell-measurement-lost": _t("a lost measurement opens the loop"),
    "cell-lamp": _t("lamp of the battery management", {"colour": ("red",), "label": ("AMS",)}),
    "lamp-check": _t("lamp check at power-on", shortest="time", longest="time"),
    # brake plausibility device
    "plausibility-device": _t("brake plausibility device: standalone, non-programmable"),
    "plausibility-power": _t("power threshold and its voltage basis", {"basis": ("highest", "nominal")}, power="power"),
    "plausibility-time": _t("time until it has opened the loop", time="time"),
    "plausibility-brake": _t("brake threshold", pressure="pressure"),
    "plausibility-reset": _t(
        "ways of its reset",
        {"self_reset": ("allowed", "not allowed"), "lv_master": ("allowed", "not allowed"), "person": ("allowed", "not allowed")},
        self_after="time",
    ),
    "plausibility-supply": _t("supply straight from the LV master"),
    "plausibility-board": _t("no other function on its board"),
    "plausibility-sensor": _t("current sensor in the DC circuit"),
    "plausibility-lines": _t("each single damaged sensor line opens the loop"),
    "plausibility-place": _t("not inside the accumulator container"),
    # driver demand
    "pedal-springs": _t("positive stop and springs of the pedal", springs="count"),
    "pedal-sensors": _t("separate sensors, lines and supplies", sensors="count"),
    "pedal-curves": _t("different transfer functions; a short is always noticed", {"short": ("always noticed", "noticed unless released")}),
    "pedal-deviation": _t("deviation of the pedal sensors", limit="share", time="time"),
    "pedal-released": _t("torque with the pedal released", torque="torque"),
    "pedal-functions": _t("functions only lower the driver's torque"),
    "pedal-vs-brake": _t("pedal-vs-brake software check", torque="share", travel="share", power="power", time="time"),
    "pedal-vs-brake-release": _t("release of the pedal-vs-brake check", pedal="share", torque="torque"),
    "brake-light": _t("brake light"),
    # the description
    "document-content": _t("what the design document must hold"),
    "datasheets": _t("datasheets behind claims"),
}
"""Every topic that an edition may speak on, in the order in which the clause index prints them."""
