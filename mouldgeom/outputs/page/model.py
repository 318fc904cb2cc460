"""The section with the 3-D model: its frame, its controls, its still pictures, and the data that its script reads."""

from __future__ import annotations

from typing import Any, Final

from mouldgeom.model.assembly import Mould
from mouldgeom.outputs.page.html import said, tag
from mouldgeom.outputs.page.scene import Scene
from mouldgeom.outputs.page.sections import sheet
from mouldgeom.outputs.page.stage import controls, frame, keys_help, model_script, no_model, stage_data
from mouldgeom.outputs.page.stills import stills
from mouldgeom.outputs.page.wall_colours import ramp
from mouldgeom.solids import SolidMould
from mouldgeom.units import Mm
from mouldgeom.words import Words

_STOPS: Final = 9
_MARKS: Final = 5


def page_data(words: Words, mould: Mould, scene: Scene) -> dict[str, Any]:
    """What the scripts of the page read; its texts are in the page's language."""
    return stage_data(words, mould, scene.scale, [ramp(i / (_STOPS - 1)) for i in range(_STOPS)])


def model(words: Words, solids: SolidMould, scene: Scene) -> str:
    """The frame, its controls, and pictures in its place where no script runs."""
    label = words("Model of mould and filter: drag or arrow keys turn it, plus and minus zoom")
    left = frame(label, _legend(words, scene.scale)) + stills(words, solids, scene) + no_model()
    stage = tag("div", tag("div", left) + controls(words, solids.mould, cast=True), class_="stage")
    return sheet(words, "model", "3-D model", stage + keys_help(words) + model_script(scene.glb))


def _legend(words: Words, scale: tuple[Mm, Mm]) -> str:
    low, high = scale
    stops = ",".join("rgb({},{},{})".format(*(round(255 * c) for c in ramp(1 - i / 8))) for i in range(_STOPS))
    values = [high - (high - low) * i / (_MARKS - 1) for i in range(_MARKS)]
    texts = [words.number(value, 1) + " mm" for value in values]
    texts[0] = "≥ " + texts[0]
    marks = tag("ol", "".join(f"<li>{said(text)}</li>" for text in texts))
    bar = tag("div", f'<i style="--stops:{stops}"></i>{marks}', class_="bar")
    title = said(words("Thickness of the concrete as cast: bulge of the steel counted"))
    return tag("div", title + bar, id="legend", class_="legend", hidden="")
