"""What several tests reckon apart from the package, to compare its own answers with."""

from __future__ import annotations

from mouldgeom.identity import Role, Side
from mouldgeom.model.assembly import Mould
from mouldgeom.rules import NewtonPerMm
from mouldgeom.strength.fields import panel_face, shell_sheet, side_load
from mouldgeom.units import Mm


def edge_reaction(mould: Mould, wall: Side, z: Mm) -> NewtonPerMm:
    """Force that a panel brings to each mm of each of its vertical edges at a height, stiffeners' ends included.

    At z = 0: to the mm of its base edge that bears most.  By the load as it is.

    Source: statics, from the fields, posts and stiffeners of the face.
    """
    dims = mould.dims
    found = panel_face(dims, wall)
    side = dims.stock.tube.side_mm
    posts = [bar for bar in found.bars if bar.role is Role.NOSE_POST]
    if z <= 0:
        base = next(line.greatest for line in found.lines if line.line == "base flange")
        return base + max((post.force / side for post in posts), default=0.0)
    for bar in found.bars:
        if bar not in posts and abs(z - bar.z) <= side / 2:
            return bar.force / side
    sheet = shell_sheet(dims)
    half = (dims.depth if wall.crosswise else dims.width) / 2
    return max((side_load(sheet, f, z) for f in found.fields if abs(f.right - half) < 1e-6), default=0.0)
