"""The sheet as Word and as a page, and the page in a browser: filled in, saved, read back."""

import base64
import hashlib
import io
import json
import os
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest
from conftest import SMALL_CAR, tool
from docx import Document as word_file
from lxml import html
from test_inspection import of

from docgen.cli import main
from docgen.inspection_record import Standing, compared, read_record
from docgen.inspection_sheet import sheets
from docgen.load import load_text
from docgen.reading import read_text

SHEET = of(load_text(SMALL_CAR))
MADE = sheets(SHEET)
PAGE = MADE["inspection.html"].decode()
HOSTILE = "</script><script>alert(1)</script><img src=x onerror=alert(1)> \"' &amp;"


def hostile_car() -> str:
    quoted = json.dumps(HOSTILE)
    return (
        SMALL_CAR.replace("name: Dunlin 1", f"name: {quoted}")
        .replace("act: key switch", f"act: {quoted}")
        .replace("prepared_by: electrical lead", f"prepared_by: {quoted}")
    )


def test_the_command_writes_the_sheet_and_its_empty_records(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    car = tmp_path / "car.yaml"
    car.write_text(SMALL_CAR, encoding="utf-8")
    assert main(["inspect", str(car), "--to", str(tmp_path / "sheet")]) == 0
    assert sorted(path.name for path in (tmp_path / "sheet").iterdir()) == [
        "inspection-record.csv",
        "inspection-record.yaml",
        "inspection.docx",
        "inspection.html",
    ]
    assert "docgen approves nothing" in capsys.readouterr().out
    assert (tmp_path / "sheet" / "inspection.html").read_bytes() == MADE["inspection.html"]


def test_the_same_description_gives_the_same_bytes() -> None:
    assert sheets(of(load_text(SMALL_CAR))) == MADE


def test_the_word_file_holds_every_test_with_room_to_write() -> None:
    word = word_file(io.BytesIO(MADE["inspection.docx"]))
    text = "\n".join(paragraph.text for paragraph in word.element.body.xpath(".//w:p"))
    for test in SHEET.tests:
        assert test.slug in text and test.digest in text
        assert not test.figure or test.figure.expected in text
    assert text.count("remark ___") == len(SHEET.tests)
    assert "docgen approves nothing" in text and "Contact with it kills" in text


def test_the_word_file_carries_the_description() -> None:
    with ZipFile(io.BytesIO(MADE["inspection.docx"])) as package:
        assert any(SHEET.report.description.digest.encode() in package.read(name) for name in package.namelist())


def test_only_our_script_may_run() -> None:
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]*)"', PAGE)
    assert policy is not None
    allowed = re.findall(r"script-src ([^;]*)", policy[1])
    scripts = html.fromstring(PAGE).xpath("//script")
    running = [script for script in scripts if script.get("type") != "application/json"]
    assert [script.get("type") for script in scripts if script not in running] == ["application/json"]
    (script,) = running
    digest = base64.b64encode(hashlib.sha256(script.text.encode()).digest()).decode()
    assert allowed == [f"'sha256-{digest}'"]
    assert "default-src 'none'" in policy[1] and "unsafe-inline" not in allowed[0]


def test_the_page_needs_nothing_from_outside() -> None:
    page = html.fromstring(PAGE)
    assert not page.xpath("//@src | //link | //iframe | //form")
    assert all(link.startswith("#") for link in page.xpath("//@href"))
    assert "url(" not in PAGE and "@import" not in PAGE


def test_text_of_a_stranger_is_no_markup() -> None:
    page = sheets(of(load_text(hostile_car())))["inspection.html"].decode()
    parsed = html.fromstring(page)
    assert len(parsed.xpath("//script")) == 2 and not parsed.xpath("//img")
    assert HOSTILE in parsed.xpath("//title")[0].text
    assert HOSTILE in json.loads(parsed.xpath("//script[@type='application/json']")[0].text)["head"]["car"]


def test_the_empty_record_is_yaml_that_holds_every_text_as_it_is() -> None:
    made = of(load_text(hostile_car()))
    tree = read_text(sheets(made)["inspection-record.yaml"].decode(), "inspection-record.yaml")
    assert tree.data["car"] == HOSTILE
    assert list(tree.data["tests"]) == [test.slug for test in made.tests]
    for test in made.tests:
        assert tree.data["tests"][test.slug]["rests_on"] == test.rests_on


def test_every_test_has_its_fields_on_the_page() -> None:
    cards = {card.get("data-test"): card for card in html.fromstring(PAGE).xpath("//article[@data-test]")}
    assert list(cards) == [test.slug for test in SHEET.tests]
    for test in SHEET.tests:
        fields = {field.get("data-field") for field in cards[test.slug].xpath(".//*[@data-field]")}
        assert fields == {"measured", "date", "time", "role", "remark"} | ({"seen"} if test.sights else set())


_ON_PIPES = """
import fcntl, os, sys
for number, given in enumerate([fcntl.fcntl(int(text), fcntl.F_DUPFD, 10) for text in sys.argv[1:3]], 3):
    os.dup2(given, number)
os.execv(sys.argv[3], sys.argv[3:])
"""
"""Gives a program two open files as its numbers 3 and 4, where Chromium reads and writes."""


class Browser:
    """Chromium spoken to over two pipes, as its developer tools do."""

    def __init__(self, chromium: str, profile: Path, width: int = 1024, height: int = 768) -> None:
        ours_read, theirs_write = os.pipe()
        theirs_read, ours_write = os.pipe()
        switches = (
            "--headless --no-sandbox --disable-gpu --no-first-run --disable-background-networking --disable-component-update --disable-sync "
            f"--remote-debugging-pipe --user-data-dir={profile} --window-size={width},{height} about:blank"
        )
        command = [sys.executable, "-c", _ON_PIPES, str(theirs_read), str(theirs_write), chromium, *switches.split()]
        self.process = subprocess.Popen(command, pass_fds=(theirs_read, theirs_write), stderr=subprocess.DEVNULL)
        os.close(theirs_read)
        os.close(theirs_write)
        self.hears, self.says = os.fdopen(ours_read, "rb"), os.fdopen(ours_write, "wb")
        self.number, self.session, self.heard = 0, "", b""
        target = self.ask("Target.createTarget", url="about:blank")["targetId"]
        self.session = self.ask("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        self.ask("Page.enable")

    def ask(self, method: str, **params: Any) -> Any:
        self.number += 1
        message = {"id": self.number, "method": method, "params": params} | ({"sessionId": self.session} if self.session else {})
        self.says.write(json.dumps(message).encode() + b"\0")
        self.says.flush()
        while (answer := self.hear()).get("id") != self.number:
            pass
        assert "error" not in answer, answer
        return answer["result"]

    def hear(self) -> Any:
        while b"\0" not in self.heard:
            more = self.hears.read1(65536)
            assert more, "the browser has gone"
            self.heard += more
        message, _, self.heard = self.heard.partition(b"\0")
        return json.loads(message)

    def open(self, path: Path) -> None:
        self.ask("Page.navigate", url=path.as_uri())
        while self.hear().get("method") != "Page.loadEventFired":
            pass

    def run(self, script: str) -> Any:
        answer = self.ask("Runtime.evaluate", expression=script, awaitPromise=True, returnByValue=True, userGesture=True)
        assert "exceptionDetails" not in answer, answer
        return answer["result"].get("value")

    def fill(self, slug: str, **values: str) -> None:
        """Write into the fields of a test as a person does."""
        for field, value in values.items():
            self.run(f"""(() => {{
                const card = document.querySelector('[data-test="{slug}"]');
                const all = [...card.querySelectorAll('[data-field="{field}"]')];
                const value = {json.dumps(value)};
                if (all[0].type === "radio") return all.find((one) => one.value === value).click();
                all[0].value = value;
                all[0].dispatchEvent(new Event("input", {{ bubbles: true }}));
            }})()""")

    def value(self, slug: str, field: str) -> str:
        return str(self.run(f"""document.querySelector('[data-test="{slug}"] [data-field="{field}"]').value"""))

    def state(self) -> str:
        return str(self.run("document.getElementById('state').textContent"))

    def load(self, path: Path) -> None:
        """Choose a file to load, and wait until the page has told of it."""
        root = self.ask("DOM.getDocument")["root"]["nodeId"]
        node = self.ask("DOM.querySelector", nodeId=root, selector="#load")["nodeId"]
        self.ask("DOM.setFileInputFiles", nodeId=node, files=[str(path)])
        self.run(f"""new Promise((told) => {{
            const look = () => document.getElementById("state").textContent.includes({json.dumps(path.name)}) ? told(true) : setTimeout(look, 20);
            look();
        }})""")

    def close(self) -> None:
        self.says.close()
        self.process.terminate()
        self.process.wait(20)
        self.hears.close()


@pytest.fixture(scope="session")
def chromium() -> str:
    return tool("chromium")


@pytest.fixture
def browser(chromium: str, tmp_path: Path) -> Iterator[Browser]:
    opened = Browser(chromium, tmp_path / "profile")
    opened.ask("Browser.setDownloadBehavior", behavior="allow", downloadPath=str(tmp_path / "downloads"))
    try:
        yield opened
    finally:
        opened.close()


def written(folder: Path, name: str) -> Path:
    for _ in range(500):
        if (folder / name).exists():
            return folder / name
        time.sleep(0.02)
    raise AssertionError(f"{name} was not saved")


AWKWARD = 'a "quote", a colon: here, #no comment, back\\slash, =1+1, {brace}, ünï ☐ 🚗\nsecond line \u2028 \u202e end'


@pytest.mark.chromium
def test_a_record_filled_in_a_browser_is_saved_and_read_back(browser: Browser, tmp_path: Path) -> None:
    page = tmp_path / "inspection.html"
    page.write_bytes(MADE["inspection.html"])
    browser.open(page)
    assert browser.state() == f"0 of {len(SHEET.tests)} done, 0 otherwise; kept in this browser"
    browser.run("document.getElementById('who').value = 'electrical safety officer'")
    browser.fill("button_left/press", seen="as expected", measured="2.9 s", remark=AWKWARD)
    browser.fill("bspd/self-reset", seen="as expected", measured="13 s", date="2026-05-30", time="14:05", role="electrical lead")
    browser.fill("imd/latch", seen="otherwise", remark="=HYPERLINK(1)")
    assert browser.state().startswith(f"3 of {len(SHEET.tests)} done, 1 otherwise; not saved to a file")
    for kind in ("yaml", "csv"):
        browser.run(f"document.getElementById('save-{kind}').click()")
        path = written(tmp_path / "downloads", f"record.{kind}")
        record, tree = read_record(path)
        lines = {line.slug: line for line in compared(record, tree, SHEET).lines}
        assert compared(record, tree, SHEET).head == ()
        assert lines["button_left/press"].standing is Standing.WITHIN and lines["button_left/press"].doubts == ()
        assert lines["bspd/self-reset"].standing is Standing.OUTSIDE
        assert lines["imd/latch"].standing is Standing.OTHERWISE
        entry = record.tests["button_left/press"]
        kept = AWKWARD.replace("\u2028", " ").replace("\u202e", " ")
        assert entry.remark == (kept if kind == "yaml" else kept.replace("\n", " "))
        assert entry.role == "electrical safety officer"
        assert record.tests["imd/latch"].remark == "=HYPERLINK(1)"
        assert record.tests["bspd/self-reset"].time == "14:05"
    assert "'=HYPERLINK(1)" in path.read_text(encoding="utf-8-sig")


@pytest.mark.chromium
def test_what_was_written_stays_after_the_page_was_closed_and_can_be_loaded_elsewhere(browser: Browser, tmp_path: Path) -> None:
    page = tmp_path / "inspection.html"
    page.write_bytes(MADE["inspection.html"])
    browser.open(page)
    browser.fill("button_left/press", seen="as expected", measured="2.9 s", remark=AWKWARD)
    for kind in ("yaml", "csv"):
        browser.run(f"document.getElementById('save-{kind}').click()")
        written(tmp_path / "downloads", f"record.{kind}")
    browser.open(page)
    assert browser.value("button_left/press", "measured") == "2.9 s"
    assert browser.state().startswith("1 of ")
    for kind in ("yaml", "csv"):
        browser.run("localStorage.clear()")
        browser.open(page)
        assert browser.state().startswith("0 of ")
        browser.load(tmp_path / "downloads" / f"record.{kind}")
        assert browser.state().startswith(f"Loaded 1 from record.{kind}. 1 of ")
        assert browser.value("button_left/press", "measured") == "2.9 s"
        assert browser.value("button_left/press", "remark").startswith('a "quote", a colon: here, #no comment, back\\slash, =1+1, {brace}, ünï ☐ 🚗')


@pytest.mark.chromium
def test_what_was_recorded_of_another_state_is_not_taken_over(browser: Browser, tmp_path: Path) -> None:
    later = sheets(of(load_text(SMALL_CAR.replace("resistor: 3.3 kΩ ± 5 %", "resistor: 3.0 kΩ ± 5 %"))))
    page, record = tmp_path / "inspection.html", tmp_path / "record.yaml"
    page.write_bytes(later["inspection.html"])
    lines = MADE["inspection-record.yaml"].decode().split("\n")
    at = lines.index('  "button_left/press":')
    lines[at + 4] += " 2.9 s"
    lines[lines.index('  "button_left/latch":') + 3] += " as expected  # by hand"
    record.write_text("\n".join(lines), encoding="utf-8")
    browser.open(page)
    browser.load(record)
    assert browser.state().startswith("Loaded 1 from record.yaml, 1 to be repeated. 1 of ")
    assert browser.value("button_left/press", "measured") == ""
    assert (
        browser.run("""document.querySelector('[data-test="button_left/press"] .hint').textContent""")
        == "recorded for another state of the description: repeat"
    )


@pytest.mark.chromium
def test_a_decimal_comma_and_a_missing_unit_are_told_at_once(browser: Browser, tmp_path: Path) -> None:
    page = tmp_path / "inspection.html"
    page.write_bytes(MADE["inspection.html"])
    browser.open(page)
    for text, hint in {"2,9 s": "write a decimal point, 3.1 and not 3,1", "2.9": "write the unit, as in 3.1 s", "2.9 s": ""}.items():
        browser.fill("button_left/press", measured=text)
        assert browser.run("""document.querySelector('[data-test="button_left/press"] .hint').textContent""") == hint


@pytest.mark.chromium
@pytest.mark.parametrize("width", [1024, 390])
def test_the_page_fits_a_tablet_and_a_phone_and_a_finger(chromium: str, tmp_path: Path, width: int) -> None:
    page = tmp_path / "inspection.html"
    page.write_bytes(sheets(of(load_text(hostile_car())))["inspection.html"])
    opened = Browser(chromium, tmp_path / "profile", width)
    try:
        opened.ask("Emulation.setDeviceMetricsOverride", width=width, height=768, deviceScaleFactor=1, mobile=True)
        opened.open(page)
        assert opened.run("document.documentElement.scrollWidth") <= width
        small = "[...document.querySelectorAll('button, .button, .choice span, .record input:not([type=radio]), textarea')].filter((one) => one.getBoundingClientRect().height < 44).length"
        assert opened.run(small) == 0
        assert opened.run("document.querySelectorAll('script').length") == 2
    finally:
        opened.close()
