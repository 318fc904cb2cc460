"""The mould as it was measured: box and core rebuilt from the measured values, and the wall that they will cast.

What was not measured counts as drawn.  Casting frame; the core stands off the middle of the box as the gaps say.  A
panel's bow, above 0 where it bulges into the concrete, runs as a parabola over its width.  Where measured values
contradict each other, those count that give the thinner wall or floor.  Bulge under fresh concrete is left out: it only
makes walls thicker.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mouldgeom import rules
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.filter.concrete import body_volume
from mouldgeom.inspection.critical import MASS_WITHIN, PAD_STEP, Critical, critical
from mouldgeom.inspection.measured import load_measured, name_of
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.changes import Addition
from mouldgeom.model.sides import OUTWARDS, SIDES
from mouldgeom.spec import BUILT_IN, load
from mouldgeom.strength.panels import greatest_bulges
from mouldgeom.strength.places import height_words
from mouldgeom.units import AnyUnit, Deg, Kg, Mm, Mm3, Rad, Ratio
from mouldgeom.verdict import Operator, Verdict, by_code
from mouldgeom.words import Said

Floats = NDArray[np.float64]
ACROSS: Final = 41
UP: Final = 121
"""Points of the wall field across and up each wall; the heights where something changes are among them."""
CLOSES: Final[Mm] = 2.0
"""Gap on both sides and the core's width must give the box's width within this (own rule: two tapes)."""

AXIS: Final = {side: ("width", int(x)) if x else ("depth", int(y)) for side, (x, y, _) in OUTWARDS.items()}
"""Which way a side lies in the casting frame."""


@dataclass(frozen=True)
class BuiltWall:
    """Thickness of one wall: heights (n,), places across from one edge of the core's face, -1, to the other, 1 (m,).

    ``thickness`` (n, m) in mm, square to the panel.
    """

    side: str
    heights: Floats
    across: Floats
    thickness: Floats

    def least(self) -> tuple[Mm, Mm, Ratio]:
        """Least thickness, its height and its place across."""
        i, j = np.unravel_index(int(np.argmin(np.round(self.thickness, 6))), self.thickness.shape)
        return float(self.thickness[i, j]), float(self.heights[i]), float(self.across[j])


@dataclass(frozen=True, eq=False)
class _Drawn:
    """What is worked out once of the mould as drawn, whatever was measured."""

    mould: Mould

    @cached_property
    def items(self) -> dict[str, Critical]:
        return {item.code: item for item in critical(self.mould)}

    @cached_property
    def bulges(self) -> dict[str, Mm]:
        return greatest_bulges(self.mould)


@dataclass(frozen=True)
class Contradiction:
    """Measured values that cannot all be right, and by how much they differ (mm)."""

    codes: tuple[str, ...]
    difference: Mm

    def line(self) -> str:
        """In words."""
        return Said(
            "{codes} contradict each other by {difference:.1f} mm. Measure them again.",
            codes=", ".join(self.codes),
            difference=abs(self.difference),
        )


@dataclass(frozen=True)
class BuiltMould:
    """A mould with measured values put in the place of drawn ones.

    Args:
        mould: as drawn.
        measured: values by the codes of ``critical``, in mm (the mass in kg).
    """

    mould: Mould
    measured: Mapping[str, AnyUnit]
    _known: _Drawn | None = field(default=None, repr=False, compare=False)

    @property
    def dims(self) -> Dimensions:
        """Dimensions as drawn."""
        return self.mould.dims

    @cached_property
    def _drawn(self) -> _Drawn:
        return self._known or _Drawn(self.mould)

    @property
    def list(self) -> tuple[Critical, ...]:
        """What could be measured."""
        return tuple(self._drawn.items.values())

    def drawn(self, code: str) -> AnyUnit:
        """A dimension as drawn."""
        return self._drawn.items[code].nominal

    def value(self, code: str) -> AnyUnit:
        """A dimension as measured, or as drawn if it was not measured."""
        return self.measured.get(code, self.drawn(code))

    def with_measured(self, measured: Mapping[str, AnyUnit]) -> BuiltMould:
        """The same mould with other measured values."""
        return BuiltMould(self.mould, measured, self._drawn)

    def without(self, code: str) -> BuiltMould:
        """The same mould with one dimension as drawn."""
        return self.with_measured({name: value for name, value in self.measured.items() if name != code})

    # ------------------------------------------------------------ geometry

    def box_half(self, axis: str, z: Floats) -> Floats:
        """Half inside width of the box at heights, straight between the three levels at which it is measured."""
        at = [self.value(f"box-{axis}-{level}") / 2 for level in ("rim", "middle", "pour-face")]
        height = self.value("box-height")
        return np.interp(z, [0.0, height / 2, height], at)

    def core_half(self, axis: str, z: Floats) -> Floats:
        """Half outside width of the core: ledge strips with the drawn draft up to the ledge, then its walls."""
        dims = self.dims
        foot = dims.ledge * math.sin(math.radians(dims.draft))
        ledge, end = self.value("ledge-height"), self.value("core-height")
        (low, near), (high, far) = self._wall_ends(axis)
        strips = self.value(f"core-{axis}-rim") / 2 - (z - foot) * dims.taper
        walls = near - (z - low) * (near - far) / (high - low)
        return np.where(z <= ledge + 1e-5, strips, np.where(z <= end + 1e-5, walls, np.nan))

    def _wall_ends(self, axis: str) -> tuple[tuple[Mm, Mm], tuple[Mm, Mm]]:
        """Height and half width of the core's walls at ledge and end plate; a drawn width stands where it is drawn."""
        ends = (("ledge", "ledge-height", self.dims.ledge_z), ("end-plate", "core-height", self.dims.end_z))
        low, high = (
            (self.value(height) if f"core-{axis}-{level}" in self.measured else drawn,
             self.value(f"core-{axis}-{level}") / 2)
            for level, height, drawn in ends
        )  # fmt: skip
        return low, high

    @cached_property
    def lean(self) -> Rad:
        """Angle by which neighbouring panels are off square, by the diagonals; above 0 where the second is longer.

        A racked box is a parallelogram of the measured widths, those square to the panels.  One diagonal alone is
        held against the widths.

        Source: law of cosines.
        """
        one, other = (self.measured.get(f"box-diagonal-{name}") for name in ("one", "other"))
        area = self.value("box-width-rim") * self.value("box-depth-rim")
        if one is not None and other is not None:
            ratio = (other**2 - one**2) / (4 * area)
            return math.asin(2 * ratio / (1 + math.sqrt(1 + 4 * ratio**2)))
        alone = one or other
        if alone is None:
            return 0.0
        rest = self.value("box-width-rim") ** 2 + self.value("box-depth-rim") ** 2 - alone**2
        sine = (math.sqrt(max(0.0, area**2 - alone**2 * rest)) - area) / alone**2
        return math.asin(sine) * (1 if one is None else -1)

    def diagonals(self, lean: Rad) -> tuple[Mm, Mm]:
        """Diagonals of a box of the measured widths that leans so: front left to back right, and the other."""
        width, depth = (self.value(f"box-{axis}-rim") / math.cos(lean) for axis in ("width", "depth"))
        squares, more = width**2 + depth**2, 2 * width * depth * math.sin(lean)
        return math.sqrt(squares - more), math.sqrt(squares + more)

    def free(self, axis: str, place: str) -> Mm:
        """Gap at rim or end plate that box and core leave where the core stands in the middle."""
        z = np.array([self.value("core-height") if place == "end" else 0.0])
        return float(self.box_half(axis, z)[0] - self.core_half(axis, z)[0])

    def _gaps(self, axis: str, place: str) -> tuple[tuple[int, Mm], ...]:
        """Side, -1 or 1, and measured gap at rim or end plate, of those that were measured."""
        return tuple(
            (sign, self.measured[f"gap-{side}-{place}"])
            for side, (its, sign) in AXIS.items()
            if its == axis and f"gap-{side}-{place}" in self.measured
        )

    def _offset_at(self, axis: str, place: str) -> Mm | None:
        """How far the core stands off the middle of the box by the gaps at rim or end plate; none without a gap."""
        given = self._gaps(axis, place)
        if len(given) == 2:
            (sign, one), (_, other) = given
            return sign * (other - one) / 2
        if given:
            ((sign, gap),) = given
            return sign * (self.free(axis, place) - gap)
        return None

    def offset(self, axis: str, z: Floats) -> Floats:
        """Offset of the core towards +x or +y at heights, straight from the rim to the end plate.

        Measured at one end only, the core counts as plumb.
        """
        rim, end = self._offset_at(axis, "rim"), self._offset_at(axis, "end")
        low = rim if rim is not None else end or 0.0
        return np.interp(z, [0.0, self.value("core-height")], [low, end if end is not None else low])

    def _over(self, axis: str, place: str) -> Mm | None:
        """What each of both gaps is wider than box and core leave it; none where one was not measured."""
        given = self._gaps(axis, place)
        return sum(gap for _, gap in given) / 2 - self.free(axis, place) if len(given) == 2 else None

    def _widths(self, axis: str, place: str) -> tuple[str, str]:
        """Codes of the widths of box and core that both gaps at rim or end plate follow from."""
        return (f"box-{axis}-rim", f"core-{axis}-rim") if place == "rim" else (
            f"box-{axis}-pour-face", f"core-{axis}-end-plate"
        )  # fmt: skip

    def _wider(self, axis: str, z: Floats) -> Floats:
        """What the walls of an axis are thicker by, at heights, since both gaps say so; below 0 where thinner.

        Where the widths were measured too, whichever gives less counts.  Where one end has no gaps it takes what the
        other has too little.
        """
        known = {}
        for place in ("rim", "end"):
            over = self._over(axis, place)
            if over is not None:
                both = all(code in self.measured for code in self._widths(axis, place))
                known[place] = min(0.0, over) if both else over
        rim, end = (known.get(a, min(0.0, known.get(b, 0.0))) for a, b in (("rim", "end"), ("end", "rim")))
        return np.interp(z, [0.0, self.value("core-height")], [rim, end])

    @cached_property
    def heights(self) -> Floats:
        """Heights of the wall field: even, with ledge, middle and end among them, on both sides of the ledge."""
        end, ledge = self.value("core-height"), self.value("ledge-height")
        marks = [0.0, ledge, ledge + 0.01, self.value("box-height") / 2, end]
        even = np.linspace(0.0, end, UP)
        return np.unique(np.round(np.concatenate([even, [m for m in marks if m <= end]]), 6))

    @cached_property
    def walls(self) -> tuple[BuiltWall, ...]:
        """The four walls: what lies between the core's faces and the panels, square to the panels.

        How the two pairs of panels of a racked box share its lean is not measured: each wall counts as if its own
        pair had all of it.
        """
        z = self.heights
        across, turn = np.linspace(-1.0, 1.0, ACROSS)[None, :], (math.cos(self.lean), math.sin(self.lean))
        out = []
        for side in SIDES:
            axis, sign = AXIS[side]
            other = "depth" if axis == "width" else "width"
            core = (self.core_half(axis, z) + sign * self.offset(axis, z))[:, None]
            along = self.core_half(other, z)[:, None] * across + self.offset(other, z)[:, None]
            level = (self.box_half(axis, z) + self._wider(axis, z))[:, None] - core * turn[0] + sign * along * turn[1]
            share = np.minimum(1.0, np.abs(along) / self.box_half(other, z)[:, None])
            thickness = level - self.value(f"bow-{side}") * (1 - share**2)
            out.append(BuiltWall(side, z, across[0], thickness))
        return tuple(out)

    def face_draft(self, side: str) -> Deg:
        """Draft of a core wall from ledge to end plate, the core's lean counted."""
        axis, sign = AXIS[side]
        (bottom, near), (top, far) = self._wall_ends(axis)
        low, high = self.offset(axis, np.array([bottom, top]))
        return math.degrees(math.atan2(near - far + sign * (low - high), top - bottom))

    # ------------------------------------------------------------ results

    @cached_property
    def results(self) -> tuple[Verdict, ...]:
        """What it must keep, by ``built_results``; worked out once."""
        return built_results(self)

    def least_wall(self) -> tuple[Mm, str]:
        """Least wall that this mould casts, and where."""
        found = [(*wall.least(), wall.side) for wall in self.walls]
        thickness, z, place, side = min(found, key=lambda f: (round(f[0], 6), f[3]))
        middle = "in the middle" if abs(place) < 0.2 else "towards a corner" if abs(place) < 0.9 else "at a corner"
        where = Said("{wall}, {height}, {place}", wall=f"{side} wall", height=height_words(z, self.dims), place=middle)
        return thickness, Said("{where}, the box out of square", where=where) if abs(self.lean) > 1e-3 else where

    def floor(self) -> Mm:
        """Thickness of the filter's floor: as measured, or box height less core height; the less of both measured."""
        by_heights = self.value("box-height") - self.value("core-height")
        measured = self.measured.get("floor", by_heights)
        return min(measured, by_heights) if {"box-height", "core-height"} <= set(self.measured) else measured

    def tube_cover(self) -> Mm:
        """Concrete beside and before the tube in the nose."""
        dims = self.dims
        root, tip = self.value("nose-root-width") / 2, self.value("nose-tip-width") / 2
        depth, hole = self.value("nose-depth"), self.value("tube-hole")
        beside = root + (tip - root) * min(1.0, hole / depth) - dims.tube.outside / 2
        lost = (self.drawn("nose-depth") - depth) - (self.drawn("tube-hole") - hole)
        return min(beside, dims.spec.tube.cover - lost)

    def bulge(self) -> tuple[Mm, str]:
        """Greatest bulge of panel or core wall with the sheet as thick as it was measured, and of which.

        Source: plate theory, bulge by the cube of the thickness.
        """
        found = self._drawn.bulges
        face = max(found, key=lambda name: (found[name], name))
        return found[face] * (self.dims.shell / self.value("plate-shell")) ** 3, face

    def volume(self) -> Mm3:
        """Concrete that this mould takes: the drawn volume, and what the measured walls and floor differ from it."""
        dims = self.dims
        drawn = body_volume(dims.spec, dims.levels, dims.cavity, dims.nose, dims.tube, dims.shell)
        return drawn + self._space() - self.with_measured({})._space()

    def _space(self) -> Mm3:
        height, end = self.value("box-height"), self.value("box-height") - self.floor()
        z = np.linspace(0.0, height, 2001)
        box = 4 * self.box_half("width", z) * self.box_half("depth", z)
        for side in SIDES:
            other = "depth" if AXIS[side][0] == "width" else "width"
            box -= self.value(f"bow-{side}") * 2 / 3 * 2 * self.box_half(other, z)
        ledge, top = self.value("ledge-height"), min(end, self.value("core-height"))
        space = float(np.trapezoid(box, z))
        for low, high in ((0.0, ledge), (ledge + 2e-5, top)):
            at = np.linspace(low, high, 1001)
            space -= float(np.trapezoid(4 * self.core_half("width", at) * self.core_half("depth", at), at))
        return space

    def mass(self) -> Kg:
        """Mass of the filter that this mould casts."""
        return self.volume() * 1e-9 * self.dims.spec.concrete.density

    @cached_property
    def contradictions(self) -> tuple[Contradiction, ...]:
        """Measured values that belong together, those that contradict each other most first."""
        out = []
        for axis in ("width", "depth"):
            sides = [side for side, (its, _) in AXIS.items() if its == axis]
            for place in ("rim", "end"):
                over = self._over(axis, place)
                widths = self._widths(axis, place)
                if over is not None and all(code in self.measured for code in widths):
                    out.append(Contradiction((*(f"gap-{side}-{place}" for side in sides), *widths), 2 * over))
        heights = ("floor", "box-height", "core-height")
        if all(code in self.measured for code in heights):
            floor, box, core = (self.measured[code] for code in heights)
            out.append(Contradiction(heights, floor - (box - core)))
        crossed = ("box-diagonal-one", "box-diagonal-other")
        if all(code in self.measured for code in crossed):
            off = [self.measured[c] - d for c, d in zip(crossed, self.diagonals(self.lean), strict=True)]
            out.append(Contradiction((*crossed, "box-width-rim", "box-depth-rim"), max(off, key=abs)))
        return tuple(sorted(out, key=lambda one: -round(abs(one.difference), 6)))

    def disagreements(self) -> tuple[Contradiction, ...]:
        """Those that differ by more than careful measuring does."""
        return tuple(one for one in self.contradictions if abs(one.difference) > CLOSES + 1e-6)


def _bridge(built: BuiltMould, need: Mm) -> Iterator[Verdict]:
    """What the bridge as built must keep; ``need`` is the travel that frees the core."""
    dims = built.dims
    stroke = built.value("leg-length") - built.value("plate-base")
    spread = abs(built.value("leg-spread") - 2 * dims.bridge.leg_x) / 2
    yield Verdict("12.6", "travel of the core before base plate and bridge meet", stroke, need, Operator.AT_LEAST, "mm",
                  "bridge legs", _TRAVEL)  # fmt: skip
    yield Verdict("12.7", "bridge legs off the middle of their notches", spread, dims.spec.shop.leg_clearance,
                  Operator.AT_MOST, "mm", "notches of the base plate", "specification, shop.leg_clearance")  # fmt: skip


def _forcing(built: BuiltMould, need: Mm) -> Iterator[Verdict]:
    """What the forcing screws as built must keep."""
    dims = built.dims
    stroke = built.value("free-thread") - built.value("plate-base") - dims.stock.jack.nut_height_mm
    yield Verdict("12.6", "travel of the core before the nuts that drive meet the welded ones", stroke, need,
                  Operator.AT_LEAST, "mm", "forcing screws", _TRAVEL)  # fmt: skip
    yield Verdict("12.7", "thrust pad off the face of the base plate", abs(built.value("pad-flush")), PAD_STEP,
                  Operator.AT_MOST, "mm", "thrust pads", "own rule")  # fmt: skip


_TRAVEL: Final = "specification, shop.release_clearance over the sine of the least draft"


def built_results(built: BuiltMould) -> tuple[Verdict, ...]:
    """What the finished mould must keep: walls, floor, cover of the tube, draft, release, travel, joints, and the cast.

    Source: each result carries its own.
    """
    dims, spec = built.dims, built.dims.spec
    accepted = spec.shop.allowed_undersize
    wall, where = built.least_wall()
    drafts = {side: built.face_draft(side) for side in SIDES}
    steepest = min(drafts, key=lambda side: (round(drafts[side], 6), side))
    draft = drafts[steepest]
    need = spec.shop.release_clearance / math.sin(math.radians(draft)) if draft > 0 else math.inf
    undersize = "specification, less shop.allowed_undersize"
    results = [
        Verdict("12.2", "least draft of the core", draft, rules.least_draft_steel(), Operator.AT_LEAST, "deg",
                f"core wall, {steepest}", "PCI MNL-116/-122 (from memory): rigid steel moulds 1:96 or more"),
        Verdict("12.3", "least wall that the mould casts", wall, spec.filter.least_wall - accepted, Operator.AT_LEAST,
                "mm", where, undersize),
        Verdict("12.4", "floor that the mould casts", built.floor(), spec.filter.floor - accepted, Operator.AT_LEAST,
                "mm", "floor", undersize),
        Verdict("12.5", "concrete around the tube in the nose", built.tube_cover(), spec.tube.cover - accepted,
                Operator.AT_LEAST, "mm", "nose", undersize),
        *(_bridge(built, need) if dims.has_bridge else _forcing(built, need)),
    ]  # fmt: skip
    bulge, face = built.bulge()
    results.append(
        Verdict("12.8", "bulge under fresh concrete, with the sheet as measured", bulge, spec.shop.allowed_bulge,
                Operator.AT_MOST, "mm", face, "specification, shop.allowed_bulge")
    )  # fmt: skip
    gaps = {code: built.value(f"joint-{code}") for code in ("corner", "base", "nose")}
    widest = max(gaps, key=lambda code: (gaps[code], code))
    results.append(
        Verdict("12.1", "widest gap at a joint", gaps[widest], spec.shop.allowed_leak, Operator.AT_MOST, "mm",
                f"{widest} joint", "specification, shop.allowed_leak")
    )  # fmt: skip
    if built.contradictions:
        worst = built.contradictions[0]
        results.append(
            Verdict("12.13", "measured values that belong together, difference", abs(worst.difference), CLOSES,
                    Operator.AT_MOST, "mm", ", ".join(worst.codes), "own rule: two tapes")
        )  # fmt: skip
    return by_code([*results, *_cast(built)])


def _cast(built: BuiltMould) -> list[Verdict]:
    """The filter that was cast, against what the measured mould should give."""
    spec, out = built.dims.spec, []
    walls = {wall.side: float(wall.thickness[0, ACROSS // 2]) for wall in built.walls}
    off = {s: built.measured[f"cast-wall-{s}"] - walls[s] for s in SIDES if f"cast-wall-{s}" in built.measured}
    if off:
        worst = max(off, key=lambda side: (abs(off[side]), side))
        out.append(
            Verdict("12.9", "cast wall against the mould's gap, difference", abs(off[worst]),
                    2.0, Operator.AT_MOST, "mm", Said("{wall} at the rim, {thick:.1f} mm in the mould",
                    wall=f"{worst} wall", thick=walls[worst]),
                    "own rule: what two careful measurements may differ")
        )  # fmt: skip
        least = min((built.measured[f"cast-wall-{side}"], side) for side in off)
        out.append(
            Verdict("12.10", "least cast wall as measured", least[0],
                    spec.filter.least_wall - spec.shop.allowed_undersize, Operator.AT_LEAST, "mm",
                    Said("{wall} at the rim", wall=f"{least[1]} wall"), "specification, less shop.allowed_undersize")
        )  # fmt: skip
    if "cast-mass" in built.measured:
        expected = built.mass()
        out.append(
            Verdict("12.11", "mass of the filter against the mould's space, difference",
                    abs(built.measured["cast-mass"] / expected - 1) * 100, MASS_WITHIN * 100, Operator.AT_MOST, "%",
                    Said("{mass:.0f} kg, {expected:.0f} kg expected", mass=built.measured["cast-mass"],
                         expected=expected),
                    f"common practice, no source: {MASS_WITHIN * 100:.0f} per cent, for water and stone of "
                    "another density")
        )  # fmt: skip
    if "cast-floor" in built.measured:
        out.append(
            Verdict("12.12", "cast floor as measured", built.measured["cast-floor"],
                    spec.filter.floor - spec.shop.allowed_undersize, Operator.AT_LEAST, "mm", "floor",
                    "specification, less shop.allowed_undersize")
        )  # fmt: skip
    return out


def load_built(source: str | Path | None, measured: str | Path, extensions: Sequence[Addition] = ()) -> BuiltMould:
    """A mould as it was built, from its specification, the built-in one if ``None``, and a file of measured values.

    Raises:
        SpecError: the specification is wrong.
        FolderError, MeasurementError: as ``load_measured``.
    """
    mould = build(load(source or BUILT_IN), extensions=extensions)
    name = name_of(mould)
    return BuiltMould(mould, load_measured(measured, critical(mould), mould=name, chosen=source is not None))
