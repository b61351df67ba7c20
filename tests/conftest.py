"""What all tests share: the small sound car, merge patches, tools that the slow lanes need."""

import os
import shutil
from collections.abc import Iterator
from functools import cache
from pathlib import Path as FilePath
from typing import Any

import pytest
from hypothesis import settings

from docgen.load import Description, described
from docgen.provenance import Path
from docgen.reading import Tree, read_text

settings.register_profile("the same every time", derandomize=True)
if os.environ.get("CI") == "true":  # a landing does not hang on chance; elsewhere every run looks at other cases
    settings.load_profile("the same every time")

collect_ignore = ["mutation"]  # needs the extra `mutation`

TESTS = FilePath(__file__).parent
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


@cache
def _read(text: str) -> Any:
    return read_text(text, "car.yaml").data


def edited(patch: str, base: str = SMALL_CAR) -> Description:
    """The base car after a merge patch written as YAML; every field stands on a line of its own."""
    data = merged(_read(base), _read(patch))
    places = {path: (line, 0) for line, path in enumerate(_paths(data))}
    return described(Tree("car.yaml", "", data, {}, places, (), ()))


def _paths(data: Any, path: Path = ()) -> Iterator[Path]:
    yield path
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in items:
        yield from _paths(value, (*path, key))


def tool(name: str) -> str:
    """Path of a tool of the slow lanes; skips where it is absent, fails where CI says that it must be there."""
    found = shutil.which(name)
    if found is None:
        if os.environ.get("CI") == "true":
            pytest.fail(f"{name} is missing")
        pytest.skip(f"{name} is not installed")
    return found
