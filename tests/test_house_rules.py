"""The house rules of DEVELOPERS.md that a machine can check."""

import ast
import re
import subprocess
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from scribegauge.errors import ScribegaugeError
from scribetarget.errors import TargetError

TOP = Path(__file__).parents[1]
TOP_ENTRIES = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "inspect",
    "calib",
    "tests",
    "fixtures",
}
VAGUE_NAMES = {"utils", "util", "helpers", "helper", "common", "core", "misc", "tools", "base"}
FILE_LINES, FUNCTION_LINES = 300, 40
TEXT_SUFFIXES = {".py", ".md", ".toml", ".json", ".css", ".html", ".svg", ".txt", ".sh", ""}

# Written in pieces, or this file would find itself.
MACHINE_PATHS = ["/" + name + "/" for name in ("work", "tmp", "farm", "root", "home")]
WORKPLACE = [
    "sub" + "agent",
    "sub-" + "agent",
    "helper " + "session",
    "trans" + "cript",
    "brief" + ".md",
]
UNDONE = ["TO" + "DO", "FIX" + "ME", "X" + "XX", "NotImplemented" + "Error"]


@cache
def tracked() -> tuple[Path, ...]:
    """Every file that belongs to the project, committed or about to be."""
    command = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
    try:
        listing = subprocess.run(command, cwd=TOP, capture_output=True, check=True, text=True)
        names = listing.stdout.split("\0")
    except (OSError, subprocess.CalledProcessError):  # an unpacked source archive
        names = [str(p.relative_to(TOP)) for top in TOP_ENTRIES for p in (TOP / top).rglob("*")]
    paths = (TOP / name for name in names if name and "__pycache__" not in name)
    return tuple(path for path in paths if path.is_file())


@cache
def python_files(*folders: str) -> tuple[Path, ...]:
    roots = [TOP / folder for folder in folders]
    return tuple(
        path
        for path in tracked()
        if path.suffix == ".py" and any(path.is_relative_to(root) for root in roots)
    )


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def nodes(*folders: str) -> Iterator[tuple[Path, ast.AST]]:
    for path in python_files(*folders):
        for node in ast.walk(tree_of(path)):
            yield path, node


def where(path: Path, node: ast.AST) -> str:
    return f"{path.relative_to(TOP)}:{getattr(node, 'lineno', 1)}"


def subclasses(family: type[Exception]) -> set[str]:
    return {family.__name__}.union(*(subclasses(child) for child in family.__subclasses__()))


def test_there_is_something_to_check() -> None:
    assert len(python_files("inspect", "calib")) > 20
    assert len(python_files("tests")) > 5


def test_only_the_agreed_entries_at_the_top() -> None:
    found = {path.relative_to(TOP).parts[0] for path in tracked()}
    assert {name for name in found if not name.startswith(".")} <= TOP_ENTRIES


def test_nothing_hides_the_inspect_of_the_standard_library() -> None:
    assert not (TOP / "inspect" / "__init__.py").exists()
    assert not (TOP / "calib" / "__init__.py").exists()
    assert not [path for path in tracked() if "inspect" in path.relative_to(TOP).parts[1:]]


def test_files_are_short() -> None:
    lengths = {
        str(path.relative_to(TOP)): len(path.read_text(encoding="utf-8").splitlines())
        for path in python_files("inspect", "calib", "tests")
    }
    assert {name: lines for name, lines in lengths.items() if lines >= FILE_LINES} == {}


def code_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of a function from its `def`, docstring left out."""
    assert function.end_lineno is not None
    lines = function.end_lineno - function.lineno + 1
    if ast.get_docstring(function) is not None:
        docstring = function.body[0]
        assert docstring.end_lineno is not None
        lines -= docstring.end_lineno - docstring.lineno + 1
    return lines


def test_functions_are_short() -> None:
    long = {
        f"{where(path, node)} {node.name}": code_lines(node)
        for path, node in nodes("inspect", "calib", "tests")
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and code_lines(node) >= FUNCTION_LINES
    }
    assert long == {}


def test_modules_are_named_for_what_they_hold() -> None:
    vague = [
        str(path.relative_to(TOP))
        for path in python_files("inspect", "calib", "tests")
        if path.stem in VAGUE_NAMES or path.parent.name in VAGUE_NAMES
    ]
    assert vague == []


def test_imports_name_the_whole_way_and_no_star() -> None:
    bad = [
        where(path, node)
        for path, node in nodes("inspect", "calib", "tests")
        if isinstance(node, ast.ImportFrom)
        and (node.level > 0 or any(alias.name == "*" for alias in node.names))
    ]
    assert bad == []


def test_every_error_says_what_is_wrong_and_what_to_do() -> None:
    families = subclasses(ScribegaugeError) | subclasses(TargetError)
    calls = [
        (path, node)
        for path, node in nodes("inspect", "calib")
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in families
    ]
    assert calls
    bad = []
    for path, call in calls:
        parts = [*call.args, *(keyword.value for keyword in call.keywords)]
        empty = any(isinstance(part, ast.Constant) and not part.value for part in parts)
        if len(parts) != 3 or empty or any(isinstance(part, ast.Starred) for part in parts):
            bad.append(where(path, call))
    assert bad == []


def public_definitions(body: list[ast.stmt]) -> Iterator[ast.stmt]:
    for node in body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            yield node
            if isinstance(node, ast.ClassDef):
                yield from public_definitions(node.body)


def test_what_is_public_has_a_docstring() -> None:
    silent = [
        where(path, node)
        for path in python_files("inspect", "calib")
        for node in (tree_of(path), *public_definitions(tree_of(path).body))
        if ast.get_docstring(node) is None  # type: ignore[arg-type]
    ]
    assert silent == []


@pytest.mark.parametrize(
    ("words", "flags"), [(MACHINE_PATHS, 0), (WORKPLACE, re.IGNORECASE), (UNDONE, 0)]
)
def test_no_machine_paths_workplace_words_or_things_left_undone(
    words: list[str], flags: int
) -> None:
    pattern = re.compile("|".join(rf"(?<!\w){re.escape(word)}" for word in words), flags)
    found = [
        f"{path.relative_to(TOP)}:{number}"
        for path in tracked()
        if path.suffix in TEXT_SUFFIXES
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if pattern.search(line)
    ]
    assert found == []
