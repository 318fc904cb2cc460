"""The mould as it was measured: box and core rebuilt from the measured values, and the wall that they will cast.

What was not measured counts as drawn.  Casting frame; the core stands off the middle of the box as the gaps say.  A
panel's bow runs as a parabola over its width.  Bulge under fresh concrete is left out: it only makes walls thicker.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mouldgeom import rules
from mouldgeom.assembly import Mould
from mouldgeom.dimensions import Dimensions
from mouldgeom.filter.concrete import body_volume
from mouldgeom.inspection.critical import Critical, critical
from mouldgeom.sides import OUTWARDS, SIDES
from mouldgeom.strength.panels import greatest_bulges
from mouldgeom.strength.places import height_words
from mouldgeom.strength.steps import Requirement, in_order
from mouldgeom.units import AnyUnit, Deg, Kg, Mm, Mm3, Ratio

Floats = NDArray[np.float64]
ACROSS: Final = 41
UP: Final = 121
"""Points of the wall field across and up each wall; the heights where something changes are among them."""
CLOSES: Final[Mm] = 2.0
"""Gap on both sides and the core's width must give the box's width within this (own rule: two tapes)."""
MASS_WITHIN: Final[Ratio] = 0.05
"""Mass of a cast filter against the mass of the measured mould's space (common practice, no source)."""

_AXIS: Final = {side: ("width", int(x)) if x else ("depth", int(y)) for side, (x, y, _) in OUTWARDS.items()}
"""Which way a side lies in the casting frame."""


@dataclass(frozen=True)
class BuiltWall:
    """Thickness of one wall: heights (n,), places across from -1 to 1 (m,), thickness (n, m) in mm."""

    side: str
    heights: Floats
    across: Floats
    thickness: Floats

    def least(self) -> tuple[Mm, Mm, Ratio]:
        """Least thickness, its height and its place across."""
        i, j = np.unravel_index(int(np.argmin(np.round(self.thickness, 6))), self.thickness.shape)
        return float(self.thickness[i, j]), float(self.heights[i]), float(self.across[j])


@dataclass(frozen=True)
class BuiltMould:
    """A mould with measured values put in the place of drawn ones.

    Args:
        mould: as drawn.
        measured: values by the codes of ``critical``, in mm (the mass in kg).
    """

    mould: Mould
    measured: Mapping[str, AnyUnit]

    @property
    def dims(self) -> Dimensions:
        """Dimensions as drawn."""
        return self.mould.dims

    @cached_property
    def list(self) -> tuple[Critical, ...]:
        """What could be measured."""
        return critical(self.mould)

    @cached_property
    def _drawn(self) -> dict[str, AnyUnit]:
        return {item.code: item.nominal for item in self.list}

    def value(self, code: str) -> AnyUnit:
        """A dimension as measured, or as drawn if it was not measured."""
        return self.measured.get(code, self._drawn[code])

    def without(self, code: str) -> BuiltMould:
        """The same mould with one deviation put right."""
        return BuiltMould(self.mould, {name: value for name, value in self.measured.items() if name != code})

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
        rim, near, far = (self.value(f"core-{axis}-{level}") / 2 for level in ("rim", "ledge", "end-plate"))
        strips = rim - (z - foot) * dims.taper
        slope = (near - far) / (dims.end_z - dims.ledge_z)
        walls = near - (z - dims.ledge_z) * slope
        return np.where(z <= ledge + 1e-5, strips, np.where(z <= end + 1e-5, walls, np.nan))

    def _offset_at(self, axis: str, place: str) -> Mm | None:
        """How far the core stands off the middle of the box by the gaps at rim or end plate; none without a gap."""
        sides = [side for side, (its, _) in _AXIS.items() if its == axis]
        end = place == "end"
        z = np.array([self.value("core-height") if end else 0.0])
        free = float(self.box_half(axis, z)[0] - self.core_half(axis, z)[0])
        given = [(_AXIS[s][1], self.measured[f"gap-{s}-{place}"]) for s in sides if f"gap-{s}-{place}" in self.measured]
        if len(given) == 2:
            (sign, one), (_, other) = given
            return sign * (other - one) / 2
        if given:
            ((sign, gap),) = given
            return sign * (free - gap)
        return None

    def offset(self, axis: str, z: Floats) -> Floats:
        """Offset of the core towards +x or +y at heights, straight from the rim to the end plate.

        Measured at one end only, the core counts as plumb.
        """
        rim, end = self._offset_at(axis, "rim"), self._offset_at(axis, "end")
        low = rim if rim is not None else end or 0.0
        return np.interp(z, [0.0, self.dims.end_z], [low, end if end is not None else low])

    @cached_property
    def heights(self) -> Floats:
        """Heights of the wall field: even, with ledge, middle and end among them, on both sides of the ledge."""
        end, ledge = self.value("core-height"), self.value("ledge-height")
        marks = [0.0, ledge, ledge + 0.01, self.value("box-height") / 2, end]
        even = np.linspace(0.0, end, UP)
        return np.unique(np.round(np.concatenate([even, [m for m in marks if m <= end]]), 6))

    @cached_property
    def walls(self) -> tuple[BuiltWall, ...]:
        """The four walls; the thickness is the distance to the plumb outer face, that is taken level."""
        across = np.linspace(-1.0, 1.0, ACROSS)
        out = []
        for side in SIDES:
            axis, sign = _AXIS[side]
            inner = self.core_half(axis, self.heights) + sign * self.offset(axis, self.heights)
            level = self.box_half(axis, self.heights) - inner
            bow = self.value(f"bow-{side}") * (1 - across**2)
            out.append(BuiltWall(side, self.heights, across, level[:, None] - bow[None, :]))
        return tuple(out)

    def face_draft(self, side: str) -> Deg:
        """Draft of a core wall from ledge to end plate, the core's lean counted."""
        axis, sign = _AXIS[side]
        dims = self.dims
        z = np.array([dims.ledge_z, dims.end_z])
        near, far = (self.value(f"core-{axis}-{level}") / 2 for level in ("ledge", "end-plate"))
        low, high = self.offset(axis, z)
        return math.degrees(math.atan2(near - far + sign * (low - high), dims.end_z - dims.ledge_z))

    # ------------------------------------------------------------ results

    @cached_property
    def results(self) -> tuple[Requirement, ...]:
        """What it must keep, by ``built_results``; worked out once."""
        return built_results(self)

    def least_wall(self) -> tuple[Mm, str]:
        """Least wall that this mould casts, and where."""
        found = [(*wall.least(), wall.side) for wall in self.walls]
        thickness, z, place, side = min(found, key=lambda f: (round(f[0], 6), f[3]))
        middle = "in the middle" if abs(place) < 0.2 else "towards a corner" if abs(place) < 0.9 else "at a corner"
        return thickness, f"{side} wall, {height_words(z, self.dims)}, {middle}"

    def floor(self) -> Mm:
        """Thickness of the filter's floor: as measured, or box height less core height."""
        if "floor" in self.measured:
            return self.measured["floor"]
        return self.value("box-height") - self.value("core-height")

    def tube_cover(self) -> Mm:
        """Concrete beside and before the tube in the nose."""
        dims = self.dims
        root, tip = self.value("nose-root-width") / 2, self.value("nose-tip-width") / 2
        depth, hole = self.value("nose-depth"), self.value("tube-hole")
        beside = root + (tip - root) * min(1.0, hole / depth) - dims.tube.outside / 2
        lost = (self._drawn["nose-depth"] - depth) - (self._drawn["tube-hole"] - hole)
        return min(beside, dims.spec.tube.cover - lost)

    def bulge(self) -> tuple[Mm, str]:
        """Greatest bulge of panel or core wall with the sheet as thick as it was measured, and of which.

        Source: plate theory, bulge by the cube of the thickness.
        """
        found = greatest_bulges(self.mould)
        face = max(found, key=lambda name: (found[name], name))
        return found[face] * (self.dims.shell / self.value("plate-shell")) ** 3, face

    def volume(self) -> Mm3:
        """Concrete that this mould takes: the drawn volume, and what the measured walls and floor differ from it."""
        dims = self.dims
        drawn = body_volume(dims.spec, dims.levels, dims.cavity, dims.nose, dims.tube, dims.shell)
        return drawn + self._space() - BuiltMould(self.mould, {})._space()

    def _space(self) -> Mm3:
        height, end = self.value("box-height"), self.value("box-height") - self.floor()
        z = np.linspace(0.0, height, 2001)
        box = 4 * self.box_half("width", z) * self.box_half("depth", z)
        for side in SIDES:
            other = "depth" if _AXIS[side][0] == "width" else "width"
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

    def disagreements(self) -> tuple[str, ...]:
        """Measured values that contradict each other."""
        out = []
        for axis in ("width", "depth"):
            one, other = [side for side, (its, _) in _AXIS.items() if its == axis]
            for place, level in (("rim", "rim"), ("end", "end-plate")):
                codes = (f"gap-{one}-{place}", f"gap-{other}-{place}")
                if not all(code in self.measured for code in codes):
                    continue
                z = np.array([self.value("core-height") if place == "end" else 0.0])
                box, core = 2 * self.box_half(axis, z)[0], 2 * self.core_half(axis, z)[0]
                over = sum(self.measured[code] for code in codes) + core - box
                if abs(over) > CLOSES:
                    out.append(
                        f"{codes[0]}, {codes[1]}, core-{axis}-{level} and the box's {axis} do not add up: "
                        f"{abs(over):.1f} mm {'too much' if over > 0 else 'missing'}. Measure them again."
                    )
        skew = abs(self.value("box-diagonal-one") - self.value("box-diagonal-other"))
        if skew > 2 * CLOSES:
            out.append(f"the diagonals of the box differ by {skew:.1f} mm: it is out of square.")
        return tuple(out)


def built_results(built: BuiltMould) -> tuple[Requirement, ...]:
    """What the finished mould must keep: walls, floor, cover of the tube, draft, release, travel, joints, and the cast.

    Source: each result carries its own.
    """
    dims, spec = built.dims, built.dims.spec
    accepted = spec.shop.allowed_undersize
    wall, where = built.least_wall()
    drafts = {side: built.face_draft(side) for side in SIDES}
    steepest = min(drafts, key=lambda side: (round(drafts[side], 6), side))
    draft = drafts[steepest]
    stroke = built.value("leg-length") - built.value("plate-base")
    need = spec.shop.release_clearance / math.sin(math.radians(draft)) if draft > 0 else math.inf
    spread = abs(built.value("leg-spread") - 2 * dims.bridge.leg_x) / 2
    undersize = "specification, less shop.allowed_undersize"
    results = [
        Requirement("3.1", "least draft of the core", draft, rules.least_draft_steel(), True, "deg",
                    f"core wall, {steepest}", "PCI MNL-116/-122 (from memory): rigid steel moulds 1:96 or more"),
        Requirement("4.1", "least wall that the mould casts", wall, spec.filter.least_wall - accepted, True, "mm",
                    where, undersize),
        Requirement("4.2", "floor that the mould casts", built.floor(), spec.filter.floor - accepted, True, "mm",
                    "floor", undersize),
        Requirement("4.3", "concrete around the tube in the nose", built.tube_cover(), spec.tube.cover - accepted,
                    True, "mm", "nose", undersize),
        Requirement("5.4", "travel of the core before base plate and bridge meet", stroke, need, True, "mm",
                    "bridge legs", "specification, shop.release_clearance over the sine of the least draft"),
        Requirement("5.5", "bridge legs off the middle of their notches", spread, spec.shop.leg_clearance, False, "mm",
                    "notches of the base plate", "specification, shop.leg_clearance"),
    ]  # fmt: skip
    bulge, face = built.bulge()
    results.append(
        Requirement("8.2", "bulge under fresh concrete, with the sheet as measured", bulge, spec.shop.allowed_bulge,
                    False, "mm", face, "specification, shop.allowed_bulge")
    )  # fmt: skip
    gaps = {code: built.value(f"joint-{code}") for code in ("corner", "base", "nose")}
    widest = max(gaps, key=lambda code: (gaps[code], code))
    results.append(
        Requirement("2.2", "widest gap at a joint", gaps[widest], spec.shop.allowed_leak, False, "mm",
                    f"{widest} joint", "specification, shop.allowed_leak")
    )  # fmt: skip
    return tuple(sorted([*results, *_cast(built)], key=lambda r: in_order(r.code)))


def _cast(built: BuiltMould) -> list[Requirement]:
    """The filter that was cast, against what the measured mould should give."""
    spec, out = built.dims.spec, []
    walls = {wall.side: float(wall.thickness[0, ACROSS // 2]) for wall in built.walls}
    off = {s: built.measured[f"cast-wall-{s}"] - walls[s] for s in SIDES if f"cast-wall-{s}" in built.measured}
    if off:
        worst = max(off, key=lambda side: (abs(off[side]), side))
        out.append(
            Requirement("4.11", "cast wall against the mould's gap, difference", abs(off[worst]),
                        2.0, False, "mm", f"{worst} wall at the rim, {walls[worst]:.1f} mm in the mould",
                        "own rule: what two careful measurements may differ")
        )  # fmt: skip
        least = min((built.measured[f"cast-wall-{side}"], side) for side in off)
        out.append(
            Requirement("4.12", "least cast wall as measured", least[0],
                        spec.filter.least_wall - spec.shop.allowed_undersize, True, "mm", f"{least[1]} wall at the rim",
                        "specification, less shop.allowed_undersize")
        )  # fmt: skip
    if "cast-mass" in built.measured:
        expected = built.mass()
        out.append(
            Requirement("4.13", "mass of the filter against the mould's space, difference",
                        abs(built.measured["cast-mass"] / expected - 1) * 100, MASS_WITHIN * 100, False, "%",
                        f"{built.measured['cast-mass']:.0f} kg, {expected:.0f} kg expected",
                        "common practice, no source: 5 per cent, for water and stone of another density")
        )  # fmt: skip
    return out
