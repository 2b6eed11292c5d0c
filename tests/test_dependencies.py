"""What is imported is declared, so that a clean install has it."""

import ast
import re
import sys
import tomllib
from pathlib import Path

import pytest

TOP = Path(__file__).parents[1]
OURS = {"scribegauge", "scribetarget"}
DISTRIBUTION = {
    "GTC": "gtc",
    "PIL": "pillow",
    "cv2": "opencv-python",
    "pi_heif": "pi-heif",
    "skimage": "scikit-image",
}


def imported(*folders: str) -> dict[str, str]:
    """Map the distributions of others that the folders import to one file that does."""
    found = {}
    for folder in folders:
        for path in sorted((TOP / folder).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
                if isinstance(node, ast.ImportFrom) and node.module:
                    names = [node.module]
                for top in {name.partition(".")[0] for name in names}:
                    if top not in sys.stdlib_module_names and top not in OURS:
                        found[DISTRIBUTION.get(top, top)] = str(path.relative_to(TOP))
    return found


def declared(*extras: str) -> set[str]:
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = [*project["dependencies"]]
    for extra in extras:
        lines += project["optional-dependencies"][extra]
    return {re.split(r"[<>=!~ \[]", line, maxsplit=1)[0] for line in lines}


@pytest.mark.parametrize(
    ("folders", "extras"), [(("inspect", "calib"), ("cluster", "dxf")), (("tests",), ("dev",))]
)
def test_every_imported_package_is_declared(
    folders: tuple[str, ...], extras: tuple[str, ...]
) -> None:
    known = declared(*extras)
    used = imported(*folders)
    assert len(used) > 3
    assert {name: file for name, file in used.items() if name not in known} == {}


def test_the_readme_has_its_two_commands_in_marked_blocks() -> None:
    text = (TOP / "README.md").read_text(encoding="utf-8")
    for mark, ending in (("demo", "scribegauge demo"), ("test", "python -m pytest")):
        blocks = re.findall(rf"^<!-- {mark} -->\n```sh\n(.+)\n```$", text, re.MULTILINE)
        assert len(blocks) == 1
        assert blocks[0].startswith("python3 -m venv .venv && ")
        assert blocks[0].endswith(ending)
