"""The view for notebooks: one piece of HTML that loads nothing, drawn in a real headless browser, or a picture."""

from __future__ import annotations

import io
import re
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import replace
from html import unescape
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from conftest import Run
from PIL import Image
from selenium.webdriver import ActionChains
from test_page_browser import CHROMIUM, DRIVER, Pixels, differ, put, start_browser, wait_until_drawn
from test_report_page import read

from mouldgeom.model.assembly import Mould
from mouldgeom.outputs.page.view import view_html, view_png
from mouldgeom.words import LANGUAGES

pytestmark = pytest.mark.slow(seconds=14)

Look = Callable[[], Pixels]


@pytest.fixture(scope="module")
def view(hill: Mould) -> str:
    return view_html(hill)


def test_it_is_one_frame_that_may_run_scripts_and_nothing_else(view: str, hill: Mould) -> None:
    ((tag, frame),) = read(view.encode("utf-8")).elements
    assert tag == "iframe"
    assert set(frame) == {"srcdoc", "sandbox", "title", "width", "height", "style"}
    assert (frame["sandbox"], frame["height"], frame["title"]) == ("allow-scripts", "480", hill.dims.spec.title)
    inner = frame["srcdoc"]
    assert inner.startswith("<!DOCTYPE html>")
    (policy,) = re.findall(r'Content-Security-Policy" content="([^"]*)"', inner)
    assert policy.startswith("default-src 'none'; script-src 'sha256-")
    assert "http" not in policy
    assert not re.search(r'<(link|img|script|iframe)[^>]* (src|href)="(?!data:)', inner)
    assert "MIT licence" in inner


def test_size_and_height(view: str, hill: Mould) -> None:
    assert len(view.encode("utf-8")) < 1_200_000
    assert view_html(hill, 300) == view.replace('height="480" style', 'height="300" style')


def test_the_same_without_the_kernel(view: str, hill: Mould, run: Run, tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from mouldgeom import load; from mouldgeom.model.assembly import build\n"
        "from mouldgeom.outputs.page.view import view_html, view_png; mould = build(load('hill-example'))\n"
        "Path('v.html').write_text(view_html(mould), 'utf-8'); Path('v.png').write_bytes(view_png(mould))\n"
        "print([m for m in sys.modules if m.split('.')[0] in ('cadquery', 'OCP')])"
    )
    done = run("-c", code, env={"PYTHONHASHSEED": "77"}, cwd=tmp_path)
    assert (done.returncode, done.stdout.strip()) == (0, "[]"), done.stderr
    assert (tmp_path / "v.html").read_text("utf-8") == view
    assert (tmp_path / "v.png").read_bytes() == view_png(hill)


def test_every_piece_is_in_it_and_no_concrete(view: str, hill: Mould) -> None:
    inner = unescape(view)
    assert 'data-view="front"' in inner
    for part in hill.parts:
        assert f'<option value="{part.mark}">' in inner
    assert re.search(r'<div hidden=""><label><input type="checkbox" id="show-concrete"', inner)
    assert re.search(r'<fieldset hidden="">.{,60}<label><input type="checkbox" id="walls"', inner)


def test_its_texts_are_in_the_language_of_the_papers(hill: Mould) -> None:
    spec = hill.dims.spec
    french = spec.model_copy(update={"papers": spec.papers.model_copy(update={"language": "fr"})})
    inner = unescape(view_html(replace(hill, dims=replace(hill.dims, spec=french))))
    assert '<html lang="fr">' in inner
    assert ">Front<" not in inner


def test_the_picture(hill: Mould) -> None:
    picture = np.array(Image.open(io.BytesIO(view_png(hill))))
    assert picture.shape == (480, 360, 3)
    drawn = np.any(picture != 255, axis=2)
    assert 0.3 < drawn.mean() < 0.9
    assert drawn[:40].any()
    assert drawn[-40:].any()


# ---------------------------------------------------------------- in a browser

needs_browser = pytest.mark.skipif(
    CHROMIUM is None or DRIVER is None, reason="no chromium with its driver on this machine (Debian: chromium-driver)"
)


@pytest.fixture(scope="module")
def page(view: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A page with a notebook's output in it."""
    path = tmp_path_factory.mktemp("view") / "output.html"
    head = '<!DOCTYPE html><meta charset="utf-8"><title>output</title><link rel="icon" href="data:,">'
    path.write_text(f"{head}<p>before</p>{view}<p>after</p>", "utf-8")
    return path


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        driver = start_browser(Path(profile), 960, 720)
        yield driver
        driver.quit()


@pytest.fixture
def shown(browser: Any, page: Path) -> Iterator[Any]:
    """The browser inside the frame, drawn; nothing may be on its console afterwards."""
    browser.get_log("browser")
    browser.get(page.as_uri())
    browser.switch_to.frame(browser.find_element("tag name", "iframe"))
    assert wait_until_drawn(browser) > 0, browser.find_element("id", "no-model").text
    yield browser
    assert browser.get_log("browser") == []
    browser.switch_to.default_content()


@pytest.fixture
def look(shown: Any) -> Look:
    def take() -> Pixels:
        shown.execute_async_script("requestAnimationFrame(() => requestAnimationFrame(arguments[0]))")
        return np.array(Image.open(io.BytesIO(shown.find_element("id", "viewer").screenshot_as_png)).convert("RGB"))

    return take


@needs_browser
def test_it_is_drawn_and_nothing_is_asked_for(shown: Any, look: Look) -> None:
    picture = look()
    assert 0.15 < np.any(picture != 255, axis=2).mean() < 0.9
    assert len(np.unique(picture.reshape(-1, 3), axis=0)) > 200
    entries = shown.execute_script("return performance.getEntriesByType('resource').map((one) => one.name)")
    assert [name for name in entries if not name.startswith("data:")] == []
    assert not shown.find_element("css selector", ".still").is_displayed()
    assert not shown.find_element("id", "show-concrete").is_displayed()
    assert not shown.find_element("id", "walls").is_displayed()
    whole = shown.execute_script("const root = document.documentElement; return root.scrollHeight - root.clientHeight")
    assert whole == 0


SCROLLED = """
const scrolls = (one) => one === document.documentElement || /auto|scroll/.test(getComputedStyle(one).overflowY);
return [...document.querySelectorAll("*")]
  .filter((one) => one.clientHeight && one.scrollHeight > one.clientHeight + 1 && scrolls(one))
  .map((one) => `${one.tagName} ${one.className}`);
"""


@needs_browser
@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize(("width", "height"), [(900, 480), (900, 300), (620, 480), (400, 480)])
def test_nothing_in_the_frame_is_scrolled(
    browser: Any, hill: Mould, tmp_path: Path, language: str, width: int, height: int
) -> None:
    """A notebook scrolls; in it stands a frame whose controls all fit beside, or under, a model of some size."""
    spec = hill.dims.spec.changed({"papers.language": language})
    view = view_html(replace(hill, dims=replace(hill.dims, spec=spec)), height)
    path = tmp_path / "output.html"
    path.write_text(f'<!DOCTYPE html><meta charset="utf-8"><div style="width: {width}px">{view}</div>', "utf-8")
    browser.get(path.as_uri())
    browser.switch_to.frame(browser.find_element("tag name", "iframe"))
    assert wait_until_drawn(browser) > 0
    assert browser.execute_script(SCROLLED) == []
    size = browser.find_element("id", "viewer").size
    assert size["height"] >= 160
    assert size["width"] >= 300
    browser.switch_to.default_content()


@needs_browser
@pytest.mark.parametrize(("name", "value"), [("apart", "100"), ("cut-axis", "x"), ("show-gear", True), ("part", "B5")])
def test_each_control_changes_the_picture(shown: Any, look: Look, name: str, value: str | bool) -> None:
    before = look()
    put(shown, name, value)
    assert differ(before, look()) > 0.003


@needs_browser
def test_it_is_turned_and_brought_nearer_by_hand(shown: Any, look: Look) -> None:
    before, viewer = look(), shown.find_element("id", "viewer")
    ActionChains(shown).move_to_element(viewer).click_and_hold().move_by_offset(90, 30).release().perform()
    turned = look()
    assert differ(before, turned) > 0.01
    viewer.send_keys("+")
    nearer = look()
    assert differ(turned, nearer) > 0.01
    origin = ActionChains(shown).move_to_element(viewer)
    origin.w3c_actions.wheel_action.scroll(30, 30, 0, -240, 0, viewer)
    origin.perform()
    assert differ(nearer, look()) > 0.01


@needs_browser
def test_it_reaches_nothing_outside_of_its_frame(shown: Any) -> None:
    script = "try { return String(parent.document.title) } catch (error) { return error.name }"
    assert shown.execute_script(script) == "SecurityError"


@needs_browser
def test_without_scripts_a_picture_stands_in(browser: Any, view: str, tmp_path: Path) -> None:
    """A frame that may not even run scripts: what is drawn of it is the picture, as it is."""
    path = tmp_path / "output.html"
    path.write_text(view.replace('sandbox="allow-scripts"', 'sandbox=""'), "utf-8")
    browser.get(path.as_uri())
    frame = browser.find_element("tag name", "iframe")
    shot = np.array(Image.open(io.BytesIO(frame.screenshot_as_png)).convert("RGB"))
    assert 0.02 < np.any(shot != 255, axis=2).mean() < 0.5
    red, _, blue = np.moveaxis(shot.astype(int), 2, 0)
    assert (blue - red > 60).sum() > 20_000
    browser.switch_to.frame(frame)
    assert browser.find_element("css selector", ".still img").is_displayed()
    assert not browser.find_element("id", "viewer").is_displayed()
    browser.switch_to.default_content()
