"""What a nest is: how parts are to be laid, where each lies, what each sheet holds and what is left of it."""

from __future__ import annotations

from dataclasses import dataclass

from mouldgeom.errors import InputError
from mouldgeom.fabrication.stocklist import StockSheet
from mouldgeom.geometry.outline import Outline
from mouldgeom.nesting.rectangles import Rect
from mouldgeom.spec import Spec
from mouldgeom.units import AnyUnit, Deg, Mm, Mm2, Ratio

SPACING: Mm = 5.0
"""Distance between finished edges of parts.

Source: part spacing of at least 5 mm, shop design guide (seen).
"""
MARGIN: Mm = 10.0
"""Distance of parts from the edge of the sheet (common practice, no source)."""


@dataclass(frozen=True)
class NestOptions:
    """How parts are laid.

    Args:
        spacing: least distance between finished edges of parts.
        margin: least distance of a part from the edge of the sheet.
        kerf: width of the cut; two cuts side by side never overlap.
        grain: keep the grain of the sheet in one direction through all parts: no quarter turns.
        use_openings: lay small parts in the openings of larger ones.
        straight_cuts: only cuts from edge to edge, for a shear or a grinder: parts by their bounding rectangles.
        tries: layouts tried for a sheet, by rectangles.
        slides: layouts slid together as true shapes.
        seed: start of the random numbers.
    """

    spacing: Mm = SPACING
    margin: Mm = MARGIN
    kerf: Mm = 1.8
    grain: bool = False
    use_openings: bool = True
    straight_cuts: bool = False
    tries: int = 9000
    slides: int = 96
    seed: int = 1

    def __post_init__(self) -> None:
        for name, value, limit in (
            ("spacing", self.spacing, 200),
            ("margin", self.margin, 200),
            ("kerf", self.kerf, 20),
        ):
            if not 0 <= value <= limit:
                raise InputError(
                    f"nest.{name}", f"{value:g} mm", f"allowed is 0 to {limit} mm", "Choose a value in that range."
                )

    @staticmethod
    def from_spec(spec: Spec) -> NestOptions:
        """Return the options of a specification: spacing, margin and kerf, and the defaults."""
        return NestOptions(spec.shop.part_spacing, spec.shop.sheet_margin, spec.shop.kerf)

    @staticmethod
    def straight(kerf: Mm = 2.0) -> NestOptions:
        """Return options for straight cuts by a shear (kerf 0) or a grinder, from the very edge of the sheet."""
        return NestOptions(spacing=kerf, margin=0.0, kerf=kerf, straight_cuts=True, use_openings=False)

    @property
    def gap(self) -> Mm:
        """Distance kept between finished edges: the spacing, or two kerfs (one straight cut) if that is more."""
        return max(self.spacing, self.kerf if self.straight_cuts else 2 * self.kerf)

    @property
    def edge(self) -> Mm:
        """Distance kept from the edge of the sheet: the margin, or the kerf if that is more."""
        return self.margin if self.straight_cuts else max(self.margin, self.kerf)

    @property
    def web(self) -> Mm:
        """Steel left between the cuts of two parts that lie as near as allowed."""
        return self.gap - (self.kerf if self.straight_cuts else 2 * self.kerf)


@dataclass(frozen=True, slots=True)
class NestPlacement:
    """One part on a sheet: its frame turned anticlockwise by ``angle`` and moved to (x, y).

    ``number`` counts the pieces of a mark over all moulds from 1.  ``inside`` is the part (mark, number) in whose
    opening it lies: it must be cut before that opening.
    """

    mark: str
    number: int
    x: Mm
    y: Mm
    angle: Deg
    inside: tuple[str, int] | None = None


@dataclass(frozen=True, slots=True)
class StraightCut:
    """One cut from edge to edge of the piece in hand, in the order of cutting."""

    x0: Mm
    y0: Mm
    x1: Mm
    y1: Mm


@dataclass(frozen=True)
class SheetLayout:
    """One sheet: parts in the order of cutting, those inside openings before the part around them.

    ``used_length`` runs from the sheet's left edge to the last part and the margin beyond it; ``density`` is the share
    of steel in that length that becomes parts; ``rest`` is the largest rectangle (x, y, width, height) left over,
    ``None`` if none is 100 mm wide.
    """

    stock: StockSheet
    outline: Outline
    placements: tuple[NestPlacement, ...]
    used_length: Mm
    density: Ratio
    rest: Rect | None
    cuts: tuple[StraightCut, ...] = ()


@dataclass(frozen=True)
class Nest:
    """All plates of one kind of sheet, for some moulds.

    ``length_bound`` is what the parts as nested would need at least, by area, laid end to end over the width of the
    first full sheet; no layout can be shorter.
    """

    sheet: str
    moulds: int
    options: NestOptions
    sheets: tuple[SheetLayout, ...]
    length_bound: Mm

    @property
    def used_length(self) -> Mm:
        """Length used on all sheets together, whole lengths but for the last."""
        return sum(s.stock.length for s in self.sheets[:-1]) + self.sheets[-1].used_length

    @property
    def price(self) -> AnyUnit | None:
        """Price of the sheets, ``None`` if one is not known."""
        prices = [s.stock.price for s in self.sheets]
        return sum(p for p in prices if p is not None) if None not in prices else None


def rank(nest: Nest) -> tuple[Mm2, ...]:
    """What makes one nest better than another: price if known, then steel, then length used."""
    price = nest.price
    return (
        price if price is not None else 0.0,
        round(sum(s.stock.area for s in nest.sheets), 3),
        float(len(nest.sheets)),
        nest.sheets[-1].used_length,
    )
