"""Imports run one way, and a machine sees it when they do not."""

import shutil
import subprocess
import sys
from pathlib import Path

from conftest import TESTS

ROOT = TESTS.parent


def _lint(root: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", "import sys; sys.path.insert(0, ''); from importlinter.cli import lint_imports_command; lint_imports_command()", "--no-cache"]
    return subprocess.run(command, cwd=root, capture_output=True, text=True, encoding="utf-8", check=False)


def test_imports_run_one_way() -> None:
    run = _lint(ROOT)
    assert run.returncode == 0, run.stdout + run.stderr


def test_an_import_against_the_layers_is_caught(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "docgen", tmp_path / "docgen", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    with (tmp_path / "docgen" / "network.py").open("a", encoding="utf-8") as stream:
        stream.write("\nimport docgen.build\n")
    run = _lint(tmp_path)
    assert run.returncode != 0
    assert "docgen.network -> docgen.build" in run.stdout
