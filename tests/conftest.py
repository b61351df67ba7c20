"""What all tests share: the small sound car, merge patches, tools that the slow lanes need."""

import json
import os
import shutil
from pathlib import Path
from typing import Any

import pytest

from docgen.load import Description, load_text
from docgen.reading import read_text

TESTS = Path(__file__).parent
SMALL_CAR = (TESTS / "cars" / "small_car.yaml").read_text(encoding="utf-8")


def merged(target: Any, patch: Any) -> Any:
    """JSON merge patch (RFC 7396)."""
    if not isinstance(patch, dict):
        return patch
    result = dict(target) if isinstance(target, dict) else {}
    for key, value in patch.items():
        if value is None:
            result.pop(key, None)
        else:
            result[key] = merged(result.get(key), value)
    return result


def edited(patch: str, base: str = SMALL_CAR) -> Description:
    """The base car after a merge patch written as YAML."""
    data = merged(read_text(base, "base.yaml").data, read_text(patch, "patch.yaml").data)
    return load_text(json.dumps(data, ensure_ascii=False, indent=1), "car.yaml")


def tool(name: str) -> str:
    """Path of a tool of the slow lanes; skips where it is absent, fails where CI says that it must be there."""
    found = shutil.which(name)
    if found is None:
        if os.environ.get("CI") == "true":
            pytest.fail(f"{name} is missing")
        pytest.skip(f"{name} is not installed")
    return found
