"""What the README says is so: its codes, its commands, its layout file, its picture."""

import ast
import re
import shlex
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import click
import pytest
from PIL import Image

from scribegauge.cli.exitcodes import CANNOT_JUDGE, WRONG_USE, exit_code_of
from scribegauge.cli.main import COMMANDS, group
from scribegauge.errors import ScribegaugeError
from scribegauge.figure.hintsfile import read_hints
from scribegauge.figure.layoutfile import read_layout
from scribetarget.errors import TargetError

TOP = Path(__file__).parents[1]
README = (TOP / "README.md").read_text(encoding="utf-8")
CODE = re.compile(r"[a-z]+(_[a-z]+)+|mirrored")
HEADINGS = {"Refused, exit": CANNOT_JUDGE, "Warned,": 0, "Wrong use, exit": WRONG_USE}


def family(base: type[Exception]) -> dict[str, type[Exception]]:
    found = {base.__name__: base}
    for child in base.__subclasses__():
        found |= family(child)
    return found


ERRORS = family(ScribegaugeError) | family(TargetError)


def trees() -> Iterator[ast.Module]:
    for folder in ("inspect", "calib"):
        for path in sorted((TOP / folder).rglob("*.py")):
            yield ast.parse(path.read_text(encoding="utf-8"))


def name_of(call: ast.Call) -> str:
    return getattr(call.func, "id", getattr(call.func, "attr", ""))


def passing_on() -> dict[str, tuple[int, str]]:
    """Functions with a parameter `code`: its place, and the error they make of it."""
    found = {}
    for tree in trees():
        for function in (n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef)):
            names = [a.arg for a in (*function.args.args, *function.args.kwonlyargs)]
            made = [name_of(n) for n in ast.walk(function) if isinstance(n, ast.Call)]
            error = next((name for name in made if name in ERRORS), "")
            if "code" in names and error:
                found[function.name] = (names.index("code"), error)
    return found


def constants(call: ast.Call, place: int) -> Iterator[str]:
    at_place = [*call.args[place : place + 1], *(k.value for k in call.keywords if k.arg == "code")]
    for node in at_place:
        if isinstance(node, ast.Constant):
            yield str(node.value)


def codes_in_source() -> dict[str, int]:
    """Every code, with the exit status it ends a command with (0 for a reason beside numbers)."""
    through = passing_on()
    makers = {name: (0, name) for name in ERRORS} | through | {"Reason": (0, "")}
    found = {}
    for tree in trees():
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and name_of(node) in makers:
                place, error = makers[name_of(node)]
                status = exit_code_of(ERRORS[error]("a", "b", "c")) if error else 0  # type: ignore[arg-type]
                found |= dict.fromkeys(constants(node, place), status)
            if isinstance(node, ast.FunctionDef) and node.name in through:
                defaults = [d for d in node.args.kw_defaults if isinstance(d, ast.Constant)]
                found |= {str(d.value): WRONG_USE for d in defaults if CODE.fullmatch(str(d.value))}
    return found


def codes_in_readme() -> dict[str, int]:
    places = sorted((README.index(words), status) for words, status in HEADINGS.items())
    ends = [*(place for place, _ in places), README.index("## Take care")]
    found = {}
    for (start, end), (_, status) in zip(pairwise(ends), places, strict=True):
        for row in re.findall(r"^\| (`.*?) \|", README[start:end], re.MULTILINE):
            found |= dict.fromkeys(re.findall(r"`(\w+)`", row), status)
    return found


def test_every_code_is_listed_with_its_exit_status_and_no_other() -> None:
    assert len(codes_in_source()) > 40
    assert codes_in_readme() == codes_in_source()


def commands() -> list[list[str]]:
    """Every line of the README that begins with the program's name."""
    blocks = re.findall(r"```sh\n(.*?)```", README, re.DOTALL)
    lines = "\n".join(blocks).replace("\\\n", " ").splitlines()
    inline = re.findall(r"`(scribegauge \w+ [^`]*)`", README)
    return [shlex.split(line)[1:] for line in (*lines, *inline) if line.startswith("scribegauge ")]


@pytest.mark.parametrize("words", commands(), ids=" ".join)
def test_every_command_can_be_given_as_written(words: list[str]) -> None:
    command = group.get_command(click.Context(group), words[0])
    assert command is not None
    with command.make_context(words[0], words[1:]):  # parses, and raises what is wrong
        pass


def test_every_command_is_shown() -> None:
    assert {words[0] for words in commands()} | {"demo", "schema"} >= set(COMMANDS)
    assert all(f"scribegauge {name}" in README for name in COMMANDS)


def test_every_option_of_check_is_explained() -> None:
    check = group.get_command(click.Context(group), "check")
    assert check is not None
    for option in (name for parameter in check.params for name in parameter.opts if "--" in name):
        assert f"`{option}" in README or f" {option} " in README


def test_the_layout_file_can_be_read() -> None:
    text, grade, *_ = re.findall(r"```toml\n(.*?)```", README, re.DOTALL)
    assert read_layout(text, "bracket.toml").names == ("A", "B", "C", "D")
    graded = read_layout(f"{text}\n{grade}", "bracket.toml").grade
    assert graded is not None
    assert graded.names == ("A", "B", "C")
    (judged,) = re.findall(r"`(tolerance = \{ iso2768 = .*?\})`", README)
    by_class = re.sub("^tolerance = .*$", judged, text, flags=re.MULTILINE)
    assert read_layout(by_class, "bracket.toml").tolerance.iso2768 == "m"


def test_the_hints_file_can_be_read() -> None:
    blocks = re.findall(r"```toml\n(.*?)```", README, re.DOTALL)
    (text,) = (block for block in blocks if block.startswith("hints"))
    (hints,) = read_hints(text, "hints.toml", ("A", "B", "C", "D"), 1)
    assert list(hints.sides) == [0]
    assert list(hints.pricks) == [2]


def test_its_picture_is_there_and_small() -> None:
    (name,) = re.findall(r"!\[[^]]*\]\((.*?)\)", README)
    assert (TOP / name).stat().st_size < 200_000
    with Image.open(TOP / name) as picture:
        assert picture.format == "PNG"
