"""Common mode: one cause that takes away two protections at once."""

import re
from collections.abc import Iterator

from docgen.car.demand import Demand, PedalSensor
from docgen.car.device import Device, Place, Stage
from docgen.car.tractive import Contactors, TractiveSystem
from docgen.car.values import Unknown
from docgen.car.wiring import Feed, LowVoltage, Wiring
from docgen.finding import Outcome, Severity, at_car, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import ELECTRONIC, PROTECTIVE, Look
from docgen.network import Kind
from docgen.provenance import Known, Path
from docgen.rules.fields import is_nothing, meant

SUBJECT = "Common mode"

PLAUSIBILITY = "brake plausibility device"
SOURCES = frozenset({"low_voltage", "source"})

INTERLOCKS = ("interlock", "service disconnect interlock")


def _powered(look: Look) -> Iterator[tuple[str, Device]]:
    """The protective devices that need power to do their work."""
    for _, name, device in look.devices(*sorted(PROTECTIVE)):
        if device.worked_by == "power" or device.function in ELECTRONIC:
            yield name, device


def _feeds(look: Look) -> dict[str, Feed]:
    return look.car.low_voltage.feeds if isinstance(look.car.low_voltage, LowVoltage) else {}


def _way(look: Look, name: str) -> Iterator[tuple[str, Feed]]:
    """A feed and the feeds that it comes from, the nearest first."""
    feeds, met = _feeds(look), set[str]()
    while name in feeds and name not in met:
        met.add(name)
        yield name, feeds[name]
        start = feeds[name].start
        name = start if isinstance(start, str) else ""


def _parts_of_way(look: Look, feed: str) -> Iterator[str]:
    """What a feed hangs on: its own name, and every fuse and converter on its way but a main fuse at the source."""
    yield f"the feed {feed}"
    for _, part in _way(look, feed):
        if isinstance(part.through, str) and part.start not in SOURCES:
            yield f"the fuse {part.through}"
        if isinstance(part.converted_by, str):
            yield f"the converter {part.converted_by}"


def _of_the_loops(look: Look) -> set[str]:
    """The feeds, fuses and converters that supply a loop itself."""
    own = {f"the fuse {element.name}" for graph in look.networks.values() for element in graph.of_kind(Kind.FUSE)}
    for loop in look.car.loops.values():
        if isinstance(loop.source, str):
            own |= set(_parts_of_way(look, loop.source))
    return own


@rule("feed-shared", SUBJECT, "", Severity.WARNING)
def feed_shared(look: Look) -> Iterator[Outcome]:
    """No two protective systems hang on one feed, fuse or converter, other than those of the loop itself.

    Why: One blown fuse, or one supply that sags, must not take two protections at once. What feeds the loop opens it when it fails.
    Wrong:
        devices: {ams: {feed: monitor_feed}}
    Right:
        devices: {ams: {feed: cells_feed}}
    Mend: Give each system a feed of its own behind the LV master, with its own fuse, and name it under feed.
    """
    exempt = _of_the_loops(look)
    first: dict[str, str] = {}
    judged = False
    for name, device in _powered(look):
        judged = True
        path: Path = ("devices", name, "feed")
        if device.feed is None:
            clause = device.function == PLAUSIBILITY and _speaks(look, "plausibility-supply")
            yield not_applicable(f"what feeds {name} is asked under its own clause", path) if clause else finding(path, f"it is not said what feeds {look.printed(name)}", "must name a feed")
            continue
        stage = device.stage.fed_from if isinstance(device.stage, Stage) else None
        for place, feed in ((path, device.feed), (("devices", name, "stage", "fed_from"), stage)):
            if feed is None:
                continue
            if isinstance(feed, Unknown):
                yield not_evaluated(place, f"what feeds {name} is unknown")
                continue
            if feed in look.car.loops:
                yield holds(place, f"the loop itself feeds {look.printed(name)}")
                continue
            parts = [part for part in _parts_of_way(look, feed) if part not in exempt]
            owners = {part: first.setdefault(part, name) for part in parts}
            other = next(((part, owner) for part, owner in owners.items() if look.car.devices[owner].function != device.function), None)
            if other:
                yield finding(place, f"{look.printed(other[1])} and {look.printed(name)} hang on {other[0]}", "must each have one of their own")
            elif feed not in _feeds(look):
                yield not_evaluated(place, f"the feed {feed} is not described")
            else:
                yield holds(place, f"no other protective system hangs on what feeds {look.printed(name)}")
    if not judged:
        yield not_applicable("no powered protective device is described")


def _speaks(look: Look, topic: str) -> bool:
    return look.edition.topic(topic).known not in (Known.ABSENT, Known.UNREAD)


@rule("board-shared", SUBJECT, "", Severity.WARNING)
def board_shared(look: Look) -> Iterator[Outcome]:
    """No two protective systems stand on one board; what else they share is listed.

    Why: One drop of water or one cracked board takes both. A shared housing or connector is a common cause to weigh, not a mistake.
    Wrong:
        devices: {ams: {board: monitor_board}, imd: {board: monitor_board}}
        boards: {monitor_board: {made_by: team}}
    Right:
        devices: {ams: {board: cells_board}, imd: {board: monitor_board}}
        boards: {cells_board: {made_by: bought}, monitor_board: {made_by: team}}
    Mend: Put each system on a board of its own.
    """
    elsewhere = PLAUSIBILITY if _speaks(look, "plausibility-board") else ""
    first: dict[str, str] = {}
    judged = False
    for name, device in _powered(look):
        judged = True
        place: Path = ("devices", name, "board")
        if isinstance(device.board, Unknown):
            yield not_evaluated(place, f"the board of {name} is unknown")
        elif device.board is None:
            yield not_applicable(f"{name} names no board", place)
        elif device.function == elsewhere:
            yield not_applicable(f"the board of {name} is judged under its own clause", place)
        else:
            owner = first.setdefault(device.board, name)
            if look.car.devices[owner].function != device.function:
                yield finding(place, f"{look.printed(owner)} and {look.printed(name)} stand on one board, {device.board}", "must each have one of their own")
            else:
                yield holds(place, f"no other protective system stands on the board {device.board}")
    yield from _common_causes(look)
    if not judged:
        yield not_applicable("no powered protective device is described")


def _common_causes(look: Look) -> Iterator[Outcome]:
    """Housings and connectors that several protective systems share, listed and not judged."""
    sharing: dict[str, list[str]] = {}
    places: dict[str, Path] = {}
    for name, device in _powered(look):
        board = look.car.boards.get(device.board) if isinstance(device.board, str) else None
        housing = device.housing if isinstance(device.housing, str) else board.housing if board else None
        lines = device.through if isinstance(device.through, tuple) else ()
        shared = [f"the housing {housing}"] if isinstance(housing, str) else []
        for what in dict.fromkeys([*shared, *(f"the connector {line.partition('.')[0]}" for line in lines)]):
            sharing.setdefault(what, []).append(name)
            places[what] = ("devices", name, "housing" if what.startswith("the housing") else "through")
    for what, names in sharing.items():
        if len({look.car.devices[name].function for name in names}) > 1:
            yield stated(places[what], f"a common cause to weigh: {' and '.join(look.printed(name) for name in names)} share {what}")


@rule("plausibility-board-shared", SUBJECT, "plausibility-board")
def plausibility_board_shared(look: Look) -> Iterator[Outcome]:
    """The board of the brake plausibility device holds no other function.

    Why: It has to work when the electronics that it watches have failed, and they fail together with what shares their board.
    Wrong:
        boards: {bspd_board: {also_does: brake light}}
    Right:
        boards: {bspd_board: {also_does: nothing}}
    Mend: Move every other function to another board; name the board under board, and write also_does: nothing there.
    """
    devices = [(name, device) for _, name, device in look.devices(PLAUSIBILITY)]
    by_board: dict[str, list[str]] = {}
    for name, device in look.car.devices.items():
        if isinstance(device.board, str) and device.function not in (PLAUSIBILITY, "latch relay"):
            by_board.setdefault(device.board, []).append(name)
    for name, device in devices:
        place: Path = ("devices", name, "board")
        if device.board is None:
            yield finding(place, f"it is not said on which board {look.printed(name)} stands", "must name its board")
            continue
        if isinstance(device.board, Unknown):
            yield not_evaluated(place, f"the board of {name} is unknown")
            continue
        others = by_board.get(device.board, [])
        if others:
            yield finding(place, f"{', '.join(look.printed(other) for other in others[:3])} and {look.printed(name)} stand on one board, {device.board}", "must have a board of its own")
        yield from _also_does(look, device.board, not others)
    if not devices:
        yield not_applicable("no brake plausibility device is described")


def _also_does(look: Look, name: str, alone: bool) -> Iterator[Outcome]:
    board, place = look.car.boards.get(name), ("boards", name, "also_does")
    if board is None:
        yield not_evaluated(place, f"the board {name} is not described")
    elif board.also_does is None:
        yield finding(place, f"it is not said what else the board {name} does", "must be said under also_does; `nothing` is an answer")
    elif isinstance(board.also_does, Unknown):
        yield not_evaluated(place, f"what else the board {name} does is unknown")
    elif not is_nothing(board.also_does):
        yield finding(place, f"the board {name} also does: {board.also_does}", "must hold no other function")
    elif alone:
        yield stated(place, f"the board {name} holds no other function")


@rule("plausibility-feed-indirect", SUBJECT, "plausibility-supply")
def plausibility_feed_indirect(look: Look) -> Iterator[Outcome]:
    """The feed of the brake plausibility device comes straight from the LV master, with nothing but overcurrent protection between.

    Why: A supply that another board makes is gone, or wrong, when that board is.
    Wrong:
        low_voltage: {feeds: {bspd_feed: {converted_by: vehicle_controller}}}
    Right:
        low_voltage: {feeds: {bspd_feed: {from: lv_master, through: F1}}}
    Mend: Feed it from the LV master through a fuse, make its voltage on its own board, and name that feed under feed.
    """
    judged = False
    masters = {name for _, name, _ in look.devices("LV master switch")}
    for path, name, device in look.devices(PLAUSIBILITY):
        judged = True
        if device.feed is None:
            yield finding((*path, "feed"), f"it is not said what feeds {look.printed(name)}", "must be fed straight from the LV master")
        elif isinstance(device.feed, Unknown):
            yield not_evaluated((*path, "feed"), f"what feeds {name} is unknown")
        elif device.feed in masters:
            yield holds((*path, "feed"), f"{look.printed(name)} is fed straight from {device.feed}")
        else:
            yield _straight(look, name, device, device.feed, masters)
    if not judged:
        yield not_applicable("no brake plausibility device is described")


def _straight(look: Look, name: str, device: Device, feed: str, masters: set[str]) -> Outcome:
    """Whether the way of a feed begins at an LV master and meets fuses only."""
    place: Path = ("devices", name, "feed")
    start: object = feed
    for step, part in _way(look, feed):
        place = ("low_voltage", "feeds", step)
        if isinstance(part.converted_by, Unknown) or isinstance(part.start, Unknown):
            return not_evaluated(place, f"where the feed {step} begins, or what converts it, is unknown")
        if part.converted_by is not None and part.converted_by != device.board:
            return finding((*place, "converted_by"), f"the supply of {look.printed(name)} is made by {part.converted_by}", "must come straight from the LV master, with nothing but overcurrent protection between")
        start = part.start
    if start is None:
        return finding((*place, "from"), f"it is not said where the supply of {look.printed(name)} begins", "must begin at the LV master")
    if start in masters:
        return holds(place, f"{look.printed(name)} is fed straight from {start}")
    if place[0] == "devices" or start in _feeds(look):
        return not_evaluated(place, f"the feed {start} is not described, or comes from itself")
    return finding((*place, "from"), f"the supply of {look.printed(name)} begins at {start}", "must begin at the LV master")


_CONTAINER = re.compile(
    r"(?:(?:inside|in|within)\s+)?(?:the\s+)?(?:(?:left|right|main|front|rear|first|second|TS|HV|tractive[ -]system)\s+)*"
    r"(?:TSAC\b|(?:accumulator|tractive[ -]battery|traction[ -]battery)(?:['’]s)?[ -](?:container|case|box|pack|housing|enclosure)\b)(?!.*\b(?:outside|external))",
    re.IGNORECASE,
)
"""A place that begins with the container itself; `behind the accumulator container` does not."""


def _container_housings(look: Look) -> set[str]:
    """The housings in which contactors of an accumulator sit."""
    system = look.car.tractive_system
    accumulators = system.accumulators.values() if isinstance(system, TractiveSystem) else ()
    inside: set[str] = set()
    for accumulator in accumulators:
        if isinstance(accumulator.contactors, Contactors):
            for contactor in (accumulator.contactors.positive, accumulator.contactors.negative):
                device = look.car.devices.get(contactor) if isinstance(contactor, str) else None
                inside |= {device.housing} if device and isinstance(device.housing, str) else set()
    return inside


@rule("plausibility-in-container", SUBJECT, "plausibility-place")
def plausibility_in_container(look: Look) -> Iterator[Outcome]:
    """Neither the board of the brake plausibility device nor one of its sensors sits inside the accumulator container.

    Why: It has to be tested, and its wires pulled, without opening the container.
    Wrong:
        devices: {bspd: {place: {where: accumulator container main}}}
    Right:
        devices: {bspd: {place: {where: dashboard}}}
    Mend: Write where board and sensors sit; if that is inside the container, move them out.
    """
    judged = False
    inside = _container_housings(look)
    for path, name, device in look.devices(PLAUSIBILITY):
        judged = True
        board = look.car.boards.get(device.board) if isinstance(device.board, str) else None
        housings: list[tuple[Path, object]] = [((*path, "housing"), device.housing)]
        if board:
            housings.append((("boards", str(device.board), "housing"), board.housing))
        places: list[tuple[Path, object]] = [((*path, "place"), device.place)]
        if board:
            places.append((("boards", str(device.board), "place"), board.place))
        places += [(("housings", str(housing), "place"), look.car.housings[str(housing)].place) for _, housing in housings if housing in look.car.housings]
        yield _outside(look.printed(name), places, [(place, housing) for place, housing in housings if housing in inside])
        for sensor_name, sensor in device.sensors.items():
            yield _outside(f"{sensor_name} of {look.printed(name)}", [((*path, "sensors", sensor_name, "place"), sensor.place)], [])
    if not judged:
        yield not_applicable("no brake plausibility device is described")


def _outside(what: str, places: list[tuple[Path, object]], housed: list[tuple[Path, object]]) -> Outcome:
    must = "must sit outside the accumulator container"
    for place, housing in housed:
        return finding(place, f"{what} sits in {housing}, where the contactors are", must)
    said = [(place, part.where) for place, part in places if isinstance(part, Place) and isinstance(part.where, str)]
    for place, where in said:
        if _CONTAINER.match(where):
            return finding((*place, "where"), f"{what} sits here: {where}", must)
    if said:
        return stated(said[0][0], f"{what} sits here: {said[0][1]}")
    if any(isinstance(part, Unknown) or (isinstance(part, Place) and isinstance(part.where, Unknown)) for _, part in places):
        return not_evaluated(places[0][0], f"where {what} sits is unknown")
    return finding(places[0][0], f"it is not said where {what} sits", f"must be said; it {must}")


@rule("conduit-mixes-systems", SUBJECT, "interlock-routing")
def conduit_mixes_systems(look: Look) -> Iterator[Outcome]:
    """No low-voltage line shares a conduit with a line of the tractive system; interlock lines may.

    Why: A chafed cable puts the tractive voltage on everything that lies beside it.
    Wrong:
        wiring:
          conductors: {motor_cable: {system: tractive, conduit: left}, sensor_line: {system: low voltage, conduit: left}}
          conduits: {left: {colour: orange}}
    Right:
        wiring:
          conductors: {motor_cable: {system: tractive, conduit: left}, pilot_line: {system: interlock, conduit: left}}
          conduits: {left: {colour: orange}}
    Mend: Route the low-voltage line in a conduit of its own.
    """
    wiring = look.car.wiring if isinstance(look.car.wiring, Wiring) else Wiring()
    beside = look.edition.topic("interlock-routing").words.get("beside_tractive")
    lines: dict[str, dict[str, Path]] = {}
    for name, conductor in wiring.conductors.items():
        if isinstance(conductor.conduit, str):
            lines.setdefault(conductor.conduit, {})[name] = ("wiring", "conductors", name, "conduit")
    for name, conduit in wiring.conduits.items():
        for index, line in enumerate(conduit.carries if isinstance(conduit.carries, tuple) else ()):
            lines.setdefault(name, {}).setdefault(line, ("wiring", "conduits", name, "carries", index))
    shared = {name: carried for name, carried in lines.items() if len(carried) > 1}
    for name, carried in shared.items():
        if beside is None:
            yield not_evaluated(("wiring", "conduits", name), f"which lines may lie beside tractive ones was not read in {look.edition.name}")
        else:
            yield from _mixed(look, wiring, name, carried)
    if not shared:
        yield not_applicable("no two lines are described in one conduit")


def _mixed(look: Look, wiring: Wiring, conduit: str, carried: dict[str, Path]) -> Iterator[Outcome]:
    systems = {line: _system(look, wiring, line) for line in carried}
    tractive = next((line for line, system in systems.items() if system == "tractive"), None)
    low = [line for line, system in systems.items() if system == "low voltage"]
    silent = [line for line, system in systems.items() if not isinstance(system, str)]
    wrong = low if tractive else []
    if bool(tractive) + bool(low) + len(silent) < 2:
        silent = []
    for line in wrong:
        yield finding(carried[line], f"the low-voltage line {line} lies with the tractive line {tractive} in the conduit {conduit}", "must have another conduit; only interlock lines may lie beside tractive ones")
    for line in silent:
        if line in wiring.conductors and systems[line] is None:
            yield finding(("wiring", "conductors", line, "system"), f"it is not said to which system {line} belongs, which shares the conduit {conduit}", "must be said under system")
        else:
            yield not_evaluated(carried[line], f"to which system {line} in the conduit {conduit} belongs is not known")
    if not wrong and not silent:
        yield holds(("wiring", "conduits", conduit), f"in the conduit {conduit} no low-voltage line lies beside a tractive one")


def _system(look: Look, wiring: Wiring, line: str) -> object:
    """The system of a line: of the conductor with this name, or of the interlock device that it leads to."""
    if line in wiring.conductors:
        return wiring.conductors[line].system
    device = look.car.devices.get(line.partition(" ")[0])
    return "interlock" if device and device.function in INTERLOCKS else None


def _pedal_sensors(look: Look) -> dict[str, PedalSensor]:
    return look.car.demand.pedal_sensors if isinstance(look.car.demand, Demand) else {}


def _supply_lines(look: Look, feed: str) -> Iterator[str]:
    """The feed of a sensor, and what stands on its way up to the converter that makes its voltage."""
    yield f"the feed {feed}"
    for name, part in _way(look, feed):
        if part.converted_by is not None or part.voltage is not None:
            if name != feed:
                yield f"the feed {name}"
            return
        if isinstance(part.through, str):
            yield f"the fuse {part.through}"


@rule("pedal-sensors-share-supply", SUBJECT, "pedal-sensors")
def pedal_sensors_share_supply(look: Look) -> Iterator[Outcome]:
    """No two sensors of the accelerator pedal share a supply line.

    Why: With one supply, one broken wire takes both readings, and a sagging one moves both alike, which no comparison notices.
    Wrong:
        demand: {pedal_sensors: {apps_2: {feed: apps_1_feed}}}
    Right:
        demand: {pedal_sensors: {apps_2: {feed: apps_2_feed}}}
    Mend: Give each sensor a supply output of its own, and describe each as a feed.
    """
    first: dict[str, str] = {}
    makers: dict[str, str] = {}
    sensors = _pedal_sensors(look)
    for name, sensor in sensors.items():
        place: Path = ("demand", "pedal_sensors", name, "feed")
        if sensor.feed is None:
            yield finding(place, f"it is not said what feeds {name}", "must name its feed")
        elif isinstance(sensor.feed, Unknown):
            yield not_evaluated(place, f"what feeds {name} is unknown")
        else:
            owners = {part: first.setdefault(part, name) for part in _supply_lines(look, sensor.feed)}
            part = next((part for part, owner in owners.items() if owner != name), None)
            boards = [feed.converted_by for _, feed in _way(look, sensor.feed) if isinstance(feed.converted_by, str)][:1]
            twin = next((owner for board in boards if (owner := makers.setdefault(board, name)) != name), None)
            if part:
                yield finding(place, f"{owners[part]} and {name} share {part}", "must each have a supply line of its own")
            elif twin:
                yield at_car(place, f"that {boards[0]}, which supplies {twin} and {name}, makes each supply by a converter of its own")
            else:
                yield holds(place, f"no other pedal sensor hangs on what feeds {name}")
    if not sensors:
        yield not_applicable("no pedal sensor is described")


_POSITIONS = re.compile(r"(?P<connector>[^\W\d_]\w*)\.(?P<first>\d+)(?:\s*(?:-|–|to)\s*(?P<last>\d+))?")


def _positions(text: str) -> frozenset[tuple[str, str]]:
    """The positions of connectors that a text names: ``X5.1-3`` is three of X5. Empty where it names none."""
    found: set[tuple[str, str]] = set()
    for match in _POSITIONS.finditer(text):
        first, last = int(match["first"][:6]), int((match["last"] or match["first"])[:6])
        found |= {(match["connector"], str(position)) for position in range(first, min(last, first + 100) + 1)}
    return frozenset(found)


@rule("pedal-sensors-share-line", SUBJECT, "pedal-sensors")
def pedal_sensors_share_line(look: Look) -> Iterator[Outcome]:
    """No two sensors of the accelerator pedal use the same lines.

    Why: Two readings over one wire are one reading.
    Wrong:
        demand: {pedal_sensors: {apps_2: {connector: X5.1-3}}}
    Right:
        demand: {pedal_sensors: {apps_2: {connector: X6.1-3}}}
    Mend: Give each sensor lines of its own up to the controller, and name their positions under connector.
    """
    first: dict[frozenset[tuple[str, str]], str] = {}
    sensors = _pedal_sensors(look)
    for name, sensor in sensors.items():
        place: Path = ("demand", "pedal_sensors", name, "connector")
        positions = _positions(sensor.connector) if isinstance(sensor.connector, str) else frozenset()
        if sensor.connector is None:
            yield finding(place, f"it is not said over which positions the lines of {name} run", "must be said under connector, such as X5.1-3")
        elif not positions:
            yield not_evaluated(place, f"over which positions the lines of {name} run is not known")
        elif (owner := first.setdefault(positions, name)) != name:
            yield finding(place, f"{owner} and {name} use the same positions, {sensor.connector}", "must each have lines of its own")
        else:
            yield holds(place, f"no other pedal sensor uses the positions of {name}")
    if not sensors:
        yield not_applicable("no pedal sensor is described")


@rule("pedal-sensors-share-connector", SUBJECT, "", Severity.WARNING)
def pedal_sensors_share_connector(look: Look) -> Iterator[Outcome]:
    """No two sensors of the accelerator pedal share a connector.

    Why: One plug that works loose takes both readings at once.
    Wrong:
        demand: {pedal_sensors: {apps_2: {connector: X5.4-6}}}
        connectors: {X5: {positions: "6"}}
    Right:
        demand: {pedal_sensors: {apps_2: {connector: X6.1-3}}}
    Mend: Give each sensor a connector of its own.
    """
    first: dict[str, tuple[str, frozenset[tuple[str, str]]]] = {}
    judged = False
    for name, sensor in _pedal_sensors(look).items():
        positions = _positions(sensor.connector) if isinstance(sensor.connector, str) else frozenset()
        if not positions:
            continue
        judged = True
        place: Path = ("demand", "pedal_sensors", name, "connector")
        owners = {connector: first.setdefault(connector, (name, positions)) for connector, _ in sorted(positions)}
        shared = next((connector for connector, (owner, lines) in owners.items() if owner != name and lines != positions), None)
        if shared:
            yield finding(place, f"{owners[shared][0]} and {name} share the connector {shared}", "must each have one of its own")
        else:
            yield holds(place, f"{name} shares its connector with no other pedal sensor's other lines")
    if not judged:
        yield not_applicable("no pedal sensor names its connector")


_OWN = re.compile(r"\b(?:own|separate(?:ly)?|individual|dedicated)\b", re.IGNORECASE)
_SHARED = re.compile(r"(?:shared|common|joint|same as|both|together)\b")


@rule("pedal-sensors-share-ground", SUBJECT, "", Severity.WARNING)
def pedal_sensors_share_ground(look: Look) -> Iterator[Outcome]:
    """No two sensors of the accelerator pedal share a ground line.

    Why: A common ground that breaks lifts both outputs together, and both stay plausible.
    Wrong:
        demand: {pedal_sensors: {apps_1: {ground: splice G4}, apps_2: {ground: splice G4}}}
    Right:
        demand: {pedal_sensors: {apps_1: {ground: own line to the controller}, apps_2: {ground: own line to the controller}}}
    Mend: Lead a ground line of its own from each sensor to the controller, and say so under ground.
    """
    first: dict[str, str] = {}
    sensors = _pedal_sensors(look)
    for name, sensor in sensors.items():
        place: Path = ("demand", "pedal_sensors", name, "ground")
        if sensor.ground is None:
            yield finding(place, f"the ground line of {name} is not given", "must be said under ground")
        elif isinstance(sensor.ground, Unknown):
            yield not_evaluated(place, f"the ground line of {name} is unknown")
        elif _OWN.search(sensor.ground):
            yield stated(place, f"{name} has its own ground: {sensor.ground}")
        elif meant(_SHARED, sensor.ground):
            yield finding(place, f"{name} shares its ground: {sensor.ground}", "must have a ground line of its own")
        elif (owner := first.setdefault(" ".join(sensor.ground.casefold().split()), name)) != name:
            yield finding(place, f"{owner} and {name} share the ground {sensor.ground}", "must each have a ground line of its own")
        else:
            yield stated(place, f"{name} has the ground {sensor.ground}")
    if not sensors:
        yield not_applicable("no pedal sensor is described")


RULES = (
    feed_shared,
    board_shared,
    plausibility_board_shared,
    plausibility_feed_indirect,
    plausibility_in_container,
    conduit_mixes_systems,
    pedal_sensors_share_supply,
    pedal_sensors_share_line,
    pedal_sensors_share_ground,
    pedal_sensors_share_connector,
)
