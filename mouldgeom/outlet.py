"""The outlet tube in the front wall, and the nose that follows from it, in the casting frame."""

from __future__ import annotations

import math
from dataclasses import dataclass

from mouldgeom.bought import Stock
from mouldgeom.errors import SpecError
from mouldgeom.filter.levels import Cavity, Levels
from mouldgeom.spec import Spec
from mouldgeom.units import Deg, Mm, plain


@dataclass(frozen=True)
class TubePath:
    """Axis of the outlet tube in the plane x = 0, as (y, z): inlet, end of the first bend, crest bend, end."""

    inlet: tuple[Mm, Mm]
    first_centre: tuple[Mm, Mm]
    riser_y: Mm
    crest_centre: tuple[Mm, Mm]
    leg_y: Mm
    end_z: Mm
    bend_radius: Mm
    outside: Mm
    bore: Mm

    @property
    def length(self) -> Mm:
        """Developed length of the axis."""
        radius = self.bend_radius
        return (
            abs(self.inlet[0] - self.first_centre[0])
            + abs(self.first_centre[1] - self.crest_centre[1])
            + abs(self.end_z - self.crest_centre[1])
            + 1.5 * math.pi * radius
        )


@dataclass(frozen=True)
class Nose:
    """Concrete faces of the nose; ``root`` is the outer face of the front panel, where the nose box begins."""

    root_y: Mm
    tip_y: Mm
    root_half: Mm
    tip_half: Mm
    lid_z: Mm
    low_z: Mm
    slope: Deg
    splay: Deg
    opening_top: Mm

    def half_at(self, y: Mm) -> Mm:
        """Half width between the nose sides at a depth y."""
        return self.root_half - (self.root_y - y) * math.tan(math.radians(self.splay))


def tube_path(spec: Spec, stock: Stock, levels: Levels, cavity: Cavity, depth: Mm) -> TubePath:
    """Lay the tube in the front wall and the nose; its end is the rest level.

    Raises:
        SpecError: the tube does not fit its wall, its bends, the front panel, or the levels.
    """
    tube, rim = spec.tube, levels.rim
    outside, radius = tube.outside_diameter, tube.bend_radius
    if tube.bore > outside - 1.0:
        raise SpecError(
            "tube.bore",
            f"{plain(tube.bore)} mm",
            f"a tube of {plain(outside)} mm outside diameter leaves less than 0.5 mm of wall",
            "Choose a smaller bore or a larger tube.",
        )
    if radius < 1.5 * outside:
        raise SpecError(
            "tube.bend_radius",
            f"{plain(radius)} mm",
            f"a tube of {plain(outside)} mm is bent to {plain(1.5 * outside)} mm (1.5 diameters) or more",
            "Choose a larger bend radius.",
        )
    if tube.inlet_rise < outside / 2 + 1:
        raise SpecError(
            "tube.inlet_rise",
            f"{plain(tube.inlet_rise)} mm",
            f"the tube's underside would lie in the floor; it needs {plain(outside / 2 + 1)} mm",
            "Choose a higher inlet.",
        )

    def wall_at(level: Mm) -> Mm:
        return (depth - cavity.depth_at(level)) / 2

    lid_thickness = stock.shell.thickness_mm
    end = levels.rest
    bend = end + lid_thickness + tube.tail
    crest = bend + radius
    face = -depth / 2
    riser = face + tube.cover + outside / 2
    need = outside + 2 * tube.cover
    if wall_at(crest) < need:
        raise SpecError(
            "tube.cover",
            f"{plain(tube.cover)} mm",
            f"the wall is {plain(wall_at(crest), 1)} mm thick at the tube's crest; "
            f"the tube with its cover needs {plain(need)} mm",
            "Choose less cover, a thinner tube or a thicker wall (filter.least_wall).",
        )
    head = levels.full - (crest + tube.bore / 2)
    if head < tube.crest_head:
        raise SpecError(
            "tube.crest_head",
            f"{plain(tube.crest_head)} mm",
            f"the bore at the crest lies only {plain(head, 1)} mm below the full level, "
            "so the filter might never start",
            "Choose a larger charge, a smaller bend radius, or ask for less head.",
        )
    _leg_in_front_of_panel(spec, stock)
    _cover_inside_the_turn(spec, stock)
    inlet = levels.floor + tube.inlet_rise
    straight = wall_at(inlet) - (riser - face) - radius
    if straight < 2.0:
        raise SpecError(
            "tube.bend_radius",
            f"{plain(radius)} mm",
            f"the first bend needs {plain(radius + 2)} mm between inlet and riser; "
            f"the wall at the floor leaves {plain(straight + radius, 1)} mm",
            "Choose a smaller bend radius, less cover, more draft or a thicker wall.",
        )
    if bend < inlet + radius + 2:
        raise SpecError(
            "filter.sand_column",
            f"{plain(spec.filter.sand_column)} mm",
            "the riser is shorter than the tube's two bends",
            "Choose a deeper sand column or a smaller bend radius.",
        )
    return TubePath(
        inlet=(-cavity.depth_at(inlet) / 2, rim - inlet),
        first_centre=(riser + radius, rim - inlet - radius),
        riser_y=riser,
        crest_centre=(riser - radius, rim - bend),
        leg_y=riser - 2 * radius,
        end_z=rim - end,
        bend_radius=radius,
        outside=outside,
        bore=tube.bore,
    )


def _leg_in_front_of_panel(spec: Spec, stock: Stock) -> None:
    """Refuse a turn so tight that the tube comes down in the front panel, or its hole breaks out of the nose lid.

    The web that is left between the hole and the edge of the lid is at least as wide as the sheet is thick.

    Source: common practice, no source.
    """
    tube, shell = spec.tube, stock.shell.thickness_mm
    hole = tube.outside_diameter + spec.shop.fit_gap
    least = (tube.cover + tube.outside_diameter / 2 + 2 * shell + spec.shop.fit_gap / 2 + hole / 2) / 2
    if tube.bend_radius < least:
        raise SpecError(
            "tube.bend_radius",
            f"{plain(tube.bend_radius)} mm",
            f"the tube would come down inside or close to the front panel; its turn needs {math.ceil(least)} mm",
            "Choose a larger bend radius or less cover (tube.cover).",
        )


def _cover_inside_the_turn(spec: Spec, stock: Stock) -> None:
    """Refuse a turn that leaves less than the cover between its crest and the edge of the front panel's opening.

    That edge lies inside the turn: beside its centre by the first number, and beyond it by the second.
    """
    tube = spec.tube
    beside = tube.cover + tube.outside_diameter / 2 - tube.bend_radius
    beyond = tube.tail + stock.shell.thickness_mm + spec.shop.fit_gap
    left = math.hypot(beside, tube.bend_radius - tube.outside_diameter / 2 + beyond)
    if beside > 0 and left < tube.cover:
        raise SpecError(
            "tube.bend_radius",
            f"{plain(tube.bend_radius)} mm",
            f"the turn leaves {plain(left, 1)} mm of concrete below its crest, less than the cover of "
            f"{plain(tube.cover)} mm",
            "Choose a larger bend radius, a longer tube.tail or less cover (tube.cover).",
        )


def nose_box(spec: Spec, stock: Stock, levels: Levels, tube: TubePath, depth: Mm) -> Nose:
    """Follow the tube: clear of both bends by the cover, sloping so that its root clears the base flange.

    Raises:
        SpecError: no slope keeps the nose off the base flange.
    """
    shell, cover = stock.shell.thickness_mm, spec.tube.cover
    root_y = -depth / 2 - shell
    lid_z = tube.end_z - shell
    reach = tube.bend_radius + tube.outside / 2 + cover
    centre_y, centre_z = tube.crest_centre
    floor_z = stock.angle.leg_mm + spec.shop.weld_gap
    for slope in range(30, 66):
        sine, cosine = math.sin(math.radians(slope)), math.cos(math.radians(slope))
        # sloping front: cosine * (centre_y - y) - sine * (z - centre_z) = reach, in the casting frame
        tip_y = centre_y - (reach + sine * (lid_z - centre_z)) / cosine
        low_z = centre_z - (reach - cosine * (centre_y - root_y)) / sine
        if low_z - shell / sine >= floor_z:
            break
    else:
        raise SpecError(
            "filter.freeboard",
            f"{plain(spec.filter.freeboard)} mm",
            f"the nose would come down to {low_z:.0f} mm above the base plate, "
            f"into the base flange ({plain(floor_z)} mm)",
            "Choose more freeboard, a larger charge, or a smaller tube.bend_radius.",
        )
    splay = spec.shop.nose_draft
    tip_half = tube.outside / 2 + cover / math.cos(math.radians(splay))
    root_half = tip_half + (root_y - tip_y) * math.tan(math.radians(splay))
    return Nose(
        root_y=root_y,
        tip_y=tip_y,
        root_half=root_half,
        tip_half=tip_half,
        lid_z=lid_z,
        low_z=low_z,
        slope=float(slope),
        splay=splay,
        opening_top=tube.end_z + spec.shop.fit_gap,
    )
