"""What start-up may import, and that every module can be imported first."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

import scribegauge
import scribetarget

PACKAGES = (Path(scribegauge.__file__).parent, Path(scribetarget.__file__).parent)
HEAVY = {
    "PIL",
    "cv2",
    "ezdxf",
    "jinja2",
    "matplotlib",
    "numpy",
    "pi_heif",
    "reportlab",
    "rich",
    "scipy",
    "skimage",
}

IMPORT_EACH_ALONE = """
import importlib, sys
for name in sys.argv[1:]:
    for loaded in [m for m in sys.modules if m.partition(".")[0] in ("scribegauge", "scribetarget")]:
        del sys.modules[loaded]
    try:
        importlib.import_module(name)
    except Exception as error:
        print(f"{name}: {type(error).__name__}: {error}")
"""


def run(code: str, *args: str) -> str:
    """Run Python in a fresh process that finds the packages under test."""
    path = os.pathsep.join(str(package.parent) for package in PACKAGES)
    done = subprocess.run(
        [sys.executable, "-c", code, *args],
        env={**os.environ, "PYTHONPATH": path},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def modules() -> list[str]:
    names = []
    for package in PACKAGES:
        for file in sorted(package.rglob("*.py")):
            parts = file.relative_to(package.parent).with_suffix("").parts
            if parts[-1] != "__main__":
                names.append(".".join(parts).removesuffix(".__init__"))
    return names


@pytest.mark.parametrize(
    "start",
    [
        "import scribegauge.cli.main",
        "from scribegauge.cli.main import main; assert main(['--help']) == 0",
        "from scribegauge.cli.main import main; assert main(['--version']) == 0",
    ],
)
def test_start_up_imports_no_heavy_library(start: str) -> None:
    listing = run(f"{start}\nimport sys\nprint('loaded:', *sys.modules)")
    loaded = {name.partition(".")[0] for name in listing.rpartition("loaded:")[2].split()}
    assert "click" in loaded
    assert loaded & HEAVY == set()


def test_the_target_s_geometry_needs_no_opencv() -> None:
    listing = run("import scribetarget.spec as s, sys; s.load_specs(); print(*sys.modules)")
    assert "cv2" not in listing.split()


def test_every_module_can_be_the_first_to_be_imported() -> None:
    names = modules()
    assert len(names) > 20
    assert run(IMPORT_EACH_ALONE, *names).splitlines() == []
