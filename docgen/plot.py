"""Curves and bars over an axis as a drawing: told apart by dashes and words, never by colour alone."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from docgen.sheet import GREY, INK, PAPER, SLATE, Box, Label, Line, Mark, Pen, Polyline, Sheet, shortened, text_width

WIDTH, HEIGHT = 456.0, 250.0
"""Size of a plot in points; it fits an upright page."""
_LEFT, _RIGHT, _TOP, _BOTTOM = 52.0, 14.0, 34.0, 40.0
_DASHES: tuple[tuple[float, ...], ...] = ((), (6, 3), (2, 2), (8, 2, 2, 2))
_SMALL, _TITLE = 7.5, 9.5


@dataclass(frozen=True, slots=True)
class Axis:
    """What an axis shows, its unit, and its ends."""

    name: str
    unit: str
    start: float
    end: float

    @property
    def title(self) -> str:
        return f"{self.name} [{self.unit}]" if self.unit else self.name


@dataclass(frozen=True, slots=True)
class Curve:
    """A line of points with the words that stand beside it."""

    name: str
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Level:
    """A horizontal line at a limit, with its words."""

    name: str
    value: float


@dataclass(frozen=True, slots=True)
class Span:
    """A bar of a row, from and to on the x axis."""

    name: str
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class PlotOf:
    """A picture with its caption and what it says in words."""

    slug: str
    caption: str
    alternative: str
    sheet: Sheet


def curves(title: str, x: Axis, y: Axis, lines: tuple[Curve, ...], levels: tuple[Level, ...] = ()) -> Sheet:
    """Curves over two axes, with limit lines and a legend below the title."""
    frame = _Frame(x, y)
    items: list[Mark] = [*_grid(frame, title), *_legend(lines)]
    for number, line in enumerate(lines):
        items.append(Polyline(tuple(frame.at(point) for point in line.points), Pen(1.4, INK, _DASHES[number % len(_DASHES)])))
    for level in levels:
        height = frame.y(level.value)
        base = height + 9.5 if level.value > (y.start + y.end) / 2 else height - 4
        width = text_width(level.name, _SMALL, bold=True)
        items.append(Line((_LEFT, height), (WIDTH - _RIGHT, height), Pen(0.9, INK, (1, 2))))
        items.append(Box((WIDTH - _RIGHT - width - 6, base - 7), width + 4, 9.5, Pen(0.1, PAPER), PAPER))
        items.append(Label((WIDTH - _RIGHT - 4, base), level.name, _SMALL, "end", bold=True))
    return Sheet(WIDTH, HEIGHT, tuple(items))


def spans(title: str, x: Axis, rows: tuple[tuple[str, tuple[Span, ...]], ...], limit: Level | None = None) -> Sheet:
    """Rows of bars over time, one after the other, bars of one name in one shade; `limit` is an upright line."""
    height = _TOP + _BOTTOM + 34.0 * len(rows)
    left = 150.0
    scale = (WIDTH - _RIGHT - left) / (x.end - x.start)
    items: list[Mark] = [Label((0, 12), shortened(title, WIDTH, _TITLE, bold=True), _TITLE, bold=True)]
    for tick in _ticks(x):
        place = left + (tick - x.start) * scale
        items += [Line((place, _TOP), (place, height - _BOTTOM), Pen(0.4, "#c9ced2")), Label((place, height - _BOTTOM + 11), _said(tick), _SMALL, "middle", colour=GREY)]
    items.append(Label(((left + WIDTH - _RIGHT) / 2, height - 8), x.title, _SMALL, "middle"))
    fills = (PAPER, "#dfe4e7", "#b9c2c7", "#8f9ca3", SLATE)
    names = list(dict.fromkeys(bar.name for _, bars in rows for bar in bars))
    for number, (name, bars) in enumerate(rows):
        top = _TOP + 34.0 * number + 6
        items.append(Label((0, top + 14), name, _SMALL, bold=True))
        for bar in bars:
            start, end = left + (bar.start - x.start) * scale, left + (bar.end - x.start) * scale
            items.append(Box((start, top), max(end - start, 0.6), 14, Pen(0.6, INK), fills[names.index(bar.name) % len(fills)]))
        named = ", ".join(f"{bar.name} {_said(bar.end - bar.start)} {x.unit}".rstrip() for bar in bars)
        items.append(Box((left, top + 17), text_width(named, 6.2) + 1, 7, Pen(0.1, PAPER), PAPER))
        items.append(Label((left, top + 22.5), named, 6.2, colour=GREY))
    if limit is not None:
        place = left + (limit.value - x.start) * scale
        items += [Line((place, _TOP - 4), (place, height - _BOTTOM), Pen(1.1, INK, (4, 2))), Label((place - 3, _TOP - 5), limit.name, _SMALL, "end", bold=True)]
    return Sheet(WIDTH, height, tuple(items))


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where values lie on the sheet."""

    across: Axis
    up: Axis


    def x(self, value: float) -> float:
        return _LEFT + (value - self.across.start) / (self.across.end - self.across.start) * (WIDTH - _LEFT - _RIGHT)

    def y(self, value: float) -> float:
        return HEIGHT - _BOTTOM - (value - self.up.start) / (self.up.end - self.up.start) * (HEIGHT - _TOP - _BOTTOM)

    def at(self, point: tuple[float, float]) -> tuple[float, float]:
        return self.x(point[0]), self.y(point[1])


def _grid(frame: _Frame, title: str) -> Iterator[Mark]:
    yield Label((0, 12), shortened(title, WIDTH, _TITLE, bold=True), _TITLE, bold=True)
    pale = Pen(0.4, "#c9ced2")
    for tick in _ticks(frame.across):
        place = frame.x(tick)
        yield Line((place, _TOP), (place, HEIGHT - _BOTTOM), pale)
        yield Label((place, HEIGHT - _BOTTOM + 11), _said(tick), _SMALL, "middle", colour=GREY)
    for tick in _ticks(frame.up):
        place = frame.y(tick)
        yield Line((_LEFT, place), (WIDTH - _RIGHT, place), pale)
        yield Label((_LEFT - 5, place + 2.6), _said(tick), _SMALL, "end", colour=GREY)
    yield Box((_LEFT, _TOP), WIDTH - _LEFT - _RIGHT, HEIGHT - _TOP - _BOTTOM, Pen(0.8, SLATE))
    yield Label(((_LEFT + WIDTH - _RIGHT) / 2, HEIGHT - 12), frame.across.title, _SMALL, "middle")
    yield Label((0, _TOP - 6), frame.up.title, _SMALL)


def _legend(lines: tuple[Curve, ...]) -> Iterator[Mark]:
    names, between = [line.name for line in lines], 40.0
    if sum(text_width(name, _SMALL) + between for name in names) > WIDTH - _LEFT - _RIGHT:
        names = [shortened(name, (WIDTH - _LEFT - _RIGHT) / len(names) - between, _SMALL) for name in names]
    place = WIDTH - _RIGHT
    for number, name in reversed(tuple(enumerate(names))):
        place -= text_width(name, _SMALL)
        yield Label((place, _TOP - 6), name, _SMALL)
        yield Line((place - 26, _TOP - 8.6), (place - 4, _TOP - 8.6), Pen(1.4, INK, _DASHES[number % len(_DASHES)]))
        place -= between


def _ticks(axis: Axis) -> tuple[float, ...]:
    """Round values along an axis, five to ten of them."""
    reach = axis.end - axis.start
    step = 10.0 ** math.floor(math.log10(reach / 5))
    step *= next(factor for factor in (1, 2, 5, 10) if reach / (step * factor) <= 8)
    first = math.ceil(axis.start / step - 1e-9)
    last = math.floor(axis.end / step + 1e-9)
    return tuple(round(number * step, 10) for number in range(first, last + 1))


def _said(value: float) -> str:
    return f"{value:.3g}".replace("-", "−")
