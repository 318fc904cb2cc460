"""What stands in a row of sheet, section, bolt or steel that a person describes: ranges, and what follows from what."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final, TypeAlias

from mouldgeom.errors import SpecError
from mouldgeom.reading import as_length, as_number, shown
from mouldgeom.rules.sections import equal_angle, square_hollow
from mouldgeom.units import AnyUnit, Ratio, four_figures

_Numbers: TypeAlias = Mapping[str, AnyUnit]
_Bound: TypeAlias = AnyUnit | Callable[[_Numbers], AnyUnit]


@dataclass(frozen=True)
class OwnCell:
    """A number of a row: its column, its range, and what it is taken for where it is left out, if it may be.

    Bounds and ``otherwise`` may depend on the cells before it, and ``otherwise`` keeps the bounds; ``why`` tells them.
    """

    column: str
    low: _Bound
    high: _Bound
    otherwise: _Bound | None = None
    why: str = ""

    @property
    def name(self) -> str:
        """What it is called in a file."""
        return self._parts[0]

    @property
    def unit(self) -> str:
        """Its unit, ``"-"`` for none."""
        return {"mpa": "MPa", "kg_m": "kg/m", "kg_m3": "kg/m3"}.get(self._parts[1], self._parts[1] or "-")

    @property
    def _parts(self) -> tuple[str, str]:
        found = re.fullmatch(r"(.+?)(?:_(mm2?|kg_m3?|cm[234]?|mpa))?", self.column)
        assert found is not None
        return found[1], found[2] or ""

    def number(self, given: object) -> AnyUnit:
        """The number that is given: of a length with its unit or in millimetres.

        Raises:
            ValueError: it is none.
        """
        return as_length(given) if self.unit == "mm" else as_number(given)

    def read(self, given: object, row: _Numbers, where: str) -> AnyUnit:
        """The number that is given, ``None`` for none, or else what follows from the row so far.

        Raises:
            SpecError: it is none, out of range, or left out and follows from nothing.
            KeyError: its range follows from a number that is not in the row.
        """
        low, high = _of(self.low, row), _of(self.high, row)
        unit = "" if self.unit == "-" else f" {self.unit}"
        allowed = f"allowed is {four_figures(low)} to {four_figures(high)}{unit}" + (
            f": {self.why}" if self.why else ""
        )
        if given is None and self.otherwise is not None:
            return min(max(float(f"{_of(self.otherwise, row):.4g}"), low), high)
        if given is None:
            raise SpecError(where, "left out", f"this is needed; {allowed}", f"Give {self.name}.")
        try:
            value = self.number(given)
        except ValueError as error:
            raise SpecError(where, shown(given), f"{error}; {allowed}", f"Correct {self.name}.") from error
        if not low <= value <= high:
            remedy = f"Correct {self.name}" + (", or leave it out." if self.otherwise is not None else ".")
            raise SpecError(where, shown(value, self.unit), allowed, remedy)
        return value


def _of(bound: _Bound, given: _Numbers) -> AnyUnit:
    return bound(given) if callable(bound) else bound


def _times(name: str, factor: Ratio) -> Callable[[_Numbers], AnyUnit]:
    return lambda row: factor * row[name]


def _share(column: str, of: str, low: Ratio, high: Ratio, otherwise: Ratio | None = None, why: str = "") -> OwnCell:
    """A number that is a share of another."""
    return OwnCell(column, _times(of, low), _times(of, high), None if otherwise is None else _times(of, otherwise), why)


def _near(column: str, found: Callable[[_Numbers], AnyUnit], within: Ratio = 0.1) -> OwnCell:
    """A number that follows from others, and may be given as it stands in a list."""
    why = f"within {within:.0%} of what the others give"
    return OwnCell(column, lambda row: (1 - within) * found(row), lambda row: (1 + within) * found(row), found, why)


def _angle(row: _Numbers, which: int, scale: Ratio) -> AnyUnit:
    return scale * equal_angle(row["leg"], row["thickness"], row["root_radius"], row["toe_radius"])[which]


def _tube(row: _Numbers, which: int, scale: Ratio) -> AnyUnit:
    return scale * square_hollow(row["side"], row["thickness"], row["outer_radius"], row["inner_radius"])[which]


def _toe(row: _Numbers) -> AnyUnit:
    return min(row["root_radius"] / 2, 0.9 * row["thickness"])


_KG_PER_CM2_M: Final = 0.785
"""Mass of a metre of steel for each square centimetre."""
_MASS: Final = _near("mass_kg_m", _times("area", _KG_PER_CM2_M))

CELLS: Final[Mapping[str, tuple[OwnCell, ...]]] = {
    "sheet": (OwnCell("thickness_mm", 0.5, 40),),
    "angle": (
        OwnCell("leg_mm", 15, 250),
        OwnCell("thickness_mm", 2, lambda row: row["leg"] / 3, why="a leg is at least three thicknesses"),
        OwnCell("root_radius_mm", 0, _times("leg", 0.25), lambda row: 2 + row["leg"] / 10),
        OwnCell("toe_radius_mm", 0, _times("thickness", 1), _toe),
        _near("area_cm2", lambda row: _angle(row, 0, 1e-2)),
        _MASS,
        _near("second_moment_cm4", lambda row: _angle(row, 2, 1e-4)),
        _near("centroid_cm", lambda row: _angle(row, 1, 1e-1)),
        OwnCell("gauge_mm", _times("leg", 0.4), _times("leg", 0.7), lambda row: round(0.56 * row["leg"])),
        OwnCell(
            "largest_hole_mm",
            3,
            lambda row: (row["leg"] - row["gauge"]) / 1.2,
            lambda row: (row["leg"] - row["gauge"]) / 1.5,
            "the edge is at least 1.2 holes from the bolt line",
        ),
    ),
    "square_tube": (
        OwnCell("side_mm", 10, 200),
        OwnCell("thickness_mm", 1, lambda row: row["side"] / 6, why="a side is at least six thicknesses"),
        OwnCell("outer_radius_mm", 0, _times("thickness", 3), _times("thickness", 2)),
        OwnCell("inner_radius_mm", 0, _times("thickness", 2), lambda row: row["outer_radius"] - row["thickness"]),
        _near("area_cm2", lambda row: _tube(row, 0, 1e-2)),
        _MASS,
        _near("second_moment_cm4", lambda row: _tube(row, 2, 1e-4)),
        _near("section_modulus_cm3", lambda row: row["second_moment"] / (row["side"] / 20)),
    ),
    "rod": (OwnCell("diameter_mm", 3, 60),),
    "bolt": (
        OwnCell("diameter_mm", 4, 39),
        _share("pitch_mm", "diameter", 0.05, 0.22, why="of any thread of that diameter"),
        _near("pitch_diameter_mm", lambda row: row["diameter"] - 0.649519 * row["pitch"], 0.03),
        _near("stress_area_mm2", lambda row: math.pi / 4 * (row["diameter"] - 0.938194 * row["pitch"]) ** 2),
        _share("head_height_mm", "diameter", 0.4, 1, 0.65),
        _share("across_flats_mm", "diameter", 1.3, 2.2, why="a head is wider than its bolt"),
        _share("across_corners_mm", "across_flats", 1.08, 1.16, 1.1, "it is a hexagon"),
        _share("nut_height_mm", "diameter", 0.6, 1.3, 0.85),
        _share("washer_outside_mm", "across_flats", 1, 2.5, 1.25, "a washer is as wide as its nut"),
        OwnCell("washer_thickness_mm", 0.8, 10, lambda row: max(1.6, 0.17 * row["diameter"])),
        _share("hole_fine_mm", "diameter", 1.01, 1.2, 1.05, "the bolt goes through it"),
        _share("hole_medium_mm", "hole_fine", 1, 1.2, 1.048, "no less than the fine hole"),
        _share("hole_coarse_mm", "hole_medium", 1, 1.2, 1.09, "no less than the medium hole"),
    ),
    "steel": (
        OwnCell("yield_mpa", 150, 700),
        _share("yield_over_16_mpa", "yield", 0.8, 1, 0.95, "thicker steel has no more"),
        OwnCell("ultimate_mpa", _times("yield", 1.02), 1000, why="steel breaks above its yield strength"),
        _share("ultimate_below_3_mpa", "ultimate", 0.9, 1.2, 1),
        OwnCell("elastic_modulus_mpa", 180_000, 220_000, 210_000),
        OwnCell("poisson", 0.25, 0.35, 0.3),
        OwnCell("density_kg_m3", 7_500, 8_200, 7_850),
    ),
}
"""What stands in a row of each kind, in the order in which one follows from another.

Source: ranges around the rows of the tables.  What is left out: root radius and its half EN 10056-1, corner radii EN
10219-2, thread ISO 724 and ISO 898-1; bolt line, heads, nuts, washers, holes and thick steel common practice, no
source, near the rows of the tables or on their safe side.
"""
