"""What a build leaves beside its files, so that it can be seen later whether they are still what it would write."""

import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

from docgen.folder import content, files_in, on_screen
from docgen.inputs import Inputs, fingerprint

STAMP = "made.json"
_NAME = re.compile(r"(?!.*\.\.)[A-Za-z0-9][A-Za-z0-9._-]*(/[A-Za-z0-9][A-Za-z0-9._-]*)?")
_NO_DOCUMENT = re.compile(r"~\$|Thumbs\.db$|desktop\.ini$", re.IGNORECASE)
"""What office programs and Windows leave in a folder; hidden files are not looked at in any case."""


class Stamp(NamedTuple):
    """What was made of which inputs."""

    inputs: Inputs
    files: Mapping[str, str]
    """Name in the folder -> fingerprint."""
    pictures: Mapping[str, str]
    """Name without its ending -> fingerprint of the placed sheet and of what drew it."""

    def written(self) -> bytes:
        """The content of the file STAMP."""
        return (json.dumps(self._asdict() | {"inputs": self.inputs._asdict()}, ensure_ascii=False, indent=1, sort_keys=True) + "\n").encode()


class Differences(NamedTuple):
    """How a folder differs from what a build would write."""

    causes: tuple[str, ...] = ()
    """The inputs that are not what they were, each in words."""
    edited: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    foreign: tuple[str, ...] = ()
    """Files that no build wrote."""

    @property
    def needs_a_build(self) -> bool:
        return bool(self.causes or self.edited or self.missing)


def stamp_in(folder: Path) -> Stamp | None:
    """The stamp of a folder, or None where there is none that docgen wrote. It may come from anyone."""
    try:
        said = json.loads(content(folder / STAMP))
        stamp = Stamp(Inputs(**said["inputs"]), said["files"], said["pictures"])
    except (OSError, ValueError, TypeError, KeyError, RecursionError):
        return None
    return stamp if len(said) == len(Stamp._fields) and _is_sound(stamp) else None


def _is_sound(stamp: Stamp) -> bool:
    inputs = stamp.inputs
    texts = [value for name, value in inputs._asdict().items() if name not in ("with_comments", "named_files")]
    return (
        _is_mapping(inputs.named_files, bool)
        and all(isinstance(text, str) and text.isprintable() for text in texts)
        and bool(re.fullmatch(r"[a-z0-9-]*", inputs.edition_shipped))
        and isinstance(inputs.with_comments, bool)
        and _is_mapping(stamp.files, str)
        and _is_mapping(stamp.pictures, str)
        and all(_NAME.fullmatch(name) for name in stamp.files)
    )


def _is_mapping(value: Any, of: type) -> bool:
    return isinstance(value, dict) and all(isinstance(one, of) for one in value.values())


def differences(folder: Path, stamp: Stamp, now: Inputs) -> Differences:
    """What in the folder is not as a build from the present inputs would leave it; no file outside the folder is read."""
    there = files_in(folder)
    missing = tuple(name for name in stamp.files if name not in there)
    edited = tuple(name for name in stamp.files if name in there and not is_as_written(folder, name, stamp))
    foreign = tuple(sorted(name for name in there - set(stamp.files) - {STAMP} if not _NO_DOCUMENT.match(name.rpartition("/")[2])))
    return Differences(tuple(_causes(stamp.inputs, now)), edited, missing, foreign)


def is_as_written(folder: Path, name: str, stamp: Stamp) -> bool:
    """Whether a file in the folder is byte for byte what the build wrote, line ends apart."""
    try:
        return fingerprint(content(folder / name)) == stamp.files.get(name)
    except OSError:
        return False


def _causes(then: Inputs, now: Inputs) -> list[str]:
    asked = (f"--edition {one.edition_asked}" if one.edition_asked else "no --edition" for one in (then, now))
    comments = ("with" if one.with_comments else "without" for one in (then, now))
    gone = [name for name, there in then.named_files.items() if there and not now.named_files.get(name)]
    come = [name for name, there in then.named_files.items() if not there and now.named_files.get(name)]
    said = {
        f"docgen {then.version} wrote them, this is {now.version}": then.version != now.version,
        f"another state of docgen {now.version} wrote them": then.version == now.version and then.program != now.program,
        "the description was changed": then.description != now.description,
        f"no longer in the folder of the description: {', '.join(map(on_screen, gone))}": bool(gone),
        f"now in the folder of the description: {', '.join(map(on_screen, come))}": bool(come),
        "they were written for {}, asked for is {}".format(*asked): then.edition_asked != now.edition_asked,
        "the edition was changed": then.edition_asked == now.edition_asked and (then.edition_file, then.edition_data) != (now.edition_file, now.edition_data),
        "the templates were changed": then.templates != now.templates,
        "the questions were changed": then.questions != now.questions,
        "they were written {} --with-comments, asked for is {} it".format(*comments): then.with_comments != now.with_comments,
    }
    return [words for words, differs in said.items() if differs]
