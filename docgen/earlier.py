"""Pictures of an earlier build that would be drawn alike now."""

from dataclasses import dataclass, field
from pathlib import Path

from docgen.folder import content
from docgen.inputs import fingerprint
from docgen.nodes import Picture
from docgen.sheet import Sheet
from docgen.stamp import Stamp, is_as_written
from docgen.writers.diagram import draw, engine, millimetres


@dataclass(slots=True)
class Pictures:
    """Draws a sheet, or takes its picture from the folder where the same engine left it and nobody has touched it since."""

    folder: Path
    stamp: Stamp | None
    program: str
    """Digest of docgen's code."""
    sheets: dict[str, str] = field(default_factory=dict)
    """What the next stamp says of the pictures: their names without endings, and the fingerprints of code, engine and sheet."""
    drawn: int = 0

    def __call__(self, name: str, sheet: Sheet) -> Picture:
        self.sheets[name] = fingerprint(f"{self.program}\n{engine()}\n{sheet!r}".encode())
        if self.stamp and self.stamp.pictures.get(name) == self.sheets[name]:
            vector, raster = f"{name}.svg", f"{name}.png"
            if is_as_written(self.folder, vector, self.stamp) and is_as_written(self.folder, raster, self.stamp):
                svg = content(self.folder / vector).decode().replace("\r\n", "\n")
                return Picture(svg, content(self.folder / raster), millimetres(sheet.width), millimetres(sheet.height))
        self.drawn += 1
        return draw(sheet)
