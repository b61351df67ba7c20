"""How many small faults in the rules the tests notice: ``python tests/mutation/run.py [number of mutants] [salt]``. Takes about an hour.

A mutant is the project with one change in one line, made by cosmic-ray in a copy: a condition negated, an `and` turned to `or`, a bound
moved, a loop left out. Annotations, decorators, patterns and the texts of messages are left alone. The sample is drawn by digests of the
changed lines, so that it is the same in every run and a changed line moves no other; another salt draws another sample. Mutants that no
test can notice, because they do the same, stand with their reason in equivalent.csv and do not count.
"""

import ast
import csv
import os
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

import parso
from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator

ROOT = Path(__file__).parents[2]
MUTATED = ("docgen/rules/*.py", "docgen/look.py", "docgen/network.py", "docgen/terminals.py")
TESTS = ("tests/rules/test_marked.py", "tests/rules/test_examples.py", "tests/rules", "tests/test_network.py", "tests/test_terminals.py")
"""Those that notice most stand first."""
LONGEST = 600
"""Seconds after which the tests are taken to run in a circle."""

BUILT_IN = (
    "ReplaceAndWithOr", "ReplaceOrWithAnd", "ReplaceTrueWithFalse", "ReplaceFalseWithTrue", "ReplaceUnaryOperator_Delete_Not",
    "ReplaceUnaryOperator_Delete_USub", "ReplaceBreakWithContinue", "ReplaceContinueWithBreak", "ZeroIterationForLoop", "NumberReplacer",
    "ReplaceComparisonOperator_Eq_NotEq", "ReplaceComparisonOperator_NotEq_Eq", "ReplaceComparisonOperator_Is_IsNot",
    "ReplaceComparisonOperator_IsNot_Is", "ReplaceComparisonOperator_Lt_LtE", "ReplaceComparisonOperator_Lt_GtE",
    "ReplaceComparisonOperator_LtE_Lt", "ReplaceComparisonOperator_LtE_Gt", "ReplaceComparisonOperator_Gt_GtE",
    "ReplaceComparisonOperator_Gt_LtE", "ReplaceComparisonOperator_GtE_Gt", "ReplaceComparisonOperator_GtE_Lt",
    "ReplaceBinaryOperator_BitOr_BitAnd", "ReplaceBinaryOperator_BitAnd_BitOr", "ReplaceBinaryOperator_Add_Sub",
    "ReplaceBinaryOperator_Sub_Add", "ReplaceBinaryOperator_Mul_Div", "ReplaceBinaryOperator_Div_Mul",
)  # fmt: skip

Position = tuple[int, int]


class ReplaceInWithNotIn:
    """``in`` becomes ``not in`` and the reverse."""

    def mutation_positions(self, node: parso.tree.NodeOrLeaf) -> Iterator[tuple[Position, Position]]:
        if node.type == "comparison":
            for word in node.children[1::2]:
                if word.get_code().split() in (["in"], ["not", "in"]):
                    yield word.start_pos, word.end_pos

    def mutate(self, node: parso.tree.NodeOrLeaf, index: int) -> parso.tree.NodeOrLeaf:
        place = [at for at in range(1, len(node.children), 2) if node.children[at].get_code().split() in (["in"], ["not", "in"])][index]
        node.children[place] = parso.parse(" not in" if node.children[place].get_code().split() == ["in"] else " in")
        return node


class NegateCondition:
    """The condition of a statement, an expression or a comprehension is negated as a whole."""

    def mutation_positions(self, node: parso.tree.NodeOrLeaf) -> Iterator[tuple[Position, Position]]:
        for place in self._places(node):
            yield node.children[place].start_pos, node.children[place].end_pos

    def mutate(self, node: parso.tree.NodeOrLeaf, index: int) -> parso.tree.NodeOrLeaf:
        place = self._places(node)[index]
        node.children[place] = parso.parse(f" (not ({node.children[place].get_code().strip()}))")
        return node

    def _places(self, node: parso.tree.NodeOrLeaf) -> list[int]:
        if node.type not in ("if_stmt", "while_stmt", "test", "comp_if"):
            return []
        return [at + 1 for at, child in enumerate(node.children) if child.type == "keyword" and child.value in ("if", "elif", "while")]


OPERATORS = {name: get_operator(f"core/{name}")() for name in BUILT_IN} | {
    operator.__name__: operator() for operator in (ReplaceInWithNotIn, NegateCondition)
}


@dataclass(frozen=True, slots=True)
class Mutant:
    path: str
    line: int
    operator: str
    occurrence: int
    digest: str
    """What decides whether it is in the sample."""

    def code(self, source: str) -> str:
        mutated = mutate_code(source, OPERATORS[self.operator], self.occurrence)
        assert isinstance(mutated, str)
        return mutated


def left_alone(source: str) -> list[tuple[Position, Position]]:
    """Where annotations, decorators and formatted texts stand."""
    nodes: list[ast.AST | None] = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.arg | ast.AnnAssign):
            nodes.append(node.annotation)
        elif isinstance(node, ast.FunctionDef | ast.ClassDef):
            nodes += [*node.decorator_list, getattr(node, "returns", None)]
        elif isinstance(node, ast.JoinedStr | ast.pattern):
            nodes.append(node)
    lines = source.split("\n")

    def column(line: int, octets: int) -> int:
        return len(lines[line - 1].encode()[:octets].decode())

    return [
        ((node.lineno, column(node.lineno, node.col_offset)), (node.end_lineno, column(node.end_lineno, node.end_col_offset)))  # type: ignore[attr-defined]
        for node in nodes
        if node is not None
    ]


def mutants(path: str, salt: str) -> Iterator[Mutant]:
    source = (ROOT / path).read_text(encoding="utf-8")
    lines = source.split("\n")
    alone = left_alone(source)
    nodes = list(ast_nodes(get_ast(source)))
    for name, operator in OPERATORS.items():
        alike: Counter[tuple[str, int]] = Counter()
        for occurrence, (start, end) in enumerate(position for node in nodes for position in operator.mutation_positions(node)):
            if any(first <= start and end <= last for first, last in alone):
                continue
            line = lines[start[0] - 1]
            alike[line, start[1]] += 1
            digest = sha256(f"{salt}|{path}|{name}|{line}|{start[1]}|{alike[line, start[1]]}".encode()).hexdigest()
            yield Mutant(path, start[0], name, occurrence, digest)


def noticed(folder: Path, keep_bytecode: bool = False) -> bool:
    """Whether a test fails in this copy of the project."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", "--hypothesis-seed=0", *TESTS]
    environment = os.environ | {"PYTHONPATH": str(folder)} | ({} if keep_bytecode else {"PYTHONDONTWRITEBYTECODE": "1"})
    try:
        return subprocess.run(command, cwd=folder, env=environment, capture_output=True, timeout=LONGEST).returncode != 0
    except subprocess.TimeoutExpired:
        return True


def equivalent() -> set[tuple[str, str, str]]:
    """Path, operator and changed line of the mutants that do the same as the original."""
    with (Path(__file__).parent / "equivalent.csv").open(encoding="utf-8", newline="") as file:
        return {(row["path"], row["operator"], row["line"]) for row in csv.DictReader(file)}


def main(number: int = 400, salt: str = "") -> None:
    paths = sorted(path.relative_to(ROOT).as_posix() for pattern in MUTATED for path in ROOT.glob(pattern))
    every = [mutant for path in paths for mutant in mutants(path, salt)]
    sample = sorted(sorted(every, key=lambda mutant: mutant.digest)[:number], key=lambda mutant: (mutant.path, mutant.line, mutant.digest))
    print(f"{len(sample)} of {len(every)} mutants")
    same, counted = equivalent(), Counter[str]()
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary) / "project"
        shutil.copytree(ROOT, folder, ignore=shutil.ignore_patterns(".*", "__pycache__"))
        if noticed(folder, keep_bytecode=True):
            sys.exit("the tests fail without a mutant")
        for mutant in sample:
            file = folder / mutant.path
            source = file.read_text(encoding="utf-8")
            code = mutant.code(source)
            line = code.split("\n")[mutant.line - 1].strip()
            if (mutant.path, mutant.operator, line) in same:
                counted["equivalent"] += 1
                continue
            file.write_text(code, encoding="utf-8", newline="\n")
            if noticed(folder):
                counted["noticed"] += 1
            else:
                print(f"{mutant.path}:{mutant.line}: {mutant.operator}: {line}", flush=True)
            file.write_text(source, encoding="utf-8", newline="\n")
    others = len(sample) - counted["equivalent"]
    print(f"noticed: {counted['noticed']} of {others} ({counted['noticed'] / others:.1%}); equivalent: {counted['equivalent']}")


if __name__ == "__main__":
    main(*(int(argument) if argument.isdigit() else argument for argument in sys.argv[1:3]))
