"""Speed as ratios in one run: ``python tests/bench/run.py``. Leaves with 1 when a ratio is above its bound.

Whole processes against bare scripts that do the same outside work; in process the calculations and the rules of the example car against the
reading of its file, and ten and a hundred times the devices.
"""

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
CAR = ROOT / "example_car" / "car.yaml"
sys.path.insert(0, str(HERE.parent))

BARE_CHECK = """
import sys
from pathlib import Path
from pydantic import BaseModel
from docgen.load import read_part
from docgen.reading import read_file
class Car(BaseModel):
    docgen: str
read_part(read_file(Path(sys.argv[1])), Car)
"""

BARE_COMPARE = """
import sys
from pathlib import Path
from docgen.load import load_file
for name in sys.argv[1:]:
    load_file(Path(name))
"""

BARE_BUILD = """
import io, os, sys
from pathlib import Path
import docx, fontpkg, graphviz, graphviz.backend.dot_command as dot, jinja2, markdown_it, resvg_py, sysconfig
from pydantic import BaseModel
from ruamel.yaml import YAML
folder, sources, tables = Path(sys.argv[2]), sys.argv[3], int(sys.argv[4])
for event in YAML(typ="safe", pure=True).parse(open(sys.argv[1], encoding="utf-8").read()):
    pass
dot.DOT_BINARY = Path(sysconfig.get_path("scripts")) / ("graphviz-pure" + (".exe" if os.name == "nt" else ""))
for source in sorted(Path(sources).glob("*.dot")):
    svg = graphviz.Source(source.read_text(encoding="utf-8"), engine="neato").pipe("svg", neato_no_op=2, encoding="utf-8", quiet=True)
    (folder / f"{source.stem}.svg").write_text(svg, encoding="utf-8")
for drawn in sorted(Path(sources).glob("out/loop-*.svg")):
    png = resvg_py.svg_to_bytes(svg_string=drawn.read_text(encoding="utf-8"), dpi=300, skip_system_fonts=True, font_files=[str(fontpkg.path("Arimo"))])
    (folder / f"{drawn.stem}.png").write_bytes(bytes(png))
document = docx.Document()
for number in range(tables):
    document.add_paragraph("A caption")
    table = document.add_table(rows=0, cols=5)
    for _ in range(int(sys.argv[5])):
        for cell in table.add_row().cells:
            cell.text = "some words of a cell"
for number in range(int(sys.argv[6])):
    document.add_paragraph("some words of a paragraph")
document.save(folder / "bare.docx")
(folder / "bare.html").write_text("x" * int(sys.argv[7]), encoding="utf-8")
"""

BARE_CURRENT = """
import hashlib, sys
from pathlib import Path
for place in map(Path, sys.argv[1:]):
    for path in sorted(place.rglob("*")) if place.is_dir() else [place]:
        if path.is_file():
            hashlib.sha256(path.read_bytes()).hexdigest()
"""


def seconds(command: list[str], runs: int) -> float:
    """Median wall time of a command with its byte code cached, as after an installation; the first run is not counted."""
    times = []
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    for _ in range(runs + 1):
        begin = time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=environment)
        times.append(time.perf_counter() - begin)
    return statistics.median(times[1:])


def once(command: list[str]) -> float:
    """Wall time of a command that keeps what it has read, and so can be timed but once."""
    begin = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - begin


def in_process(work: Callable[[], Any], runs: int = 5) -> float:
    """Least wall time of a call."""
    times = []
    for _ in range(runs):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return min(times)


def in_process_after(prepare: Callable[[], Any], work: Callable[[Any], Any], runs: int = 5) -> float:
    """Least wall time of a call on what was prepared for it anew each time; the preparation is not counted."""
    times = []
    for _ in range(runs):
        prepared = prepare()
        begin = time.perf_counter()
        work(prepared)
        times.append(time.perf_counter() - begin)
    return min(times)


def many(devices: int) -> str:
    """The small car with this many further interlocks in its loop."""
    from conftest import SMALL_CAR

    names = [f"link_{number}" for number in range(devices)]
    path = "".join(f"      - {name}\n" for name in names)
    described = "".join(
        f"  {name}:\n    function: interlock\n    worked_by: plug\n    place: {{where: box {name}}}\n"
        f"    contact: {{at_rest: open, when_healthy: closed, tripped: open, kind: volt-free}}\n" for name in names
    )  # fmt: skip
    return SMALL_CAR.replace("      - ts_master\n", path + "      - ts_master\n", 1).replace("devices:\n", "devices:\n" + described, 1)


def against_reading() -> list[tuple[str, float, float]]:
    """The calculations of the example car, and its rules, against the reading of its file.

    Calculations are those of the document, without plots. Rules ask for them; each is done once and kept, so that the rules are timed alone
    with the calculations done before.
    """
    from docgen.analysis import calculations
    from docgen.editions import edition
    from docgen.load import load_file
    from docgen.look import Look
    from docgen.rules import CATALOGUE

    description, book = load_file(CAR), edition("fsuk-2026")

    def computed() -> Look:
        look = Look(description, book)
        calculations(look)
        return look

    reading = in_process(lambda: load_file(CAR))
    computing = in_process(computed)
    judging = in_process_after(computed, lambda look: [tuple(rule.judge(look)) for rule in CATALOGUE])
    return [
        (f"all calculations {computing:.3f} s against reading {reading:.3f} s", computing / reading, 1),
        (f"all rules, calculations done, {judging:.3f} s against reading {reading:.3f} s", judging / reading, 1),
    ]


def main() -> int:
    from docgen.analysis import calculations
    from docgen.build import submission_of
    from docgen.check import check
    from docgen.editions import edition
    from docgen.load import load_file, load_text
    from docgen.look import Look
    from docgen.nodes import Table
    from docgen.schematic import schematic
    from docgen.writers.diagram import dot_source, draw
    from docgen.writers.page import write_page
    from docgen.writers.word import write_word

    book = edition("fsuk-2026")
    ratios: list[tuple[str, float, float]] = []
    with tempfile.TemporaryDirectory() as folder:
        scratch = Path(folder)
        python = sys.executable
        bare = seconds([python, "-c", BARE_CHECK, str(CAR)], 7)
        ours = seconds([python, "-m", "docgen", "check", str(CAR)], 7)
        ratios.append((f"check: {ours:.3f} s against a bare reading of {bare:.3f} s", ours / bare, 2))

        look = Look(load_file(CAR), book)
        for name, graph in look.networks.items():
            for number, sheet in enumerate(schematic(graph, look.car, book.term)):
                (scratch / f"{name}-{number}.dot").write_text(dot_source(sheet), encoding="utf-8")
        ours = seconds([python, "-m", "docgen", "build", str(CAR), "--to", str(scratch / "out")], 5)
        digested = [str(CAR), str(ROOT / "docgen" / "editions" / "fsuk-2026.json"), str(ROOT / "templates"), str(scratch / "out")]
        known = seconds([python, "-m", "docgen", "current", str(CAR), "--to", str(scratch / "out")], 15)
        bare = seconds([python, "-c", BARE_CURRENT, *digested], 15)
        ratios.append((f"current: {known:.3f} s against bare digests of {bare:.3f} s", known / bare, 2))

        older = str(CAR.with_name("car_as_first_written.yaml"))
        bare = seconds([python, "-c", BARE_COMPARE, older, str(CAR)], 7)
        ours = seconds([python, "-m", "docgen", "compare", older, str(CAR)], 7)
        ratios.append((f"compare: {ours:.3f} s against a bare reading of both of {bare:.3f} s", ours / bare, 2))

        cars = scratch / "cars"
        for number in range(200):
            (cars / f"car{number:03}").mkdir(parents=True)
            (cars / f"car{number:03}" / "car.yaml").write_text(CAR.read_text(encoding="utf-8").replace("E62", f"E{number}"), encoding="utf-8")
        one, two = (once([python, "-m", "docgen", "overview", str(cars), "--to", str(scratch / f"overview-{number}"), "--at-once", number]) for number in ("1", "2"))
        ratios.append((f"overview of 200: two at once {two:.1f} s against one {one:.1f} s", two / one, 1 / 1.7))

        document = submission_of(check(look.description, book)).document
        tables = [block for block in document.blocks if isinstance(block, Table)]
        rows = max(1, sum(len(table.rows) for table in tables) // len(tables))
        size = (scratch / "out" / "submission.html").stat().st_size
        arguments = [str(CAR), folder, folder, str(len(tables)), str(rows), str(len(document.blocks) - len(tables)), str(size)]
        bare = seconds([python, "-c", BARE_BUILD, *arguments], 5)
        ratios.append((f"build: {ours:.3f} s against bare writing of {bare:.3f} s", ours / bare, 2))

    ratios += against_reading()
    texts = {30: many(30), 300: many(300), 3000: many(3000)}
    described = {number: load_text(text) for number, text in texts.items()}
    drawn = {number: Look(description, book) for number, description in described.items()}
    documents = {number: submission_of(check(described[number], book)) for number in (30, 300)}
    style = documents[30].style
    stages: dict[str, Callable[[int], Any]] = {
        "reading": lambda number: load_text(texts[number]),
        "computing": lambda number: calculations(Look(described[number], book)),
        "checking": lambda number: check(described[number], book),
        "drawing": lambda number: [draw(sheet) for sheet in schematic(drawn[number].networks["drive"], drawn[number].car, book.term)],
        "writing the page": lambda number: write_page(documents[number].document, ""),
        "writing for Word": lambda number: write_word(documents[number].document, style),
    }
    for stage, work in stages.items():
        few, lot = (in_process(lambda number=number, work=work: work(number)) for number in (30, 300))
        ratios.append((f"{stage}: 300 devices {lot:.3f} s against 30 devices {few:.3f} s", lot / few, 12))
        if stage in ("reading", "computing", "checking"):
            most = in_process(lambda work=work: work(3000), 2)
            ratios.append((f"{stage}: 3000 devices {most:.3f} s against 30 devices {few:.3f} s", most / few, 120))
    for what, ratio, bound in ratios:
        print(f"{ratio:6.2f} (at most {bound:g})  {what}")
    return int(any(ratio > bound for _, ratio, bound in ratios))


if __name__ == "__main__":
    sys.exit(main())
