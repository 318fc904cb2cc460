"""Two still pictures in place of the model: where no script runs, and on paper."""

from __future__ import annotations

import base64
from typing import Final

from mouldgeom.drawing.colours import GROUP_COLOURS, TUBE_COLOUR
from mouldgeom.drawing.picture import (
    Camera,
    PictureKind,
    Pixels,
    SceneItem,
    mould_picture,
    png_bytes,
    render,
)
from mouldgeom.identity import GEAR
from mouldgeom.model.assembly import Mould
from mouldgeom.outputs.page.html import said, tag
from mouldgeom.outputs.page.scene import TUBE, Scene
from mouldgeom.solids import SolidMould
from mouldgeom.words import Words

WIDTH: Final = 360
HEIGHT: Final = 480


def stills(words: Words, solids: SolidMould, scene: Scene) -> str:
    """The mould from outside and the filter cut in half, with what they show said below."""
    pictures = (
        (_closed(solids.mould, scene), words("The mould, ready for casting")),
        (mould_picture(solids, PictureKind.SECTION, WIDTH), words("The filter, cut in half")),
    )
    return tag("div", "".join(_figure(picture, said(text)) for picture, text in pictures), class_="still")


def _figure(picture: Pixels, text: str) -> str:
    data = base64.b64encode(png_bytes(picture)).decode("ascii")
    image = f'<img src="data:image/png;base64,{data}" alt="{text}" width="{WIDTH}" height="{HEIGHT}">'
    return tag("figure", image + tag("figcaption", text))


def _closed(mould: Mould, scene: Scene) -> Pixels:
    """The mould ready for casting, by the meshes of the page: at this size nobody sees their chords."""
    fitted = [piece for piece in mould.pieces() if not piece.unit.within(GEAR)]
    items = [SceneItem(scene.meshes[p.mark], GROUP_COLOURS[p.part.group], p.placement) for p in fitted]
    return render([*items, SceneItem(scene.meshes[TUBE], TUBE_COLOUR)], Camera(35.0, 28.0), WIDTH, HEIGHT)
