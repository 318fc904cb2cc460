"""A mould to be turned in a notebook: the stage of the report page as a piece of HTML that needs no network.

It stands in a frame of its own that may run scripts and nothing else: it cannot reach the notebook, nor load anything.
The kernel is not needed, so the concrete is not in it.
"""

from __future__ import annotations

from typing import Final

from mouldgeom.drawing.paper import words_of
from mouldgeom.drawing.picture import png_bytes
from mouldgeom.model.assembly import Mould
from mouldgeom.model.mesh import part_mesh
from mouldgeom.outputs.page.document import FILES, document
from mouldgeom.outputs.page.glb import glb_bytes
from mouldgeom.outputs.page.html import data_script, said, tag
from mouldgeom.outputs.page.library import LICENCE
from mouldgeom.outputs.page.pieces import CHORD, mould_nodes
from mouldgeom.outputs.page.stage import controls, frame, keys_help, model_script, no_model, stage_data
from mouldgeom.outputs.page.stills import closed, figure

_NO_SCALE: Final = ((0.0, 1.0), ((0.0, 0.0, 0.0), (1.0, 1.0, 1.0)))
"""Stands for the thickness of walls, where no concrete is shown."""


def view_html(mould: Mould, height: int = 480) -> str:
    """A mould to be turned, taken apart and cut open: an ``<iframe>`` with all that it needs, the same text each time.

    Where no script runs, a picture stands in it; a notebook that shows no frames wants ``view_png`` beside it.

    Args:
        mould: what is shown, in the casting frame; its texts are in the language of its papers.
        height: of the frame, in pixels of the page.
    """
    words = words_of(mould.dims.spec)
    meshes = {part.mark: part_mesh(part, CHORD) for part in mould.parts}
    still = figure(closed(mould, meshes), said(words("The mould, ready for casting")))
    legend = tag("div", "", id="legend", hidden="")
    left = frame(words("3-D model"), legend) + tag("div", still, class_="still") + no_model()
    side = tag("div", controls(words, mould, cast=False) + keys_help(words), class_="side")
    body = [
        tag("div", tag("div", left) + side, class_="stage"),
        model_script(glb_bytes(*mould_nodes(mould, meshes), "mould")),
        data_script("page-data", stage_data(words, mould, *_NO_SCALE)),
        f"<!-- {LICENCE} -->",
    ]
    title = mould.dims.spec.title
    page = document(words.language, title, "\n".join(body), (FILES / "view.css").read_text("utf-8"))
    return tag(
        "iframe",
        "",
        srcdoc=page,
        sandbox="allow-scripts",
        title=title,
        width="100%",
        height=str(height),
        style="border:1px solid #cfd5db",
    )


def view_png(mould: Mould) -> bytes:
    """The mould ready for casting as a PNG, the same bytes each time: for a notebook that runs no scripts."""
    return png_bytes(closed(mould, {part.mark: part_mesh(part, CHORD) for part in mould.parts}))
