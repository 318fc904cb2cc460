"""The report page in a real headless browser: the model is drawn, controls work, links resolve, phones can read it."""

from __future__ import annotations

import io
import shutil
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlparse

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from selenium import webdriver

from mouldgeom.outputs.kinds import CUTLIST, FILTER, FLAT, PARTS, SPEC
from mouldgeom.outputs.package import Job, make_files, write_package
from mouldgeom.outputs.page.page import page_bytes
from mouldgeom.solids import SolidMould
from mouldgeom.strength.steps import Chapter, Step
from mouldgeom.verdict import Verdict
from mouldgeom.words import Words

CHROMIUM = next((p for p in map(shutil.which, ("chromium", "chromium-browser")) if p), None)
DRIVER = shutil.which("chromedriver")
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(
        CHROMIUM is None or DRIVER is None,
        reason="no chromium with its driver on this machine (Debian: chromium-driver)",
    ),
]
FLAGS = (
    *(
        "--headless=new",
        "--no-sandbox",
        "--disable-dev-shm-usage",
        "--disable-quic",
        "--no-first-run",
        "--disable-sync",
    ),
    *("--disable-background-networking", "--disable-component-update"),
    *("--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--force-prefers-reduced-motion"),
)
CHAPTERS = (Chapter("Pressure", (), (Step("pressure", "p = gamma h", "25 kN/m3 x 886 mm", 22.15, "kPa", "rule"),)),)
SHEET = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><rect width="9" height="9"/></svg>'
Pixels = NDArray[np.uint8]
Look = Callable[[], Pixels]


@pytest.fixture(scope="module")
def package(
    hill_solids: SolidMould, hill_results: tuple[Verdict, ...], tmp_path_factory: pytest.TempPathFactory
) -> Path:
    """A package with the page in it."""
    folder = tmp_path_factory.mktemp("package") / "out"
    job = Job(hill_solids.mould, kinds=(SPEC, PARTS, FLAT, CUTLIST, FILTER))
    files = make_files(job)
    write_package(job, files, folder)
    page = page_bytes(
        hill_solids,
        hill_results,
        Words(),
        drawings=[("A sheet", SHEET)],
        chapters=CHAPTERS,
        files={file.path: file.content for file in files},
    )
    (folder / "report.html").write_bytes(page)
    return folder


def start_browser(profile: Path, width: int, height: int) -> Any:
    """A headless browser with an empty folder of its own, that draws with its software renderer."""
    options = webdriver.ChromeOptions()
    options.binary_location = str(CHROMIUM)
    for flag in (*FLAGS, f"--user-data-dir={profile}", f"--window-size={width},{height}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    return webdriver.Chrome(options=options, service=webdriver.ChromeService(executable_path=DRIVER))


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        driver = start_browser(Path(profile), 960, 720)
        yield driver
        driver.quit()


def wait_until_drawn(browser: Any) -> float:
    """Milliseconds from the start of loading until the model was drawn; 0 if it is not, and pictures stand in."""
    for _ in range(400):
        ready = browser.execute_script("return window.__ready || 0")
        if ready or browser.execute_script("return document.getElementById('no-model')?.hidden === false"):
            return float(ready)
        time.sleep(0.05)
    return 0.0


RESET = """
const set = (control) => {
  if (control.type === "checkbox") control.checked = control.defaultChecked;
  else if (control.tagName === "SELECT") control.value = "";
  else control.value = control.defaultValue;
  for (const type of ["input", "change"]) control.dispatchEvent(new Event(type, {bubbles: true}));
};
const upright = document.getElementById("upright");
if (upright.getAttribute("aria-pressed") === "true") upright.click();
for (const name of ["walls", "apart"]) set(document.getElementById(name));
for (const control of document.querySelectorAll("input, select")) set(control);
for (const details of document.querySelectorAll("details[open]")) details.open = false;
for (const key of ["Escape", "0"]) document.getElementById("viewer").dispatchEvent(new KeyboardEvent("keydown", {key}));
document.activeElement.blur();
"""
"""Puts every control back, as if the page had just been loaded."""


@pytest.fixture
def shown(browser: Any, package: Path) -> Any:
    """The browser with the page drawn and as it was first; no test may leave a message on its console."""
    if not browser.execute_script("return window.__ready || 0"):
        browser.get_log("browser")
        browser.get((package / "report.html").as_uri())
        assert wait_until_drawn(browser) > 0, browser.find_element("id", "no-model").text
        browser.execute_script("document.documentElement.style.scrollBehavior = 'auto'")
    yield browser
    assert browser.get_log("browser") == []
    browser.execute_script(f"if (window.__ready) {{ {RESET} }}")


@pytest.fixture
def look(shown: Any) -> Look:
    """A way to take a picture of the model when it stands still."""

    def take() -> Pixels:
        shown.execute_script("document.getElementById('model').scrollIntoView()")
        shown.execute_async_script("requestAnimationFrame(() => requestAnimationFrame(arguments[0]))")
        return np.array(Image.open(io.BytesIO(shown.find_element("id", "viewer").screenshot_as_png)).convert("RGB"))

    return take


def put(shown: Any, name: str, value: str | bool) -> None:
    """Set a control as a hand would, and let the page know."""
    shown.execute_script(
        "const [name, value] = arguments, control = document.getElementById(name);"
        "if (typeof value === 'boolean') control.checked = value; else control.value = value;"
        "for (const type of ['input', 'change']) control.dispatchEvent(new Event(type, {bubbles: true}));",
        *(name, value),
    )


def differ(a: Pixels, b: Pixels) -> float:
    """Share of pixels that differ."""
    return float(np.any(a != b, axis=2).mean())


def test_the_model_is_not_blank(look: Look) -> None:
    picture = look()
    colours, counts = np.unique(picture.reshape(-1, 3), axis=0, return_counts=True)
    assert len(colours) > 200
    assert counts.max() / counts.sum() < 0.9


def test_the_right_colours_in_the_right_places(look: Look, shown: Any) -> None:
    """From the front: panel blue in the middle, paper in the corners."""
    shown.find_element("css selector", "[data-view=front]").click()
    picture = look()
    assert tuple(picture[5, 5]) == (255, 255, 255)
    red, green, blue = (int(c) for c in picture[picture.shape[0] // 3, picture.shape[1] // 2])
    assert blue > green > red


@pytest.mark.parametrize(
    ("name", "value"),
    [("apart", "100"), ("cut-axis", "x"), ("cut-axis", "z"), ("part", "B5"), ("walls", True), ("show-edges", False),
     ("show-mould", False), ("show-gear", True)],
)  # fmt: skip
def test_each_control_changes_the_picture(look: Look, shown: Any, name: str, value: str | bool) -> None:
    before = look()
    put(shown, name, value)
    assert differ(before, look()) > 0.003


def test_the_cut_moves_and_turns_over(look: Look, shown: Any) -> None:
    put(shown, "cut-axis", "x")
    middle = look()
    put(shown, "cut-at", "300")
    moved = look()
    put(shown, "cut-flip", True)
    assert differ(middle, moved) > 0.01
    assert differ(moved, look()) > 0.01


def test_views_and_upright(look: Look, shown: Any) -> None:
    pictures = [look()]
    for button in ("[data-view=front]", "[data-view=side]", "[data-view=top]", "[data-view=iso]", "#upright"):
        shown.find_element("css selector", button).click()
        pictures.append(look())
    assert differ(pictures[0], pictures[4]) == 0
    for one, other in ((0, 1), (1, 2), (2, 3), (3, 4), (4, 5)):
        assert differ(pictures[one], pictures[other]) > 0.01
    assert shown.find_element("id", "upright").get_attribute("aria-pressed") == "true"


def test_keys(look: Look, shown: Any) -> None:
    from selenium.webdriver.common.keys import Keys

    viewer = shown.find_element("id", "viewer")
    first = look()
    for keys in (Keys.ARROW_LEFT, Keys.ARROW_UP, "+", Keys.SHIFT + Keys.ARROW_RIGHT):
        before = look()
        viewer.send_keys(keys)
        assert differ(before, look()) > 0.01
    assert shown.execute_script("return getComputedStyle(document.activeElement).outlineStyle") != "none"
    viewer.send_keys("0")
    shown.execute_script("document.activeElement.blur()")
    assert differ(first, look()) < 0.02


def test_dragging_turns(look: Look, shown: Any) -> None:
    from selenium.webdriver import ActionChains

    before = look()
    viewer = shown.find_element("id", "viewer")
    ActionChains(shown).move_to_element(viewer).click_and_hold().move_by_offset(90, 30).release().perform()
    assert differ(before, look()) > 0.01
    assert shown.find_element("id", "info").text == ""


def test_a_click_names_the_part(shown: Any, look: Look) -> None:
    from selenium.webdriver import ActionChains

    shown.find_element("css selector", "[data-view=front]").click()
    look()
    ActionChains(shown).move_to_element(shown.find_element("id", "viewer")).click().perform()
    text = shown.find_element("id", "info").text
    assert text.startswith("A1 front panel · ")
    assert "9.22 kg" in text
    shown.find_element("id", "viewer").send_keys("\ue00c")
    assert shown.find_element("id", "info").text == ""


def test_a_click_tells_the_thickness(shown: Any, look: Look) -> None:
    from selenium.webdriver import ActionChains

    put(shown, "walls", True)
    shown.find_element("css selector", "[data-view=side]").click()
    look()
    assert shown.find_element("id", "legend").is_displayed()
    ActionChains(shown).move_to_element(shown.find_element("id", "viewer")).click().perform()
    text = shown.find_element("id", "info").text
    assert text.startswith("Concrete, ")
    assert 45 <= float(text.split()[1]) <= 75


def test_a_button_of_the_list_shows_the_part(shown: Any, look: Look) -> None:
    before = look()
    button = shown.find_element("css selector", "button[data-mark=C1]")
    shown.execute_script("arguments[0].scrollIntoView({block: 'center'})", button)
    button.click()
    assert shown.find_element("id", "info").text.startswith("C1 base plate")
    assert shown.switch_to.active_element.get_attribute("id") == "viewer"
    assert differ(before, look()) > 0.01


def test_tables_are_filtered(shown: Any) -> None:
    def rows(table: str) -> int:
        script = "return [...document.querySelectorAll(arguments[0])].filter((row) => row.offsetParent).length"
        return int(shown.execute_script(script, f"#{table} tbody tr"))

    assert rows("checks-table") > 40
    (said,) = shown.find_elements("css selector", "[data-empty=checks-table]")
    assert not said.is_displayed()
    put(shown, "failing-only", True)
    assert rows("checks-table") == 0
    assert said.is_displayed()
    shown.find_element("css selector", "input[data-table=parts-table]").send_keys("nose")
    assert rows("parts-table") == 5


def test_drawings_and_chapters_open(shown: Any) -> None:
    details = shown.find_element("css selector", "details.drawing")
    shown.execute_script("arguments[0].open = true", details)
    for _ in range(50):
        count = shown.execute_script(
            "return arguments[0].querySelector('.sheet').shadowRoot?.childElementCount", details
        )
        if count:
            break
        time.sleep(0.05)
    assert count == 1
    shown.execute_script("dispatchEvent(new Event('beforeprint'))")
    assert shown.execute_script("return [...document.querySelectorAll('details.chapter')].every((one) => one.open)")


def test_links_resolve(shown: Any, package: Path) -> None:
    links = [a.get_attribute("href") for a in shown.find_elements("css selector", "#files a")]
    beside = [Path(unquote(urlparse(link).path)) for link in links if link.startswith("file:")]
    assert len(beside) > 20
    assert all(path.is_file() and package in path.parents for path in beside)
    for link in shown.find_elements("css selector", "#files a[download]"):
        script = "const done = arguments[1]; done(atob(arguments[0].href.split(',')[1]).length)"
        size = shown.execute_async_script(script, link)
        assert size == (package / link.get_attribute("download")).stat().st_size


@pytest.mark.parametrize("width", [360, 820])
def test_narrow_screens_do_not_scroll_sideways(shown: Any, width: int) -> None:
    metrics = {"width": width, "height": 740, "deviceScaleFactor": 1, "mobile": True}
    shown.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
    try:
        shown.execute_script("for (const one of document.querySelectorAll('details')) one.open = true")
        assert shown.execute_script("return document.documentElement.scrollWidth") <= width
        box = shown.execute_script("return document.getElementById('viewer').getBoundingClientRect().toJSON()")
        assert box["width"] > 0.9 * width
        assert box["height"] < 740 * 0.9
    finally:
        shown.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def test_the_legend_leaves_the_model_free_on_a_phone(shown: Any, look: Look) -> None:
    metrics = {"width": 360, "height": 740, "deviceScaleFactor": 1, "mobile": True}
    shown.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
    try:
        put(shown, "walls", True)
        look()  # the frame has its new size
        put(shown, "walls", True)
        below = look()[shown.find_element("id", "legend").size["height"] + 1 : -2, 2:-2]
        filled = np.any(below != 255, axis=2).any(axis=1)
        assert not filled[:3].any()
        assert filled.mean() > 0.8
    finally:
        shown.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def test_read_without_scripts(browser: Any, package: Path) -> None:
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    try:
        browser.get((package / "report.html").as_uri())
        body = browser.find_element("tag name", "body").text
        assert "Without scripts the model" in body
        assert "checks hold." in body
        assert "Local health rules decide" in body
        assert browser.find_element("css selector", ".still img").is_displayed()
        assert not browser.find_element("id", "viewer").is_displayed()
    finally:
        browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})


def test_without_a_graphics_interface_pictures_stand_in(browser: Any, package: Path) -> None:
    script = {"source": "HTMLCanvasElement.prototype.getContext = () => null"}
    number = browser.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", script)["identifier"]
    try:
        browser.get((package / "report.html").as_uri())
        assert wait_until_drawn(browser) == 0
        assert "take the files of the package" in browser.find_element("id", "no-model").text
        assert browser.find_element("css selector", ".still img").is_displayed()
        assert not browser.find_element("id", "viewer").is_displayed()
        browser.find_element("css selector", "button[data-mark=C1]").click()
    finally:
        browser.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", {"identifier": number})


def test_nothing_is_asked_of_the_network(shown: Any) -> None:
    names = shown.execute_script("return performance.getEntriesByType('resource').map((entry) => entry.name)")
    assert [name for name in names if not name.startswith("data:")] == []
