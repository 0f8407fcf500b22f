"""The report in a real browser: it prints on the paper asked for, and reads on a phone without sideways scrolling."""

import re

import pytest
from conftest import Printed
from playwright.sync_api import Browser

from engine.report import drawing_svg, html

pytestmark = pytest.mark.browser


# Sources: ISO 216, A4 210 mm × 297 mm; ANSI/ASME Y14.1, size A 8.5 in. × 11 in.; a PDF point is 1/72 in. (ISO 32000).
@pytest.mark.parametrize(
    ("paper", "width", "height"),
    [("A4", 210 / 25.4 * 72, 297 / 25.4 * 72), ("Letter", 8.5 * 72, 11 * 72)],
)
def test_it_prints_on_the_paper_asked_for(
    browser: Browser, bonded: Printed, paper: str, width: float, height: float
) -> None:
    page = browser.new_page()
    page.set_content(html(bonded(bonding__neutral_bonded_downstream=True), paper=paper))
    pdf = page.pdf(prefer_css_page_size=True)
    page.close()
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    assert len(boxes) > 3
    for box in boxes:
        assert float(box[0]) == pytest.approx(width, abs=1)
        assert float(box[1]) == pytest.approx(height, abs=1)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_reads_on_a_narrow_screen_without_sideways_scrolling(
    browser: Browser, bonded: Printed, scheme: str
) -> None:
    # Source: WCAG 2.2 (W3C), 1.4.10 Reflow: 320 CSS pixels.
    page = browser.new_page(viewport={"width": 320, "height": 640}, color_scheme=scheme)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.set_content(html(bonded(name="N" * 200, bonding__system_bonding_jumper__location="both")))
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    assert not asked, "the report asks for something from outside"
    page.close()


def test_print_sets_text_in_black_on_white_even_from_a_dark_screen(
    browser: Browser, bonded: Printed
) -> None:
    page = browser.new_page(color_scheme="dark")
    page.set_content(html(bonded()))
    colours = "e => { const s = getComputedStyle(document.querySelector(e)); return [s.color, s.backgroundColor]; }"
    assert page.evaluate(colours, "html") != ["rgb(0, 0, 0)", "rgb(255, 255, 255)"]
    page.emulate_media(media="print")
    assert page.evaluate(colours, "html") == ["rgb(0, 0, 0)", "rgb(255, 255, 255)"]
    assert page.evaluate(colours, ".bonding-drawing") == ["rgb(0, 0, 0)", "rgb(255, 255, 255)"]
    page.close()


def test_print_cuts_no_number_of_a_step_and_gives_a_long_name_two_lines(
    browser: Browser, bonded: Printed
) -> None:
    # Source: common practice, no source: what is printed is whole, and the head print is smaller than the page.
    page = browser.new_page(viewport={"width": 700, "height": 900})
    page.emulate_media(media="print")
    page.set_content(html(bonded(name="Room of the long name " * 9)))
    # A marker hangs out to the left by its own width: two digits, a point and a gap take under 1.8 em.
    room = page.evaluate(
        "[...document.querySelectorAll('.arithmetic ol')].map(e => parseFloat(getComputedStyle(e).paddingLeft)"
        " / parseFloat(getComputedStyle(e).fontSize))"
    )
    assert room
    assert min(room) >= 1.8
    lines = page.evaluate(
        "(() => { const e = document.querySelector('.running bdi'); const r = document.createRange();"
        "r.selectNodeContents(e); return [e.getBoundingClientRect().height, r.getClientRects().length,"
        "parseFloat(getComputedStyle(e).fontSize)]; })()"
    )
    assert lines[1] > 2
    assert lines[0] < 3 * lines[2]
    page.close()


@pytest.mark.parametrize("place", ["source", "first_disconnect", "both", "none"])
def test_no_words_of_the_drawing_overlap_or_leave_it(
    browser: Browser, bonded: Printed, place: str
) -> None:
    # Source: common practice, no source: text on a drawing is apart and inside its frame.
    result = bonded(
        bonding__system_bonding_jumper={"location": place, "size": "250", "material": "aluminum"},
        bonding__supply_side_bonding_jumper={"kind": "raceway"},
        secondary__raceway__type="PVC40",
        electrode__conductor={"size": "250", "material": "aluminum"},
        electrode__connected_at="source",
        electrode__used="concrete_encased",
        bonding__water_pipe_bond={"present": True, "size": "250", "material": "aluminum"},
    )
    page = browser.new_page(viewport={"width": 360, "height": 1000})
    page.set_content(f"<body style='margin:0'>{drawing_svg(result)}")
    boxes = page.evaluate(
        "[...document.querySelectorAll('tspan')].map(t => { const e = [...Array(t.getNumberOfChars()).keys()]"
        ".map(n => t.getExtentOfChar(n)); const x = Math.min(...e.map(b => b.x));"
        "return [t.textContent, x, Math.max(...e.map(b => b.x + b.width)), e[0].y + 3, e[0].y + e[0].height - 3]; })"
    )
    page.close()
    assert len(boxes) > 30
    for index, (words, left, right, top, bottom) in enumerate(boxes):
        assert left >= 0, words
        assert right <= 360, (words, right)
        for other, left2, right2, top2, bottom2 in boxes[index + 1 :]:
            apart = right <= left2 or right2 <= left or bottom <= top2 or bottom2 <= top
            assert apart, (words, other)
