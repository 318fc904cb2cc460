"""Every field of sheet of a mould between its lines of support, with its bulge, its stress, and where its load goes.

Heights z in the casting frame; ``left`` and ``right`` of a field count across its piece from the middle, along x on
front and back, along y on the sides.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.design.spacing import bar_reaches
from mouldgeom.design.supports import front_span, post_bend, pressed_bar, strip_reach
from mouldgeom.identity import Role
from mouldgeom.model.parts.axes import SIDES
from mouldgeom.model.sides import OUTWARDS
from mouldgeom.rules import NewtonPerMm, beams, bending
from mouldgeom.rules.plate_fields import (
    PressedBar,
    PressedSheet,
    Shared,
    clamped_moment,
    held_moment,
    share_out,
)
from mouldgeom.rules.plate_fields import stress as sheet_stress
from mouldgeom.units import Mm, Mpa, Newton, NewtonMm, Ratio
from mouldgeom.words import Said

WALLS = tuple(OUTWARDS)
EDGES: Final = ("left edge", "right edge")
"""Lines that hold the upright edges of a face."""
_ODD: Mm = 1.0
"""Fields lower or narrower than this are left to their edges."""


def panel_name(wall: str) -> str:
    """Name of the panel outside of a wall: ``"front panel"``, ``"side panel, left"``."""
    return f"{wall} panel" if wall in ("front", "back") else f"side panel, {wall}"


def core_name(wall: str) -> str:
    """Name of the core wall inside of a wall."""
    return f"core wall, {wall}"


@dataclass(frozen=True, slots=True)
class Field:
    """A field of sheet.

    Args:
        piece: name of its plate; ``foot`` and ``top``: names of the lines that hold it there, "" for a free edge.
        low, high: its edges; ``left``, ``right``: its sides at the foot; ``narrow``: its width at the top.
        pressure_low, pressure_high: at foot and top.
        bent: greatest deflection of the sheet between stiff lines; ``sunk``: of the lines that hold it, at most.
        held, clamped: greatest moment in the field, its edges held, and at an edge that the sheet runs on over.
        thickness: of the sheet; ``sheets``: of all that bend together, cubes added.
    """

    piece: str
    foot: str
    top: str
    low: Mm
    high: Mm
    left: Mm
    right: Mm
    narrow: Mm
    pressure_low: Mpa
    pressure_high: Mpa
    bent: Mm
    sunk_low: Mm
    sunk_high: Mm
    sunk_side: Mm
    held: NewtonMm
    clamped: NewtonMm
    thickness: Mm
    sheets: Mm

    @property
    def width(self) -> Mm:
        """Width at the foot, the greatest."""
        return self.right - self.left

    @property
    def free(self) -> bool:
        """Whether the top edge is free."""
        return not self.top

    @property
    def sunk(self) -> Mm:
        """How far the lines that hold it give way, at most."""
        return max(self.sunk_low, self.sunk_high) + self.sunk_side

    @property
    def bulge(self) -> Mm:
        """Greatest bulge: sheet and what holds it together, not less."""
        return self.bent + self.sunk

    @property
    def moment(self) -> NewtonMm:
        """Greatest moment, each mm, by the load as it is."""
        return max(self.held, self.clamped)

    @property
    def stress(self) -> Mpa:
        """Bending stress in the thickest sheet, by the load as it is."""
        return sheet_stress(self.moment, self.thickness) * (self.thickness / self.sheets) ** 3

    def shape(self) -> tuple[Ratio, ...]:
        """Deflection of the sheet up its middle line over the greatest, at even heights from foot to top."""
        share = max(self.pressure_high / self.pressure_low, 0.0) if self.pressure_low > 0 else 1.0
        ratio = min(max((self.high - self.low) / self.width, bending.LEAST_RATIO), bending.GREATEST_RATIO)
        line = bending.profile(round(ratio, 6), 1.0, share, free_top=self.free).deflection
        most = max(line)
        return tuple(max(w / most, 0.0) for w in line)

    @property
    def place(self) -> Mm:
        """Height at which the sheet bulges most."""
        return self.low + bending.greatest(self.shape())[1] * (self.high - self.low)


@dataclass(frozen=True, slots=True)
class BarUse:
    """What a stiffener or post has to do: ``force`` at each end; moment by the load as it is."""

    piece: str
    role: Role
    name: str
    z: Mm
    span: Mm
    deflection: Mm
    moment: NewtonMm
    force: Newton
    stress: Mpa


@dataclass(frozen=True, slots=True)
class LineReaction:
    """What a line of support takes from the sheet of one face: altogether, and on the mm that bears most."""

    face: str
    line: str
    z: Mm
    total: Newton
    greatest: NewtonPerMm


@dataclass(frozen=True)
class PressedFace:
    """A pressed face: its fields, its bars, the lines that hold it, and the whole of its load."""

    piece: str
    fields: tuple[Field, ...]
    bars: tuple[BarUse, ...]
    lines: tuple[LineReaction, ...]
    load: Newton


@dataclass
class _Lines:
    """Reactions as they come in, by line."""

    face: str
    found: dict[str, LineReaction]

    def add(self, line: str, z: Mm, total: Newton, greatest: NewtonPerMm) -> None:
        """Add to a line; what comes from both of its sides acts on the same mm."""
        before = self.found.get(line)
        if before is not None:
            total += before.total
            both = before.greatest + greatest
            greatest = max(before.greatest, greatest) if line in EDGES else both
        self.found[line] = LineReaction(self.face, line, z, total, greatest)


def shared(sheet: PressedSheet, field: Field) -> Shared:
    """Where the load of an upright field goes."""
    return share_out(sheet.fresh, field.low, field.high, field.width, field.narrow, free_top=field.free)


def side_load(sheet: PressedSheet, field: Field, z: Mm) -> NewtonPerMm:
    """What a side of the field takes at a height."""
    if not field.low <= z <= field.high:
        return 0.0
    up, tall = z - field.low, field.high - field.low
    width = field.width + (field.narrow - field.width) * up / tall
    reach = min(up, width / 2) if field.free else min(up, tall - up, width / 2)
    return sheet.fresh.at(sheet.fresh.height - z) * reach


def _take(lines: _Lines, sheet: PressedSheet, field: Field, sides: tuple[str, str]) -> None:
    load, tall = shared(sheet, field), field.high - field.low
    reach = min(field.width / 2, tall if field.free else tall / 2)
    lines.add(field.foot, field.low, load.foot, sheet.force(field.low, field.low + reach))
    if field.top:
        lines.add(field.top, field.high, load.top, sheet.force(field.high - reach, field.high))
    most = max(side_load(sheet, field, field.low + tall * i / 32) for i in range(33))
    for side in sides:
        lines.add(side, field.low, load.side, most)


def _upright(
    sheet: PressedSheet, piece: str, names: tuple[str, str], heights: tuple[Mm, Mm], sides: tuple[Mm, Mm], narrow: Mm
) -> Field:
    low, high = heights
    across, free = sides[1] - sides[0], not names[1]
    return Field(
        piece=piece,
        foot=names[0],
        top=names[1],
        low=low,
        high=high,
        left=sides[0],
        right=sides[1],
        narrow=narrow,
        pressure_low=sheet.fresh.at(sheet.fresh.height - low),
        pressure_high=sheet.fresh.at(sheet.fresh.height - high),
        bent=sheet.bulge(across, low, high, free),
        sunk_low=0.0,
        sunk_high=0.0,
        sunk_side=0.0,
        held=sheet.moment(across, low, high, free=free, clamped=False),
        clamped=sheet.moment(across, low, high, free=free, clamped=True),
        thickness=sheet.thickness,
        sheets=sheet.thickness,
    )


# ---------------------------------------------------------------- panels


def shell_sheet(dims: Dimensions) -> PressedSheet:
    """The shell sheet under the mould's own pour."""
    return PressedSheet(dims.fresh, dims.shell, dims.stock.steel.elastic_modulus_mpa)


def panel_face(dims: Dimensions, wall: str) -> PressedFace:
    """One panel of the outer box."""
    sheet, piece, side = shell_sheet(dims), panel_name(wall), dims.stock.tube.side_mm
    front = wall in ("front", "back")
    across = dims.width if front else dims.depth
    span = front_span(dims.stock, dims.width) if front else dims.depth
    bar = pressed_bar(dims.stock, dims.fresh, across, span)
    start = dims.stock.angle.leg_mm
    heights = dims.front_stiffener_z if wall == "front" else dims.stiffener_z
    names: list[str] = [Said("stiffener {number}", number=dims.stiffener_z.index(z) + 1) for z in heights]
    lines = _Lines(piece, {})
    lines.add("base flange", 0.0, across * sheet.force(0.0, start), sheet.force(0.0, start))
    for name, z in zip(names, heights, strict=True):
        strip = sheet.force(z - side / 2, z + side / 2)
        lines.add(name, z, across * strip, strip)
    posts = dims.nose_posts if wall == "front" else None
    bars = _bar_uses(dims, piece, bar, heights, names)
    fields: list[Field] = []
    edges = [(start, start), *((z - side / 2, z + side / 2) for z in heights), (dims.height, dims.height)]
    sunk = [0.0, *(use.deflection for use in bars), 0.0]
    for number, ((_, low), (high, _)) in enumerate(itertools.pairwise(edges)):
        pair = (["base flange", *names][number], [*names, ""][number])
        if high - low < _ODD:
            lines.add(pair[0], low, across * sheet.force(low, high), sheet.force(low, high))
            continue
        if posts is not None and number == 0:
            strips, uses = _beside_the_nose(dims, sheet, lines, pair, (low, high))
            fields += [replace(f, sunk_low=0.0, sunk_high=sunk[1]) for f in strips]
            bars += uses
            continue
        field = _upright(sheet, piece, pair, (low, high), (-across / 2, across / 2), across)
        _take(lines, sheet, field, EDGES)
        fields.append(replace(field, sunk_low=sunk[number], sunk_high=sunk[number + 1]))
    return PressedFace(
        piece, tuple(fields), tuple(bars), tuple(lines.found.values()), across * sheet.force(0.0, dims.height)
    )


def _bar_uses(dims: Dimensions, piece: str, bar: PressedBar, heights: tuple[Mm, ...], names: list[str]) -> list[BarUse]:
    reaches = bar_reaches(dims.stock.angle.leg_mm, heights, bar)
    modulus = dims.stock.tube.section_modulus_cm3 * 1e3
    posts = dims.nose_posts if piece == panel_name("front") else None
    out = []
    for number, (name, z) in enumerate(zip(names, heights, strict=True)):
        below = reaches[number]
        extra = (0.0, 0.0, 0.0)
        if posts is not None and number == 0:
            below = strip_reach(dims.stock, bar.across, posts)
            _, span, load = post_bend(dims.stock, shell_sheet(dims), bar.across, posts)
            extra = bar.pair(load * span / 2, posts.x)
        bent, moment, force = (a + b for a, b in zip(bar.bend(z, below, reaches[number + 1]), extra, strict=True))
        out.append(BarUse(piece, Role.STIFFENER, name, z, bar.span, bent, moment, force, moment / modulus))
    return out


def _beside_the_nose(
    dims: Dimensions, sheet: PressedSheet, lines: _Lines, pair: tuple[str, str], heights: tuple[Mm, Mm]
) -> tuple[list[Field], list[BarUse]]:
    """Fields between the posts, and from each post to its corner; and the posts."""
    posts, half, side = dims.nose_posts, dims.width / 2, dims.stock.tube.side_mm
    assert posts is not None  # the caller has looked
    inner, outer = posts.x - side / 2, min(posts.x + side / 2, half)
    deflection, span, load = post_bend(dims.stock, sheet, dims.width, posts)
    moment = beams.uniform_moment(load, span)
    stress = moment / (dims.stock.tube.section_modulus_cm3 * 1e3)
    fields, uses = [], []
    field = _upright(sheet, lines.face, pair, heights, (-inner, inner), 2 * inner)
    _take(lines, sheet, field, ("nose post, left", "nose post, right"))
    fields.append(replace(field, sunk_side=deflection))
    for (name, sign), edge in zip(SIDES, EDGES, strict=True):
        post, strip = f"nose post, {name}", sheet.force(*heights)
        lines.add(
            post, heights[0], (outer - inner) * strip, (outer - inner) * sheet.fresh.at(sheet.fresh.height - heights[0])
        )
        uses.append(
            BarUse(lines.face, Role.NOSE_POST, post, posts.low, span, deflection, moment, load * span / 2, stress)
        )
        if half - outer < _ODD:
            lines.add(edge, heights[0], (half - outer) * strip, 0.0)
            continue
        sides = (outer, half) if sign > 0 else (-half, -outer)
        field = _upright(sheet, lines.face, pair, heights, sides, half - outer)
        _take(lines, sheet, field, (post, edge))
        fields.append(replace(field, sunk_side=deflection))
    return fields, uses


# ---------------------------------------------------------------- core


def inner_plates(dims: Dimensions) -> tuple[tuple[str, Mm, Mm], ...]:
    """Name, height of the upper face and thickness of the plates across the inside of the core, from the rim."""
    anchor = (("anchor plate", dims.bridge.anchor_z, dims.base),) if dims.has_bridge else ()
    return (
        *anchor,
        *((Said("diaphragm {number}", number=i), z, dims.shell) for i, z in enumerate(dims.diaphragm_z, 1)),
    )


def core_face(dims: Dimensions, wall: str) -> PressedFace:
    """One wall of the core; behind its ledge strip, up to the first plate inside, both bend together."""
    piece, shell = core_name(wall), shell_sheet(dims)
    half = dims.core_half_x if wall in ("front", "back") else dims.core_half_y
    end = dims.end_z - dims.shell
    inside = inner_plates(dims)
    heights = (0.0, *dims.inner_z, end)
    names = ("base plate", *(name for name, _, _ in inside), "end plate")
    lines = _Lines(piece, {})
    fields = []
    for number, (low, high) in enumerate(itertools.pairwise(heights)):
        sheet = shell
        if number == 0 and dims.ledge_z >= heights[1]:
            sheet = replace(shell, thickness=math.cbrt(dims.shell**3 + dims.ledge**3))
        pair = (names[number], names[number + 1])
        field = _upright(sheet, piece, pair, (low, high), (-half(low), half(low)), 2 * half(high))
        if sheet is not shell:
            field = replace(field, thickness=max(dims.shell, dims.ledge))
        _take(lines, sheet, field, EDGES)
        fields.append(field)
    rim = share_out(dims.fresh, end, dims.end_z, 2 * half(end), 2 * half(dims.end_z))
    rest = rim.foot + rim.top + 2 * rim.side
    lines.add("end plate", end, rest, shell.force(end, dims.end_z))
    return PressedFace(piece, tuple(fields), (), tuple(lines.found.values()), _wall_load(dims, wall))


def _wall_load(dims: Dimensions, wall: str) -> Newton:
    """Integral of the pressure over a core wall, its width changing with height."""
    half = dims.core_half_x if wall in ("front", "back") else dims.core_half_y
    steps = [0.0, *sorted(z for z in (dims.height - dims.fresh.liquid_depth,) if 0 < z < dims.end_z), dims.end_z]
    # Simpson's rule is exact: pressure and width change evenly
    return sum(
        (b - a) / 6 * sum(f * dims.pressure_at(z) * 2 * half(z) for f, z in ((1, a), (4, (a + b) / 2), (1, b)))
        for a, b in itertools.pairwise(steps)
    )


# ---------------------------------------------------------------- end plate and nose


def _flat(dims: Dimensions, piece: str, sides: tuple[Mm, Mm], z: tuple[Mm, Mm], edges: str) -> Field:
    """A plate held all round by its neighbours, as large as the rectangle around it; ``z``: where its pressure is."""
    sheet, (width, tall) = shell_sheet(dims), sides
    low, high = dims.pressure_at(z[0]), dims.pressure_at(z[1])
    return Field(
        piece=piece,
        foot=edges,
        top=edges,
        low=z[0],
        high=z[1],
        left=-width / 2,
        right=width / 2,
        narrow=width,
        pressure_low=low,
        pressure_high=high,
        bent=bending.deflection_linear(width, tall, low, high, sheet.rigidity),
        sunk_low=0.0,
        sunk_high=0.0,
        sunk_side=0.0,
        held=held_moment(width, tall, low, high),
        clamped=clamped_moment(width, tall, low, high),
        thickness=dims.shell,
        sheets=dims.shell,
    )


def end_plate(dims: Dimensions) -> Field:
    """The end plate of the core, on the ends of its walls."""
    z = dims.end_z
    sides = (2 * dims.core_half_x(z), 2 * dims.core_half_y(z))
    return _flat(dims, "end plate", sides, (z, z), "core walls")


def nose_fields(dims: Dimensions) -> Iterator[Field]:
    """Sides, sloping front and lid of the nose; the lid as a strip between the lines of its two bolts."""
    nose, z = dims.nose, (dims.nose.low_z, dims.nose.lid_z)
    deep, tall = nose.root_y - nose.tip_y, nose.lid_z - nose.low_z
    for name in ("left", "right"):
        yield _flat(dims, f"nose side, {name}", (deep, tall), z, "panel, sloping front and flange")
    yield _flat(dims, "nose front", (2 * nose.root_half, math.hypot(deep, tall)), z, "sides, panel and lid")
    span, pressure = 2 * (nose.root_half + dims.shell + dims.bolting.gauge), dims.pressure_at(nose.lid_z)
    lid = _flat(dims, "nose lid", (span, span), (nose.lid_z, nose.lid_z), "lid bolts")
    bent = 5 / 384 * pressure * span**4 / shell_sheet(dims).rigidity
    yield replace(lid, bent=bent, held=beams.uniform_moment(pressure, span), clamped=0.0)
