"""The stage of a 3-D model: its frame, its controls, and the data that its script reads.

The report page and the view for notebooks stand on it; nothing here needs the kernel.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from mouldgeom.drawing.colours import CONCRETE_COLOUR, GROUP_COLOURS, TUBE_COLOUR, Colour
from mouldgeom.model.assembly import Mould
from mouldgeom.outputs.page.html import packed, said, tag
from mouldgeom.outputs.page.sections import part_info
from mouldgeom.outputs.papers.naming import part_name
from mouldgeom.units import Mm
from mouldgeom.words import Words


def stage_data(words: Words, mould: Mould, scale: tuple[Mm, Mm], ramp: Sequence[Colour]) -> dict[str, Any]:
    """What the scripts read, its texts in the language of the page.

    Args:
        words: language and units.
        mould: what is shown.
        scale: ends of the colour scale for the thickness of walls, mm.
        ramp: its colours, from the thin end on.
    """
    colours: dict[str, Colour] = {str(group): colour for group, colour in GROUP_COLOURS.items()}
    colours |= {"concrete": CONCRETE_COLOUR, "tube": TUBE_COLOUR}
    return {
        "language": words.language,
        "height": round(mould.dims.height, 3),
        "scale": list(scale),
        "ramp": [_short(colour) for colour in ramp],
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


def frame(label: str, legend: str) -> str:
    """What the model is drawn in; its help has the name ``help``."""
    inside = tag("canvas", "", id="canvas", aria_hidden="true") + legend
    inside += tag("div", "", id="info", class_="info", role="status")
    return tag(
        "div",
        inside,
        id="viewer",
        class_="viewer",
        tabindex="0",
        role="application",
        aria_label=label,
        aria_describedby="help",
    )


def keys_help(words: Words) -> str:
    """What hand and keys do."""
    keys = words(
        "Drag to turn, wheel or two fingers to zoom, shift and drag or two fingers to move. Keys: arrows turn, shift "
        "and arrows move, + and - zoom, 0 starts again, Escape shows all parts. Click a part to see what it is."
    )
    return tag("p", said(keys), id="help", class_="help js")


def model_script(glb: bytes) -> str:
    """The model as the script finds it."""
    return f'<script type="application/gzip" id="model-data">{packed(glb)}</script>'


def no_model() -> str:
    """Where it is said that the model cannot be drawn."""
    return tag("p", "", id="no-model", hidden="")


def controls(words: Words, mould: Mould, *, cast: bool) -> str:
    """Everything that is set; what is about the concrete is there but hidden where no concrete is shown."""
    views = "".join(
        tag("button", said(words(title)), type="button", data_view=name)
        for name, title in (("front", "Front"), ("side", "Side"), ("top", "Top"), ("iso", "Corner"))
    )
    upright = tag("button", said(words("Upright")), type="button", id="upright", aria_pressed="false")
    mould_shown, cast_shown, *others_shown = (
        _check(words, f"show-{name}", title, checked)
        for name, title, checked in (
            ("mould", "Mould", True),
            ("concrete", "Concrete and tube", True),
            ("gear", "Bridge and jack screw" if mould.dims.has_bridge else "Forcing screws", False),
            ("edges", "Edges", True),
        )
    )
    shown = "".join((mould_shown, cast_shown if cast else tag("div", cast_shown, hidden=""), *others_shown))
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
    )
    walls = tag("legend", said(words("Colour"))) + _check(words, "walls", "Thickness of the concrete", False)
    sets = [tag("fieldset", tag("legend", said(words(title))) + inner) for title, inner in fields]
    sets.append(tag("fieldset", walls, **({} if cast else {"hidden": ""})))
    return tag("div", "".join(sets), class_="controls js")


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
