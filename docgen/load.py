"""A tree to a `Car`, or every reason why not, each at its line."""

import difflib
import hashlib
import json
from dataclasses import dataclass
from itertools import islice
from pathlib import Path as FilePath
from types import UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from docgen.car.car import FORMAT, Car
from docgen.folder import files_in
from docgen.provenance import Location, Path
from docgen.reading import MOST_PROBLEMS, Problem, Tree, Unreadable, leaves, read_file, read_text

M = TypeVar("M", bound=BaseModel)


@dataclass(frozen=True, slots=True)
class Description:
    """A car as described, with the place of every field."""

    car: Car
    tree: Tree
    files: frozenset[str] = frozenset()
    """The files of its folder, as ``evidence/imd.pdf``; empty where there is no folder or it was too large to look through."""

    def location(self, path: Path) -> Location:
        return self.tree.location(path)

    @property
    def digest(self) -> str:
        """SHA-256 of the description's content: comments, spacing and the order of keys do not count."""
        canonical = json.dumps(self.tree.data, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
        return hashlib.sha256(canonical.encode()).hexdigest()


def load_file(path: FilePath, shown_as: str | None = None) -> Description:
    """Read a description; raises Unreadable with every problem found."""
    return described(read_file(path, shown_as), files_in(path.parent))


def load_text(text: str, name: str = "car.yaml") -> Description:
    """Read a description from text; raises Unreadable with every problem found."""
    return described(read_text(text, name))


def described(tree: Tree, files: frozenset[str] = frozenset()) -> Description:
    """The car that a tree describes; raises Unreadable with every problem found."""
    return Description(read_part(tree, Car), tree, files)


def read_part(tree: Tree, model: type[M]) -> M:
    """Validate a tree as `model`; raises Unreadable with every problem found."""
    empty = (path for path, text in leaves(tree.data) if text is None)
    problems = [
        Problem(tree.location(path), f"nothing stands after {str(path[-1])[:60] if path else 'the beginning'}", "must be a value, `unknown`, or be taken out")
        for path in islice(empty, MOST_PROBLEMS + 1)
    ]
    problems += _newer_format(tree)
    data = _without_empty(tree.data)
    if isinstance(data, dict):
        try:
            part = model.model_validate(data)
        except ValidationError as error:
            problems += [_explained(found, tree, model) for found in error.errors(include_url=False, include_input=False)[: MOST_PROBLEMS + 1]]
        except RecursionError:
            problems.append(Problem(Location(tree.file, 1, 1), "lists and groups are nested too deep", "must be flatter"))
    elif not problems:
        problems.append(Problem(Location(tree.file, 1, 1), "the file holds no fields", "must begin with `docgen: 1` and go on with named fields"))
    if problems:
        raise Unreadable(problems, tree.text)
    return part


def _newer_format(tree: Tree) -> list[Problem]:
    stated = tree.data.get("docgen") if isinstance(tree.data, dict) else None
    if isinstance(stated, str) and stated.isascii() and stated.isdigit() and int(stated[:9]) > FORMAT:
        return [Problem(tree.location(("docgen",)), f"the format of this file is {stated[:9]}", f"must be at most {FORMAT}: install a newer docgen")]
    return []


def _without_empty(data: Any) -> Any:
    if isinstance(data, dict):
        return {key: _without_empty(value) for key, value in data.items() if value is not None}
    if isinstance(data, list):
        return [_without_empty(value) for value in data if value is not None]
    return data


def _explained(error: Any, tree: Tree, model: type[BaseModel]) -> Problem:
    path = _in_tree(error["loc"], tree.data)
    place = tree.location(path)
    kind, field = error["type"], next((str(part)[:60] for part in reversed(path) if isinstance(part, str)), "the file")
    if kind == "extra_forbidden":
        return Problem(place, f"the key {field} is not known here", _nearest(field, path[:-1], model))
    if kind in ("quantity", "spread", "text"):
        was, _, must = error["msg"].partition("; " if kind in ("quantity", "spread") else ", must be ")
        if error["loc"][-1] == "[key]":
            return Problem(place, f"the name {was}", f"must be {must}")
        return Problem(tree.value_location(path), f"{field}: {was}", must if kind in ("quantity", "spread") else f"must be {must}")
    if kind in ("model_type", "model_attributes_type", "dict_type", "dataclass_type"):
        names = known_names(model, path)
        return Problem(place, f"{field}: a single value or a list stands here", f"must be a group of fields{': ' + _first(names) if names else ' with names'}")
    if kind in ("tuple_type", "list_type"):
        return Problem(place, f"{field}: a single value or a group stands here", "must be a list, [first, second]")
    if kind in ("missing", "too_short"):
        return Problem(place, f"{error['loc'][-1]}: an item is missing", "must be given")
    if kind == "too_long":
        return Problem(place, f"{field}: too many items stand here", f"must be at most {error['ctx']['max_length']}")
    return Problem(place, f"{field}: {error['msg']}", "must be put right")


def _nearest(key: str, path: Path, model: type[BaseModel]) -> str:
    """What an unknown key was meant to be: one for a group below, one spelled nearly so, or any of the known ones."""
    known = known_names(model, path)
    homes = [name for name in known if key in known_names(model, (*path, name))]
    if homes:
        return f"must stand under {' or '.join(homes)}"
    near = difflib.get_close_matches(key, known, n=1, cutoff=0.5)
    return f"must be {near[0]}" if near else f"must be one of: {', '.join(known)}"


_MOST_NAMES = 8


def _first(names: list[str]) -> str:
    return ", ".join(names[:_MOST_NAMES]) + (f" and {len(names) - _MOST_NAMES} more" if len(names) > _MOST_NAMES else "")


def _in_tree(steps: tuple[Any, ...], data: Any) -> Path:
    """The error's path without the steps that only pydantic knows, such as the tag of a union."""
    path: list[str | int] = []
    for step in steps:
        if (isinstance(data, dict) and step in data) or (isinstance(data, list) and isinstance(step, int) and step < len(data)):
            data = data[step]
            path.append(step)
    return tuple(path)


def known_names(model: type[BaseModel], path: Path) -> list[str]:
    """The keys that may stand in the group at `path`; empty where names are free."""
    parts = parts_at(model, path)
    return [field.alias or name for part in parts for name, field in part.model_fields.items()]


def parts_at(annotation: Any, path: Path) -> list[type[BaseModel]]:
    """The models that may stand at `path` below `annotation`."""
    if get_origin(annotation) is Annotated:
        return parts_at(get_args(annotation)[0], path)
    if get_origin(annotation) in (Union, UnionType):
        return [part for member in get_args(annotation) for part in parts_at(member, path)]
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        if not path:
            return [annotation]
        fields = annotation.model_fields.items()
        inner = next((field.annotation for name, field in fields if path[0] == (field.alias or name)), None)
        return parts_at(inner, path[1:])
    if get_origin(annotation) is dict and path:
        return parts_at(get_args(annotation)[1], path[1:])
    if get_origin(annotation) is tuple and path:
        members = [member for member in get_args(annotation) if member is not Ellipsis]
        return [part for member in members for part in parts_at(member, path[1:])]
    return []
