"""The section with the 3-D model: its frame, its controls, its still pictures, and the data that its script reads."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from mouldgeom.drawing.colours import CONCRETE_COLOUR, GROUP_COLOURS, TUBE_COLOUR, Colour
from mouldgeom.model.assembly import Mould
from mouldgeom.outputs.page.html import packed, said, tag
from mouldgeom.outputs.page.scene import Scene
from mouldgeom.outputs.page.sections import part_info, sheet
from mouldgeom.outputs.page.stills import stills
from mouldgeom.outputs.page.wall_colours import ramp
from mouldgeom.outputs.papers.naming import part_name
from mouldgeom.solids import SolidMould
from mouldgeom.units import Mm
from mouldgeom.words import Words

_STOPS: Final = 9
_MARKS: Final = 5


def page_data(words: Words, mould: Mould, scene: Scene) -> dict[str, Any]:
    """What the scripts of the page read; its texts are in the page's language."""
    colours: dict[str, Colour] = {str(group): colour for group, colour in GROUP_COLOURS.items()}
    colours |= {"concrete": CONCRETE_COLOUR, "tube": TUBE_COLOUR}
    return {
        "language": words.language,
        "height": round(mould.dims.height, 3),
        "scale": list(scene.scale),
        "ramp": [_short(ramp(i / (_STOPS - 1))) for i in range(_STOPS)],
        "colours": {name: _short(colour) for name, colour in colours.items()},
        "parts": part_info(words, mould),
        "words": {
            "tooOld": words("This browser cannot show it; take the files of the package."),
            "each": words("{quantity} of {mass} each"),
            "concrete": words("Concrete"),
            "tube": words("Outlet tube"),
            "wallHere": words("Concrete, {value} mm thick here"),
        },
    }


def _short(colour: Colour) -> list[float]:
    return [round(c, 3) for c in colour]


def model(words: Words, solids: SolidMould, scene: Scene) -> str:
    """The frame, its controls, and pictures in its place where no script runs."""
    label = words("Model of mould and filter: drag or arrow keys turn it, plus and minus zoom")
    inside = tag("canvas", "", id="canvas", aria_hidden="true") + _legend(words, scene.scale)
    inside += tag("div", "", id="info", class_="info", role="status")
    frame = tag(
        "div",
        inside,
        id="viewer",
        class_="viewer",
        tabindex="0",
        role="application",
        aria_label=label,
        aria_describedby="help",
    )
    left = frame + stills(words, solids, scene) + tag("p", "", id="no-model", hidden="")
    stage = tag("div", tag("div", left) + _controls(words, solids.mould), class_="stage")
    keys = words(
        "Drag to turn, wheel or two fingers to zoom, shift and drag or two fingers to move. Keys: arrows turn, shift "
        "and arrows move, + and - zoom, 0 starts again, Escape shows all parts. Click a part to see what it is."
    )
    script = f'<script type="application/gzip" id="model-data">{packed(scene.glb)}</script>'
    return sheet(words, "model", "3-D model", stage + tag("p", said(keys), id="help", class_="help js") + script)


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


def _controls(words: Words, mould: Mould) -> str:
    views = "".join(
        tag("button", said(words(title)), type="button", data_view=name)
        for name, title in (("front", "Front"), ("side", "Side"), ("top", "Top"), ("iso", "Corner"))
    )
    upright = tag("button", said(words("Upright")), type="button", id="upright", aria_pressed="false")
    shown = "".join(
        _check(words, f"show-{name}", title, checked)
        for name, title, checked in (
            ("mould", "Mould", True),
            ("concrete", "Concrete and tube", True),
            ("gear", "Bridge and jack screw", False),
            ("edges", "Edges", True),
        )
    )
    options = (("", "Not cut"), ("x", "Left to right"), ("z", "Front to back"), ("y", "Along the height"))
    axis = tag(
        "select",
        "".join(f'<option value="{value}">{said(words(title))}</option>' for value, title in options),
        id="cut-axis",
        aria_label=words("Direction of the cut"),
    )
    flip = '<label><input type="checkbox" id="cut-flip" disabled> ' + said(words("Other half")) + "</label>"
    marks = "".join(f'<option value="{part.mark}">{said(part_name(words, part))}</option>' for part in mould.parts)
    part = (
        '<input type="search" id="part" list="marks" autocomplete="off" '
        + f'aria-label="{said(words("Mark of a part"))}">'
    )
    part += f'<datalist id="marks">{marks}</datalist>'
    part += tag("button", said(words("All parts")), type="button", id="all-parts")
    fields = (
        ("View", _row(views + upright)),
        ("Shown", shown),
        ("Take apart", _slider("apart", words("Take apart"), 100, 0)),
        ("Cut open", _row(axis + flip) + _slider("cut-at", words("Place of the cut"), 1000, 500, disabled=True)),
        ("Part by its mark", _row(part)),
        ("Colour", _check(words, "walls", "Thickness of the concrete", False)),
    )
    return tag(
        "div",
        "".join(tag("fieldset", tag("legend", said(words(title))) + inner) for title, inner in fields),
        class_="controls js",
    )


def _row(inner: str) -> str:
    return tag("div", inner, class_="row")


def _check(words: Words, name: str, title: str, checked: bool) -> str:
    state = " checked" if checked else ""
    return f'<label><input type="checkbox" id="{name}"{state} autocomplete="off"> {said(words(title))}</label>'


def _slider(name: str, label: str, last: int, first: int, *, disabled: bool = False) -> str:
    state = " disabled" if disabled else ""
    return (
        f'<input type="range" id="{name}" min="0" max="{last}" value="{first}" step="1" '
        f'aria-label="{said(label)}" autocomplete="off"{state}>'
    )


def scripts_of(library: str, own: Sequence[str]) -> list[str]:
    """Scripts in the order in which they run; none may end its element early."""
    for script in (library, *own):
        assert "</script" not in script.lower()
    return [own[0], library, *own[1:]]
