"""Where the weld seams of a mould run: every line from its pieces and dimensions.

Each line is the root of a weld in the casting frame; it lies on both pieces, a fit or weld gap aside.  Seams stand in
the order in which they are made: core, base, panels, handles, nose, bridge.  The concrete side carries no bead: a seam
there is ``flush``, ground level with the sheet.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from mouldgeom import tables
from mouldgeom.assembly import Mould, Piece, bar_diameter
from mouldgeom.bought import square_tube
from mouldgeom.choices import PAIR
from mouldgeom.parts.axes import ENDS, SIDES, Z
from mouldgeom.rules import fillet_leg_least
from mouldgeom.shapes import SAME, Bar, Fastener, Placement, Plate, Point, SectionKind, Vec, add, cross, dot
from mouldgeom.stock.welds import Line, Seam, SeamKind, fillet_leg_greatest_at_edge, usual_pattern
from mouldgeom.units import Mm


def seams(mould: Mould) -> tuple[Seam, ...]:
    """Return every seam of a mould, in the order of welding."""
    site = _Site(mould)
    return (
        *_core(site),
        *_base(site),
        *_panels(site),
        *_handles(site),
        *_nose(site),
        *_bridge(site),
        *_boxes(site),
    )


class _Site:
    """The mould with its pieces by name, to make seams from."""

    def __init__(self, mould: Mould) -> None:
        self.dims = mould.dims
        self.pieces = {piece.name: piece for piece in mould.pieces()}
        self.pairs = _pairs(self.pieces, mould.dims.stock.tube)
        self.pieces |= {box.name: box for box, _ in self.pairs}

    def named(self, head: str) -> list[tuple[str, Piece]]:
        """What stands after the comma in the name, and the piece, of all pieces so called."""
        halves = {f"{box.name} {letter}" for box, _ in self.pairs for letter in "ab"}
        named = ((n, p) for n, p in self.pieces.items() if n.partition(",")[0] == head and n not in halves)
        return [(n.partition(", ")[2], p) for n, p in named]

    def seam(
        self,
        name: str,
        one: str,
        other: str,
        lines: Sequence[Line],
        kind: SeamKind,
        *,
        through: bool,
        flush: bool = False,
        at_edge: bool = False,
        radius: Mm = 0.0,
        bears: bool = False,
    ) -> Seam:
        """Size a seam; beside a corner that is sharp, a flare is a fillet; one that ``bears`` gets a fillet on it."""
        if kind is SeamKind.FLARE and not radius:
            kind = SeamKind.FILLET
        pieces = (self.pieces[one], self.pieces[other])
        thick = [_thickness(piece) for piece in pieces]
        leg = fillet_leg_least(*thick)
        source = "leg: AWS D1.1:2025 Table 7.7, notes a, b"
        if at_edge:
            leg = min(leg, fillet_leg_greatest_at_edge(thick[0]))
            source += "; AISC 360 J2.2b at an edge"
        pattern = None if through else usual_pattern(leg)
        source += "; " + ("continuous" if through else "run: AISC 360 J2.2b; pitch: shop practice (from memory)")
        marks = (pieces[0].mark, pieces[1].mark)
        laid = leg if bears and kind is SeamKind.FLARE else 0.0
        source += "; fillet on a filled flare: AISC 360-10 Table J2.2 note a" if laid else ""
        return Seam(name, (one, other), marks, tuple(lines), kind, leg, radius, pattern, flush, source, laid)


def _pairs(pieces: Mapping[str, Piece], tube: tables.SquareTube) -> list[tuple[Piece, Piece]]:
    """Two angles that stand for a square tube, as one box centred on its axis; and the second of them.

    The box bears the mark of the angles; its name is theirs without the letter.
    """
    if not tube.designation.startswith(PAIR):
        return []
    half, out = tube.side_mm / 2, []
    for name, piece in pieces.items():
        other = pieces.get(f"{name[:-1]}b") if name.endswith(" a") else None
        if other is not None and isinstance(piece.part, Bar):
            bar = replace(piece.part, kind=SectionKind.SQUARE_TUBE, section=tube.designation, holes=())
            at = piece.placement.of(Placement((half, half, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)))
            out.append((Piece(piece.mark, name[:-2], bar, at), other))
    return out


def _boxes(site: _Site) -> list[Seam]:
    """Two angles toe to toe: a seam along each of the two corners where they meet."""
    out = []
    for box, other in site.pairs:
        half, length = _round(box)[0], _bar(box).length
        lines = [_local(box, (x, -x, 0.0), (x, -x, length)) for x in (half, -half)]
        out.append(site.seam("angle to angle", f"{box.name} a", other.name, lines, SeamKind.EDGE, through=False))
    return out


def _thickness(piece: Piece) -> Mm:
    part = piece.part
    if isinstance(part, Plate):
        return part.thickness
    if isinstance(part, Fastener):
        return part.length
    if part.kind is SectionKind.ANGLE:
        return tables.angle(part.section).thickness_mm
    if part.kind is SectionKind.SQUARE_TUBE:
        return square_tube(part.section).thickness_mm
    return bar_diameter(part)


def _local(piece: Piece, start: Vec, end: Vec) -> Line:
    return piece.placement.to_casting(start), piece.placement.to_casting(end)


def _bar(piece: Piece) -> Bar:
    assert isinstance(piece.part, Bar)
    return piece.part


def _plate(piece: Piece) -> Plate:
    assert isinstance(piece.part, Plate)
    return piece.part


def _round(piece: Piece) -> tuple[Mm, Mm]:
    """Half side and outer corner radius of a square tube."""
    row = square_tube(_bar(piece).section)
    return row.side_mm / 2, row.outer_radius_mm


def _tube_lines(piece: Piece, towards: Vec) -> list[Line]:
    """Where the flat of a tube's side ends on the plate that lies against it, both sides."""
    half, radius = _round(piece)
    axis = piece.placement.z
    across = cross(axis, towards)
    start = add(piece.placement.origin, towards, half)
    out = []
    for sign in (1.0, -1.0):
        root = add(start, across, sign * (half - radius))
        out.append((root, add(root, axis, _bar(piece).length)))
    return out


def _angle_lines(piece: Piece, leg: str) -> tuple[Line, Line]:
    """Toe and heel of the leg of an angle that lies on a plate with its outer face."""
    toe = tables.angle(_bar(piece).section).leg_mm
    length = _bar(piece).length
    x, y = (toe, 0.0) if leg == "x" else (0.0, toe)
    return _local(piece, (x, y, 0.0), (x, y, length)), _local(piece, (0.0, 0.0, 0.0), (0.0, 0.0, length))


def _leg_on(piece: Piece, normal: Vec) -> str:
    """Which leg of an angle has its outer face against a plate with this normal."""
    return "x" if abs(dot(piece.placement.y, normal)) > abs(dot(piece.placement.x, normal)) else "y"


def _on(line: Line, piece: Piece) -> list[Line]:
    """The part of a line that lies over a plate whose outline is convex."""
    at = piece.placement
    (ax, ay, az), (bx, by, bz) = (at.to_local(point) for point in line)
    low, high = 0.0, 1.0
    for v, w in _plate(piece).outline.edges:
        length = math.hypot(w.x - v.x, w.y - v.y)
        nx, ny = -(w.y - v.y) / length, (w.x - v.x) / length
        here = (ax - v.x) * nx + (ay - v.y) * ny + 1e-3
        there = (bx - v.x) * nx + (by - v.y) * ny + 1e-3
        if max(here, there) < 0:
            return []
        if here < 0:
            low = max(low, here / (here - there))
        if there < 0:
            high = min(high, here / (here - there))
    if high - low <= SAME:
        return []

    def point(share: float) -> Vec:
        return at.to_casting((ax + share * (bx - ax), ay + share * (by - ay), az + share * (bz - az)))

    return [(point(low), point(high))]


# ---------------------------------------------------------------- core and base


def _core(site: _Site) -> list[Seam]:
    dims, out = site.dims, []
    foot = dims.shell * math.sin(math.radians(dims.draft))
    top = dims.end_z - dims.shell
    for side, sx in SIDES:
        for end, sy in ENDS:
            ends = [(sx * dims.core_half_x(z), sy * (dims.core_half_y(z) - dims.wall_inset), z) for z in (foot, top)]
            one, other = f"core wall, {side}", f"core wall, {end}"
            lines = [(ends[0], ends[1])]
            out.append(site.seam("core corner", one, other, lines, SeamKind.EDGE, through=True, flush=True))
    out += _inside(site)
    for wall, along, sign in _walls(site):
        x, y = dims.core_half_x(top), dims.core_half_y(top)
        if along == "x":
            lines = [((-x, sign * y, top), (x, sign * y, top))]
        else:
            lines = [((sign * x, dims.wall_inset - y, top), (sign * x, y - dims.wall_inset, top))]
        out.append(site.seam("end plate to wall", "end plate", wall, lines, SeamKind.EDGE, through=True, flush=True))
    return out + _strips(site)


def _walls(site: _Site) -> list[tuple[str, str, float]]:
    """Each core wall, the direction of its level edges, and the side that it stands on."""
    ends = [(f"core wall, {end}", "x", sign) for end, sign in ENDS]
    return ends + [(f"core wall, {side}", "y", sign) for side, sign in SIDES]


def _inside(site: _Site) -> list[Seam]:
    """Diaphragms, and the anchor plate with its nut, welded on the underside from the rim: the deepest first."""
    out = []
    nut = site.pieces["jack nut, anchor"]
    row = site.dims.stock.jack
    reach = row.across_flats_mm / math.sqrt(3)
    corners = [(reach * math.cos(a), reach * math.sin(a), 0.0) for a in (i * math.pi / 3 for i in range(7))]
    rim = [_local(nut, a, b) for a, b in itertools.pairwise(corners)]
    out.append(site.seam("jack nut to anchor plate", nut.name, "anchor plate", rim, SeamKind.FILLET, through=True))
    inner = [piece for name, piece in site.pieces.items() if name == "anchor plate" or name.startswith("diaphragm")]
    for piece in sorted(inner, key=lambda piece: -piece.placement.origin[2]):
        is_anchor = piece.name == "anchor plate"
        title = f"{'anchor plate' if is_anchor else 'diaphragm'} to wall"
        for wall, along, sign in _walls(site):
            line = _side_line(piece, along, sign)
            out.append(site.seam(title, piece.name, wall, [line], SeamKind.FILLET, through=is_anchor))
    return out


def _side_line(piece: Piece, along: str, sign: float) -> Line:
    """The straight edge of a level plate on one side, on its underside."""
    plate = _plate(piece)
    for a, b in plate.outline.edges:
        line = _local(piece, (a.x, a.y, -plate.thickness), (b.x, b.y, -plate.thickness))
        level = 1 if along == "x" else 0
        if abs(line[0][level] - line[1][level]) < SAME and sign * line[0][level] > 0:
            return line
    raise KeyError(f"{piece.name} has no straight edge there")


def _strips(site: _Site) -> list[Seam]:
    dims, out = site.dims, []
    foot = dims.ledge * math.sin(math.radians(dims.draft))
    for side, sx in SIDES:
        for end, sy in ENDS:
            ends = [(sx * (dims.core_half_x(z) + dims.step), sy * dims.core_half_y(z), z) for z in (foot, dims.ledge_z)]
            one, other = f"ledge strip, {side}", f"ledge strip, {end}"
            lines = [(ends[0], ends[1])]
            out.append(site.seam("ledge strip corner", one, other, lines, SeamKind.EDGE, through=True, flush=True))
    for wall, along, sign in _walls(site):
        strip = wall.replace("core wall", "ledge strip")
        for name, kind, z, level in (
            ("ledge strip to wall, rim end", SeamKind.EDGE, foot, True),
            ("ledge strip to wall, ledge, dressed smooth", SeamKind.FILLET, dims.ledge_z, False),
        ):
            x, y = dims.core_half_x(z), dims.core_half_y(z)
            if along == "x":
                line = ((-x, sign * y, z), (x, sign * y, z))
            else:
                line = ((sign * x, dims.wall_inset - y, z), (sign * x, y - dims.wall_inset, z))
            out.append(site.seam(name, strip, wall, [line], kind, through=True, flush=level, at_edge=True))
    return out


def _base(site: _Site) -> list[Seam]:
    dims, out = site.dims, []
    x, y = dims.core_half_x(0) - dims.wall_inset, dims.core_half_y(0) - dims.wall_inset
    for wall, along, sign in _walls(site):
        line = ((-x, sign * y, 0.0), (x, sign * y, 0.0)) if along == "x" else ((sign * x, -y, 0.0), (sign * x, y, 0.0))
        out.append(site.seam("core to base plate, inside", wall, "base plate", [line], SeamKind.FILLET, through=False))
    for _, piece in site.named("runner"):
        lines = _tube_lines(piece, Z)
        radius = _round(piece)[1]
        out.append(
            site.seam(
                "runner to base plate", piece.name, "base plate", lines, SeamKind.FLARE, through=False, radius=radius
            )
        )
    return out


# ---------------------------------------------------------------- panels


def _panels(site: _Site) -> list[Seam]:
    dims, out = site.dims, []
    inward: dict[str, Vec] = {name: (-sign, 0.0, 0.0) for name, sign in SIDES}
    inward |= {name: (0.0, -sign, 0.0) for name, sign in ENDS}

    def panel_of(where: str) -> str:
        return f"side panel, {where}" if where in dict(SIDES) else f"{where} panel"

    def flange(name: str, piece: Piece, panel: str, where: str, start: Mm = 0.0) -> None:
        toe, heel = _angle_lines(piece, _leg_on(piece, inward[where]))
        toe = (add(toe[0], Z, start), toe[1])
        out.append(site.seam(f"{name}, toe", piece.name, panel, [toe], SeamKind.FILLET, through=False, at_edge=True))
        out.append(site.seam(f"{name}, heel", piece.name, panel, [heel], SeamKind.EDGE, through=False, flush=True))

    leg = dims.stock.angle.leg_mm
    for where, piece in site.named("corner flange"):
        side = where.split()[1]
        flange("corner flange to side panel", piece, f"side panel, {side}", side, leg)
    for head in ("front base flange", "side base flange"):
        for where, piece in site.named(head):
            flange("base flange to panel", piece, panel_of(where), where)
    for side, piece in site.named("side base flange"):
        start, end = piece.placement.origin, add(piece.placement.origin, piece.placement.z, _bar(piece).length)
        for point in (start, end):
            corner = _corner_flange(site, side, point)
            line = (point, add(point, Z, leg))
            out.append(
                site.seam("base flange to corner flange", piece.name, corner, [line], SeamKind.EDGE, through=True)
            )
    for head in ("front stiffener", "side stiffener", "nose post"):
        for where, piece in site.named(head):
            place = where.split()[0]
            lines, radius = _tube_lines(piece, inward[place]), _round(piece)[1]
            out.append(
                site.seam(
                    "stiffener to panel",
                    piece.name,
                    panel_of(place),
                    lines,
                    SeamKind.FLARE,
                    through=False,
                    radius=radius,
                )
            )
            if head == "side stiffener":
                for index in (0, 1):
                    ends = (lines[0][index], lines[1][index])
                    corner = _corner_flange(site, place, ends[0])
                    out.append(
                        site.seam("stiffener to corner flange", piece.name, corner, [ends], SeamKind.EDGE, through=True)
                    )
    return out + _gussets(site)


def _corner_flange(site: _Site, side: str, point: Vec) -> str:
    end = "back" if point[1] > 0 else "front"
    return f"corner flange, {end} {side}"


def _gussets(site: _Site) -> list[Seam]:
    """Both faces of each gusset, along the legs of the angle that it stands in."""
    out = []
    for where, piece in site.named("gusset"):
        plate = _plate(piece)
        edges = [
            (a, b)
            for a, b in plate.outline.edges
            if (max(abs(a.x), abs(b.x)) < SAME) != (max(abs(a.y), abs(b.y)) < SAME)
        ]
        lines = [_local(piece, (a.x, a.y, z), (b.x, b.y, z)) for z in (0.0, -plate.thickness) for a, b in edges]
        flange = f"side base flange, {where.split()[0]}"
        out.append(site.seam("gusset to base flange", piece.name, flange, lines, SeamKind.FILLET, through=True))
    return out


def _handles(site: _Site) -> list[Seam]:
    """Each handle on both stiffeners, both sides, as far as it lies on the flat of the tube."""
    out = []
    for where, piece in site.named("handle"):
        place = where.split()[0]
        rod, (x, y, low) = _bar(piece), piece.placement.origin
        high, radius = low + rod.length, bar_diameter(rod) / 2
        towards: Vec = (
            (-math.copysign(radius, x), 0.0, 0.0) if place in dict(SIDES) else (0.0, -math.copysign(radius, y), 0.0)
        )
        for head in ("front stiffener", "side stiffener"):
            for name, tube in site.named(head):
                half, corner = _round(tube)
                level = tube.placement.origin[2]
                start, end = max(low, level - half + corner), min(high, level + half - corner)
                if name.split()[0] == place and start < end:
                    line = (add((x, y, start), towards), add((x, y, end), towards))
                    out.append(
                        site.seam(
                            "handle to stiffener",
                            piece.name,
                            tube.name,
                            [line, line],
                            SeamKind.FLARE,
                            through=True,
                            radius=radius,
                            bears=True,
                        )
                    )
    return out


# ---------------------------------------------------------------- nose and bridge


def _nose(site: _Site) -> list[Seam]:
    dims, nose, out = site.dims, site.dims.nose, []
    front = site.pieces["nose front"]
    plate = _plate(front)
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = _corners(plate)
    edges = {"left": ((ax, ay), (dx, dy)), "right": ((bx, by), (cx, cy))}
    for side, sign in SIDES:
        name = f"nose side, {side}"
        panel_x = sign * (nose.root_half + dims.shell / math.cos(math.radians(nose.splay)))
        low = nose.low_z - dims.shell / math.sin(math.radians(nose.slope))
        root = [((panel_x, nose.root_y, low), (panel_x, nose.root_y, nose.lid_z))]
        out.append(site.seam("nose side to front panel", name, "front panel", root, SeamKind.FILLET, through=True))
        a, b = edges[side]
        slope = [_local(front, (*a, -plate.thickness), (*b, -plate.thickness))]
        out.append(site.seam("nose front to side", "nose front", name, slope, SeamKind.EDGE, through=True))
    foot = [((-nose.root_half, nose.root_y, nose.low_z), (nose.root_half, nose.root_y, nose.low_z))]
    out.append(site.seam("nose front to front panel", "nose front", "front panel", foot, SeamKind.FILLET, through=True))
    for side, piece in site.named("nose flange"):
        panel = site.pieces[f"nose side, {side}"]
        toe, heel = _angle_lines(piece, "y")
        for name, line, kind in (("toe", toe, SeamKind.FILLET), ("heel", heel, SeamKind.EDGE)):
            lines = _on(line, panel)
            if lines:
                out.append(
                    site.seam(
                        f"nose flange to nose side, {name}",
                        piece.name,
                        panel.name,
                        lines,
                        kind,
                        through=True,
                        flush=name == "heel",
                        at_edge=name == "toe",
                    )
                )
    return out


def _corners(plate: Plate) -> list[Point]:
    """Corners of a plate of four corners: lower left, lower right, upper right, upper left."""
    low, high = sorted(v.y for v in plate.outline.vertices)[1:3]
    points = [(v.x, v.y) for v in plate.outline.vertices]
    foot = sorted(p for p in points if p[1] < (low + high) / 2)
    head = sorted((p for p in points if p[1] > (low + high) / 2), reverse=True)
    return [*foot, *head]


def _bridge(site: _Site) -> list[Seam]:
    out = []
    for side, piece in site.named("bridge leg"):
        half, radius = _round(piece)
        flat = half - radius
        lines = []
        for a, b in (((half, -flat), (half, flat)), ((-flat, half), (flat, half))):
            lines.append(_local(piece, (*a, 0.0), (*b, 0.0)))
            lines.append(_local(piece, (-a[0], -a[1], 0.0), (-b[0], -b[1], 0.0)))
        cap = f"bridge cap, {side}"
        out.append(site.seam("bridge leg to cap", piece.name, cap, lines, SeamKind.FILLET, through=True))
    plates = [piece for name, piece in site.pieces.items() if name.startswith(("bridge cap", "washer plate"))]
    for plate in plates:
        for _, beam in site.named("bridge beam"):
            out += _plate_on_beam(site, plate, beam)
    return out


def _plate_on_beam(site: _Site, plate: Piece, beam: Piece) -> list[Seam]:
    """Across the beam at both edges of the plate, and along the beam's outer side."""
    half, radius = _round(beam)
    x0, _, x1, _ = _plate(plate).outline.bounds
    start, y, level = beam.placement.origin
    low = max(plate.placement.to_casting((x0, 0.0, 0.0))[0], start)
    high = min(plate.placement.to_casting((x1, 0.0, 0.0))[0], start + _bar(beam).length)
    z = level + math.copysign(half, plate.placement.origin[2] - level)
    flat = half - radius
    across = [((x, y - flat, z), (x, y + flat, z)) for x in (low, high)]
    flank = y + math.copysign(flat, y)
    title = f"{plate.name.partition(',')[0]} to beam"
    along = [((low, flank, z), (high, flank, z))]
    return [
        site.seam(f"{title}, across", plate.name, beam.name, across, SeamKind.FILLET, through=True),
        site.seam(f"{title}, along", plate.name, beam.name, along, SeamKind.FLARE, through=True, radius=radius),
    ]
