"""Rows as a CSV file that every spreadsheet opens and none takes for formulas."""

import csv
import io
import re
from collections.abc import Iterable, Sequence


def as_csv(rows: Iterable[Sequence[str]]) -> bytes:
    """Rows, the first of them the head, as CSV in UTF-8 with a byte order mark and line ends as spreadsheets want them."""
    stream = io.StringIO()
    csv.writer(stream, lineterminator="\r\n").writerows([harmless(cell.replace("\n", " ")) for cell in row] for row in rows)
    return b"\xef\xbb\xbf" + stream.getvalue().encode()


def harmless(text: str) -> str:
    """A cell that no spreadsheet takes for a formula, nor a part of it where it splits cells at semicolons."""
    return re.sub(r"(^|[;\t])(?=[=+\-@\t＝＋－＠])", r"\1'", text)
