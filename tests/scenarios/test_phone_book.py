"""The phone file as it is used in the yard: no signal, a narrow screen, wet thumbs, a keyboard, a screen reader."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

import lynchet.demos
from accessible import faults_of, without_ring
from browser import page
from by_command import command

DEMOS = ("side_yard", "l_garden", "spot_levels")


class _Files(dict[str, Path]):
    """Phone files by demo and language, each made when it is first asked for."""

    def __init__(self, root: Path) -> None:
        super().__init__()
        self._root = root

    def __missing__(self, name: str) -> Path:
        demo_name, _, lang = name.rpartition("-")
        out = self._root / name
        file = Path(lynchet.demos.__file__).with_name(f"{demo_name}.toml")
        done = command("book", str(file), "--out", str(out), "--lang", lang, "--effort", "live")
        assert done.status == 0, done.err
        self[name] = out / "build-book.html"
        return self[name]


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> _Files:
    """The demos as books for a phone."""
    return _Files(tmp_path_factory.mktemp("phones"))


def _anchors(file: Path) -> list[str]:
    return re.findall(r'<section class="view" id="([^"]*)"', file.read_text(encoding="utf-8"))


def _go(phone: Any, anchor: str) -> None:
    phone.evaluate("to => { location.hash = to; }", anchor)
    phone.wait_for_function("to => document.getElementById(to).classList.contains('open')", arg=anchor)


def test_phone_files_are_small(files: dict[str, Path]) -> None:
    """Each is under 3 MB and fetches nothing: no address of another file stands in it."""
    for name in (f"{demo}-en" for demo in DEMOS):
        file = files[name]
        text = file.read_text(encoding="utf-8")
        assert len(text.encode()) < 3_000_000, name
        assert not re.search(r'(?:src|href)="(?!#|data:)|@import|url\((?!data:)', text), name


@pytest.mark.browser
@pytest.mark.parametrize(("name", "dark"), [("side_yard-en", False), ("side_yard-es", True)])
def test_every_view_is_accessible_at_390_px(files: dict[str, Path], name: str, dark: bool) -> None:
    """Without signal, every view in light and dark: names, headings, contrast, targets of 44 px, no side-scrolling."""
    file = files[name]
    with page(dark=dark) as phone:
        phone.context.set_offline(True)
        phone.goto(file.as_uri())
        assert phone.get_attribute("html", "lang") == name[-2:]
        wrong = []
        for anchor in _anchors(file):
            _go(phone, anchor)
            assert phone.locator("section.view.open").count() == 1
            wrong += [f"{anchor}: {fault}" for fault in faults_of(phone)]
        assert wrong == []
        phone.click("#sun")
        assert faults_of(phone) == []


@pytest.mark.browser
def test_the_accessibility_check_bites(files: dict[str, Path]) -> None:
    """A nameless button, pale text, a small target, a skipped heading, a picture without words: all are reported."""
    with page() as phone:
        phone.goto(files["side_yard-en"].as_uri())
        phone.evaluate(
            """() => { document.querySelector('section.view.open').insertAdjacentHTML('beforeend',
            '<button></button><p style="color:#bbb;background:#fff">pale</p><a href="#x" style="font-size:9px">a</a>' +
            '<h6>deep</h6><svg width="9" height="9"></svg>'); }"""
        )
        wrong = " ".join(faults_of(phone))
        for word in ("no name", "contrast", "too small", "skipped", "picture"):
            assert word in wrong, word


@pytest.mark.browser
def test_next_and_back_by_thumb_and_by_keyboard(files: dict[str, Path]) -> None:
    """Views follow one another by touch and by arrow keys, the address names each, the ends do not turn over."""
    file = files["side_yard-en"]
    anchors = _anchors(file)
    with page() as phone:
        phone.goto(file.as_uri())
        opened = "document.querySelector('section.view.open').id"
        assert phone.evaluate(opened) == anchors[0] and phone.is_disabled("#back")
        for n in (1, 2, 3):
            phone.tap("#next")
            phone.wait_for_function(f"{opened} === '{anchors[n]}'")
        assert phone.evaluate("location.hash") == f"#{anchors[3]}"
        phone.keyboard.press("ArrowLeft")
        phone.wait_for_function(f"{opened} === '{anchors[2]}'")
        phone.tap("#back")
        phone.wait_for_function(f"{opened} === '{anchors[1]}'")
        phone.goto(f"{file.as_uri()}#day-2-step-1")
        phone.wait_for_function(f"{opened} === 'day-2-step-1'")
        phone.reload()
        assert phone.evaluate(opened) == "day-2-step-1"
        _go(phone, anchors[-1])
        assert phone.is_disabled("#next")
        assert without_ring(phone, 8) == []


@pytest.mark.browser
def test_ticks_and_readings_stay(files: dict[str, Path]) -> None:
    """A tick and a reading written in are there after the page is closed and opened again, in their own view."""
    file = files["side_yard-en"]
    with page() as phone:
        phone.goto(f"{file.as_uri()}#day-1-step-2")
        tick = phone.locator("#day-1-step-2 input[data-tick]").last
        tick.check()
        _go(phone, "day-1-end")
        field = phone.locator("#day-1-end input[data-note]").first
        field.fill("7 1/8 in")
        phone.reload()
        assert tick.is_checked() and field.input_value() == "7 1/8 in"
        boxes = phone.locator("input[data-tick]").count()
        assert phone.locator("input[data-tick]:checked").count() == 1 < boxes


@pytest.mark.browser
def test_every_sheet_opens_large_and_closes(files: dict[str, Path]) -> None:
    """Every sheet of the book opens larger than the screen; Escape goes back to where one was."""
    file = files["side_yard-en"]
    sheets = [anchor for anchor in _anchors(file) if anchor.startswith("sheet-")]
    assert len(sheets) > 8 and all(re.match(r"sheet-\d+-", anchor) for anchor in sheets)
    with page() as phone:
        phone.goto(file.as_uri())
        for anchor in sheets:
            _go(phone, anchor)
            phone.locator(f"#{anchor} button.sheet").click()
            assert phone.evaluate("document.querySelector('#zoom .room').scrollWidth") > 390
            phone.keyboard.press("Tab")
            assert phone.evaluate("document.querySelector('#zoom').contains(document.activeElement)")
            phone.keyboard.press("Escape")
            assert phone.locator("#zoom svg").count() == 0


@pytest.mark.browser
def test_each_step_of_a_day_has_its_picture_and_its_tick(files: dict[str, Path]) -> None:
    """On every step view: what to do, the day's picture drawn, a box to tick of 44 px at least; cautions among them."""
    file = files["l_garden-en"]
    steps = [anchor for anchor in _anchors(file) if "-step-" in anchor]
    cautions = 0
    with page() as phone:
        phone.goto(file.as_uri())
        for anchor in steps:
            _go(phone, anchor)
            assert phone.locator(f"#{anchor} p.lead").inner_text().strip()
            box = phone.locator(f"#{anchor} svg.same use").bounding_box()
            assert box is not None and box["width"] > 200 and box["height"] > 60
            ticks = phone.locator(f"#{anchor} input[data-tick]")
            assert ticks.count() >= 1
            size = ticks.last.bounding_box()
            assert size is not None and min(size["width"], size["height"]) >= 44
            cautions += phone.locator(f"#{anchor} .caution").count()
    assert len(steps) > 20 and cautions > 10


@pytest.mark.browser
def test_the_book_prints_whole(files: dict[str, Path]) -> None:
    """On paper every view is there, white, without the bar."""
    with page(dark=True) as phone:
        phone.goto(files["side_yard-en"].as_uri())
        phone.emulate_media(media="print")
        hidden = "all => all.filter(one => getComputedStyle(one).display === 'none').length"
        assert phone.eval_on_selector_all("section.view", hidden) == 0
        assert phone.evaluate("getComputedStyle(document.querySelector('nav')).display") == "none"
        assert phone.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
