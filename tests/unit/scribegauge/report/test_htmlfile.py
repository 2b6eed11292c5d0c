"""The page a teacher sends: holds everything, needs nothing, and believes no string."""

import re
from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise

import pytest

from scribegauge.report.htmlfile import write_report
from scribegauge.report.plot import angle_plot, side_plot
from scribegauge.report.reading import Reason
from scribegauge.report.refusal import refusal
from scribegauge.report.words import DASH, MINUS, decimals_for

NASTY = [
    "<script>alert(1)</script>",
    "\"' onload='alert(1)' x=\"",
    "</title></style><img src=http://example.org/x.png>",
    "{{ 7 * 7 }}{% raw %}&amp;&lt;",
    "אבגד עברית (1) 12.5 mm",
    "\U0001f469\u200d\U0001f527 brass \U0001f600" * 12,
    "x" * 300,
]
VOID = {"meta", "img", "br", "link", "input", "path", "image", "circle"}


class Parsed(HTMLParser):
    """Tags with their attributes, and the text of every element."""

    def __init__(self, page):
        super().__init__()
        self.tags, self.texts, self._open = [], [], []
        self.feed(page.decode("utf-8"))

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self._open.append((tag, []))

    def handle_endtag(self, tag):
        if tag in VOID:
            return
        name, parts = self._open.pop()
        assert name == tag, f"</{tag}> closes <{name}>"
        self.texts.append((tag, "".join(parts)))

    def handle_data(self, data):
        for _, parts in self._open:
            parts.append(data)

    def all(self, tag):
        return [text for name, text in self.texts if name == tag]

    def attributes(self, tag):
        return [attrs for name, attrs in self.tags if name == tag]


@pytest.fixture(scope="module")
def judged(make_reading):
    return make_reading(count=5, lost=(1,), tolerance_mm=0.05)


@pytest.fixture(scope="module")
def page(photo, judged):
    return write_report(photo, judged)


@pytest.fixture(scope="module")
def parsed(page):
    return Parsed(page)


def test_nothing_comes_from_elsewhere(page, parsed):
    text = re.sub(rb"data:image/jpeg;base64,[A-Za-z0-9+/=]+", b"", page).decode()
    assert "http" not in re.sub(r"http-equiv", "", text)
    assert "url(" not in text
    assert "@import" not in text
    names = {tag for tag, _ in parsed.tags}
    assert names.isdisjoint({"script", "link", "iframe", "object", "embed", "form", "base", "a"})
    for tag, attrs in parsed.tags:
        assert not [name for name in attrs if name.startswith("on")], tag
        for name in ("src", "href", "data", "srcset", "action"):
            assert attrs.get(name, "data:image/").startswith("data:image/")
    policy = [m["content"] for m in parsed.attributes("meta") if "http-equiv" in m]
    assert policy == ["default-src 'none'; img-src data:; style-src 'unsafe-inline'"]


def test_the_same_reading_gives_the_same_bytes(photo, judged, page):
    assert write_report(photo, judged) == page


def test_it_can_be_sent_by_mail(page):
    assert 20_000 < len(page) < 1_500_000


def saying(make_reading, text):
    """Put a text wherever a file or a person could have put it."""
    plain = make_reading(count=5, lost=(1,), tolerance_mm=0.05)
    first = replace(plain.photos[0], name=text, camera=text, taken=text)
    reasons = (Reason("x", text),)
    sides = (plain.sides[0], replace(plain.sides[1], reasons=reasons), *plain.sides[2:])
    lines = (replace(plain.lines[0], look=text), *plain.lines[1:])
    return replace(
        plain, title=text, photos=(first,), reasons=reasons, program=text, sides=sides, lines=lines
    )


@pytest.mark.parametrize("text", NASTY)
def test_strings_are_shown_whole_and_do_nothing(make_reading, text):
    shown = Parsed(write_report(None, saying(make_reading, text)))
    assert shown.all("h1") == shown.all("title")[:1] == [text]
    assert shown.all("bdi").count(text) == 5  # title, reason, note, lens, program
    assert any(text in value for value in shown.all("dd"))
    assert text in shown.all("td")
    harmless = Parsed(write_report(None, saying(make_reading, "plain words")))
    assert [(tag, sorted(attrs)) for tag, attrs in shown.tags if tag != "h1"] == [
        (tag, sorted(attrs)) for tag, attrs in harmless.tags if tag != "h1"
    ]


def test_a_long_title_is_set_smaller(make_reading):
    for count, names in ((80, {}), (81, {"class": "long"})):
        shown = Parsed(write_report(None, make_reading(title="x" * count)))
        assert shown.attributes("h1") == [names]


def test_what_no_page_can_hold_is_dropped(make_reading):
    title = "a\x00b\x1b[31mc\ud800d\u202ee\r\nf"
    out = Parsed(write_report(None, make_reading(title=title)))
    assert out.all("h1") == ["ab[31mcde  f"]


def cells(parsed, caption):
    """Rows of the table with this caption, as lists of stripped cell texts."""
    table = next(t for t in parsed.all("table") if t.strip().startswith(caption))
    assert table
    start = [k for k, (tag, text) in enumerate(parsed.texts) if (tag, text) == ("caption", caption)]
    rows, row = [], []
    for tag, text in parsed.texts[start[0] :]:
        if tag in {"th", "td"}:
            row.append(text.strip())
        elif tag == "tr":
            rows.append(row)
            row = []
        elif tag == "table":
            return rows[1:]
    raise AssertionError(caption)


def same(text, value, places):
    assert text.replace(MINUS, "-").lstrip("+") == f"{round(value, places) + 0.0:.{places}f}"


def test_every_number_of_the_tables_is_the_readings(parsed, judged):
    rows = cells(parsed, "Sides, in mm")
    assert [row[0] for row in rows] == [f"{s.start}{DASH}{s.end}" for s in judged.sides]
    measured = 0
    for row, side in zip(rows, judged.sides, strict=True):
        if side.measured_mm is None:
            assert row[2:5] == [DASH] * 3
            assert row[5] in {"not seen", "no corner"}
            continue
        measured += 1
        places = decimals_for(side.U_mm)
        values = (side.intended_mm, side.measured_mm, side.deviation_mm, side.U_mm)
        for text, value in zip(row[1:5], values, strict=True):
            same(text, value, places)
        assert row[5] == side.verdict
        assert row[3][0] in f"+{MINUS}"
    assert measured == 2
    for row, angle in zip(cells(parsed, "Angles, in degrees"), judged.angles, strict=True):
        if angle.measured_deg is not None:
            places = decimals_for(angle.U_deg)
            values = (angle.intended_deg, angle.measured_deg, angle.deviation_deg, angle.U_deg)
            for text, value in zip(row[1:5], values, strict=True):
                same(text, value, places)


def test_the_page_draws_each_plot(parsed, judged):
    plots = [side_plot(judged), angle_plot(judged)]
    said = parsed.all("title")
    for plot in plots:
        assert sum(text.startswith(f"{plot.title}: deviation of each") for text in said) == 1
    words = parsed.all("text")
    for side in judged.sides:
        assert f"{side.start}{DASH}{side.end}" in words


def test_pricks_are_listed_with_their_numbers(parsed, judged):
    rows = cells(parsed, "How far each prick is off its corner, in mm")
    assert len(rows) == len(judged.pricks)
    for row, prick in zip(rows, judged.pricks, strict=True):
        assert row[0] == prick.at
        same(row[1], prick.off_corner_mm, decimals_for(prick.U_mm))
        same(row[2], prick.U_mm, decimals_for(prick.U_mm))
        assert float(row[3]) == prick.diameter_mm


def test_it_can_be_read_without_seeing_it(parsed):
    assert parsed.attributes("html") == [{"lang": "en"}]
    assert len(parsed.all("h1")) == 1
    levels = [int(tag[1]) for tag, _ in parsed.tags if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1
    assert all(b - a <= 1 for a, b in pairwise(levels))
    assert all(attrs.get("alt") for attrs in parsed.attributes("img"))
    shown = [attrs for attrs in parsed.attributes("svg") if not attrs.get("aria-hidden")]
    assert all(attrs.get("role") == "img" for attrs in shown)
    assert len(shown) == len([text for text in parsed.all("title")[1:] if text])
    assert all("scope" in attrs for attrs in parsed.attributes("th"))
    labelled = [a["aria-labelledby"] for a in parsed.attributes("section")]
    assert set(labelled) <= {a.get("id") for a in parsed.attributes("h2")}
    scrolls = [a for a in parsed.attributes("div") if a.get("class") == "scroll"]
    assert scrolls
    assert all(a["tabindex"] == "0" and a["aria-label"] for a in scrolls)


def luminance(colour):
    levels = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [x / 12.92 if x <= 0.04045 else ((x + 0.055) / 1.055) ** 2.4 for x in levels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_words_stand_out_from_their_ground(parsed):
    """Contrast as WCAG 2.2, 1.4.3 asks: 4.5 at least."""
    colours = dict(re.findall(r"--(\w+): (#\w{6})", parsed.all("style")[0]))
    grounds = ("#ffffff", colours["ground"])
    for ink in ("ink", "soft", "red"):
        for ground in grounds:
            high, low = luminance(ground), luminance(colours[ink])
            assert (high + 0.05) / (low + 0.05) > 4.5


def test_the_verdict_comes_first(parsed, judged):
    first = next(text for tag, text in parsed.texts if tag == "p" and "sides" in text)
    assert first.startswith("One of five sides is within 0.05\N{NO-BREAK SPACE}mm; side ")
    outside = sum(s.verdict == "outside" for s in judged.sides)
    said = " ".join(parsed.all("p"))
    assert len(re.findall(r"[Ss]ide \S+ is [^;]{,40} too (?:long|short)", said)) == outside > 0


def test_a_refusal_says_why_and_shows_the_photo(photo):
    reasons = (Reason("blurred", "The photo is blurred. Hold the phone still."),)
    with_photo = Parsed(write_report(photo, refusal(reasons, "Blank", (), "scribegauge")))
    assert any("Hold the phone still." in text for text in with_photo.all("p"))
    assert with_photo.attributes("img")[0]["alt"] == "The photo that could not be judged."
    assert not with_photo.all("table")
    assert "Tolerance" not in with_photo.all("dt")
    without = Parsed(write_report(None, refusal(reasons, "", (), "scribegauge")))
    assert without.attributes("img") == []
    assert without.all("h1") == ["Scribed plate"]


def test_cautions_and_settings_are_on_it(parsed, judged):
    text = " ".join(parsed.all("footer")).split()
    for word in ("points", "deburr", "eye", "teacher's", "rules"):
        assert any(word in part for part in text)
    settings = dict(zip(parsed.all("dt"), parsed.all("dd"), strict=True))
    assert judged.photos[0].sha256[:12] in settings["Photo"]
    assert settings["Target"] == "size M"
    assert settings["Check bars"] == "measured"
    assert settings["Tolerance"] == "sides ±0.05 mm"
