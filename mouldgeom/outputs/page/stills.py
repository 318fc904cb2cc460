"""Still pictures in place of the model: where no script runs, and on paper."""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Final

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
from mouldgeom.identity import APART
from mouldgeom.model.assembly import Mould
from mouldgeom.model.mesh import Mesh
from mouldgeom.outputs.page.html import said, tag
from mouldgeom.words import Words

if TYPE_CHECKING:  # both load the kernel
    from mouldgeom.outputs.page.scene import Scene
    from mouldgeom.solids import SolidMould

WIDTH: Final = 360
HEIGHT: Final = 480


def stills(words: Words, solids: SolidMould, scene: Scene) -> str:
    """The mould from outside and the filter cut in half, with what they show said below."""
    tube = SceneItem(scene.tube, TUBE_COLOUR)
    pictures = (
        (closed(solids.mould, scene.meshes, (tube,)), words("The mould, ready for casting")),
        (mould_picture(solids, PictureKind.SECTION, WIDTH), words("The filter, cut in half")),
    )
    return tag("div", "".join(figure(picture, said(text)) for picture, text in pictures), class_="still")


def figure(picture: Pixels, text: str) -> str:
    """A picture with what it shows said below."""
    data = base64.b64encode(png_bytes(picture)).decode("ascii")
    image = f'<img src="data:image/png;base64,{data}" alt="{text}" width="{WIDTH}" height="{HEIGHT}">'
    return tag("figure", image + tag("figcaption", text))


def closed(mould: Mould, meshes: Mapping[str, Mesh], more: Sequence[SceneItem] = ()) -> Pixels:
    """The mould ready for casting and what else stands there, by coarse meshes: at this size nobody sees their chords.

    Args:
        mould: the mould.
        meshes: of its parts, each in its own frame, by mark.
        more: what else is seen, such as the outlet tube.
    """
    fitted = [piece for piece in mould.pieces() if not piece.unit.within(*APART)]
    items = [SceneItem(meshes[p.mark], GROUP_COLOURS[p.part.group], p.placement) for p in fitted]
    return render([*items, *more], Camera(35.0, 28.0), WIDTH, HEIGHT)
