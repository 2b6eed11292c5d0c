"""The page in a real browser: asks for nothing, fits every screen, and an axe finds nothing serious.

Needs Chromium, playwright and axe-core (packed with axe-playwright-python); says so where they are
absent.
"""

import importlib.util
import shutil
from pathlib import Path

import pytest

from scribegauge.photo.load import load_photo
from scribegauge.report.htmlfile import write_report
from scribegauge.report.jsonfile import from_json
from scribegauge.report.reading import Reason
from scribegauge.report.refusal import refusal

CHROMIUM = shutil.which("chromium") or shutil.which("google-chrome")
AXE = importlib.util.find_spec("axe_playwright_python")
READING = Path(__file__).parents[2] / "fixtures" / "readings" / "heptagon.json"
DEMO = Path(__file__).parents[2] / "inspect" / "scribegauge" / "demo" / "demo-plate.jpg"
SCREENS_PX = (360, 820, 1280)

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine"),
    pytest.mark.skipif(AXE is None, reason="axe-playwright-python is not installed"),
]


@pytest.fixture(scope="module")
def browser():
    playwright = pytest.importorskip("playwright.sync_api")
    switches = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
    with playwright.sync_playwright() as running:
        opened = running.chromium.launch(executable_path=CHROMIUM, args=switches)
        yield opened
        opened.close()


@pytest.fixture(scope="module", params=["measured", "refused"])
def page_file(request, tmp_path_factory):
    photo = load_photo(DEMO)
    if request.param == "measured":
        reading = from_json(READING.read_text(encoding="utf-8"))
    else:
        reading = refusal((Reason("blurred", "Too blurred."),), "Blank", (), "scribegauge")
    place = tmp_path_factory.mktemp("page") / "report.html"
    place.write_bytes(write_report(photo, reading))
    return place


@pytest.fixture
def shown(browser, page_file):
    page = browser.new_page()
    asked, said = [], []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: said.append(message.text))
    page.goto(page_file.as_uri())
    yield page, asked, said
    page.close()


def test_no_request_leaves_the_page(shown, page_file):
    _, asked, said = shown
    assert [url for url in asked if not url.startswith("data:")] == [page_file.as_uri()]
    assert said == []  # what the page's own policy blocks is told there


@pytest.mark.parametrize("width_px", SCREENS_PX)
def test_it_fits_the_screen(shown, width_px):
    page, *_ = shown
    page.set_viewport_size({"width": width_px, "height": 900})
    assert page.evaluate("document.documentElement.scrollWidth") <= width_px


def test_the_checker_of_accessibility_finds_nothing_serious(shown):
    page, *_ = shown
    code = Path(AXE.origin).with_name("axe.min.js").read_text(encoding="utf-8")
    page.evaluate(code)  # not a script of the page: its policy allows none
    found = page.evaluate("axe.run()")
    serious = [v for v in found["violations"] if v["impact"] in {"serious", "critical"}]
    assert [(v["id"], [n["html"][:80] for n in v["nodes"]]) for v in serious] == []
    assert len(found["passes"]) > 10
