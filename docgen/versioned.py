"""A description as it was in a revision of a git repository."""

import os
import shutil
import subprocess
from pathlib import Path

from docgen.load import Description, described
from docgen.reading import LARGEST_FILE, decoded, read_text
from docgen.stop import Stop

_HARMLESS = ("-c", "core.fsmonitor=false", "-c", f"core.hooksPath={os.devnull}", "-c", "protocol.allow=never")
"""A repository may come from a stranger: none of its settings may start a program or reach the network."""
_LONGEST = 30
"""Seconds."""


def described_at(path: Path, revision: str) -> Description:
    """The description in the file `path` as it was in a git revision, such as ``HEAD~1`` or a tag.

    Only the object is read; nothing is checked out and no program of the repository runs. Raises Stop where there is no git, no such
    revision or no such file in it, and Unreadable as for any description.
    """
    folder = path.absolute().parent
    commit = _git(folder, revision, "rev-parse", "--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}").decode().strip()
    name = f"{commit}:./{path.name}"
    size = _git(folder, revision, "cat-file", "-s", name)
    if int(size) > LARGEST_FILE:
        raise Stop(f"{path.name} at {revision} has {int(size)} bytes; must have at most {LARGEST_FILE}")
    shown_as = f"{path.name}@{revision}"
    return described(read_text(decoded(_git(folder, revision, "cat-file", "blob", name), shown_as), shown_as))


def _git(folder: Path, revision: str, *command: str) -> bytes:
    program = shutil.which("git")
    if program is None or Path(program).parent in (folder, Path.cwd()):  # Windows looks in the present folder too
        raise Stop("git is not installed; name two files instead of a revision")
    environment = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")} | {"GIT_NO_LAZY_FETCH": "1", "GIT_OPTIONAL_LOCKS": "0"}
    try:
        run = subprocess.run([program, *_HARMLESS, "-C", str(folder), *command], env=environment, capture_output=True, timeout=_LONGEST, check=False)
    except (OSError, subprocess.TimeoutExpired) as error:
        raise Stop(f"git does not answer: {error}") from error
    if run.returncode:
        reason = " ".join(run.stderr.decode("utf-8", "replace").split()).removeprefix("fatal: ")[:200]
        raise Stop(f"{revision}: {reason or 'no such revision'}; must be a git revision that holds the file")
    return run.stdout
