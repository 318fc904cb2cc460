"""The dimensions that decide whether a mould casts a sound filter: nominal, limits, how to measure, and why.

The build sheet shows them, the inspection form has a box for each, and ``measured.csv`` carries them to ``asbuilt``.
Limits come from welded tolerances of the class asked for, tightened where the wall or the draw of the core needs it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from mouldgeom import tables
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.filter.concrete import body_volume
from mouldgeom.model.assembly import Mould
from mouldgeom.model.sides import SIDES
from mouldgeom.strength.wall_model import thickness_deviation
from mouldgeom.units import MM_PER_INCH, AnyUnit, Mm, Ratio, drill_fraction, inch_fraction, plain

LEVELS: Final = ("rim", "middle", "pour face")
"""Heights at which the box is measured inside: at the base plate, half way up, and at the open top."""


class Occasion(StrEnum):
    """When a dimension is measured."""

    PLATES = "cut plates"
    BOX = "box bolted together"
    CORE = "core welded to the base plate"
    NOSE = "nose welded to the front panel"
    DRY_FIT = "dry fit"
    BRIDGE = "bridge"
    FORCING = "forcing screws"
    CAST = "first filter, cast"


class Subject(StrEnum):
    """What a dimension is of; its codes begin so."""

    SHELL = "plate-shell"
    LEDGE_SHEET = "plate-ledge"
    BASE_SHEET = "plate-base"
    BOX_WIDTH = "box-width"
    BOX_DEPTH = "box-depth"
    BOX_DIAGONAL = "box-diagonal"
    BOX_HEIGHT = "box-height"
    BOW = "bow"
    CORE_WIDTH = "core-width"
    CORE_DEPTH = "core-depth"
    CORE_HEIGHT = "core-height"
    LEDGE_HEIGHT = "ledge-height"
    NOSE = "nose"
    TUBE_HOLE = "tube-hole"
    GAP = "gap"
    JOINT = "joint"
    FLOOR = "floor"
    LEG_LENGTH = "leg-length"
    LEG_SPREAD = "leg-spread"
    PAD_GAP = "pad-gap"
    PAD_FLUSH = "pad-flush"
    FREE_THREAD = "free-thread"
    CAST = "cast"


@dataclass(frozen=True, slots=True)
class Critical:
    """One dimension to be measured.

    ``subject`` is what it is of, ``place`` where of that: a side, a level, an end; ``tool`` says with what and how it
    is measured; ``why`` what goes wrong.  All lengths in mm; the mass of the filter in kg, as ``unit`` says.
    """

    subject: Subject
    place: tuple[str, ...]
    what: str
    stage: Occasion
    nominal: Mm
    low: Mm
    high: Mm
    tool: str
    why: str
    source: str
    unit: str = "mm"

    @property
    def code(self) -> str:
        """Its name in ``measured.csv``."""
        return "-".join((self.subject, *self.place)).replace(" ", "-")

    def accepts(self, measured: Mm) -> bool:
        """Whether a measured value lies within the limits, both included."""
        return self.low - 1e-6 <= measured <= self.high + 1e-6

    @property
    def digits(self) -> int:
        """Decimals that nominal and limits are written with: a calliper's two, a tape's one, none of a kilogram."""
        return 0 if self.unit == "kg" else 2 if self.subject in _BY_CALLIPER else 1

    def inches(self, value: Mm, way: int, number: Callable[[AnyUnit, int], str] = plain) -> str:
        """A length in inches, as fine as the limits ask, up where ``way`` is 1, down where -1, to the nearest where 0.

        In 16ths or 32nds if most of the span is left, else in thousandths, which ``number`` writes; the nominal of what
        is measured by calliper by its exact fraction, if it has one.

        Source: shop practice, 1/16 on a tape, 1/32 on a rule, 0.001 on a calliper (from memory).
        """
        span, fine = self.high - self.low, self.subject in _BY_CALLIPER
        if fine and way == 0 and value > 0 and (exact := drill_fraction(value)):
            return exact
        for grain in () if fine else (16, 32):
            low, high = _whole(self.low * grain / MM_PER_INCH, 1), _whole(self.high * grain / MM_PER_INCH, -1)
            if (high - low) / grain * MM_PER_INCH >= _LEFT * span:
                return inch_fraction(_whole(value * grain / MM_PER_INCH, way) * MM_PER_INCH / grain, grain)
        return f"{number(_whole(value * 1000 / MM_PER_INCH, way) / 1000, 3)} in"


def _whole(value: AnyUnit, way: int) -> int:
    return {1: math.ceil(value - 1e-4), -1: math.floor(value + 1e-4)}.get(way, round(value))


def _as_written(item: Critical) -> Critical:
    """With its limits rounded inwards to what is written, so that paper, file and verdict have the same."""
    fine = 10**item.digits
    low = min(math.ceil((item.low - _SLACK) * fine), math.floor(item.nominal * fine)) / fine
    high = max(math.floor((item.high + _SLACK) * fine), math.ceil(item.nominal * fine)) / fine
    return replace(item, low=low, high=high)


_BY_CALLIPER: Final = (Subject.SHELL, Subject.LEDGE_SHEET, Subject.BASE_SHEET, Subject.JOINT, Subject.PAD_GAP)
"""What is measured by calliper or feeler, to a hundredth."""
_SLACK: Final[Mm] = 0.005
"""Less than this beyond what is written counts as that."""
_LEFT: Final[Ratio] = 0.7
"""Share of the span between the limits that a coarser fraction of an inch must leave."""
PAD_STEP: Final[Mm] = 0.5
"""A pad off the face of the base plate, at most: the step that is left in the rim (own rule)."""
MASS_WITHIN: Final[Ratio] = 0.07
"""Mass of a cast filter off the mass of its mould's space (common practice, no source)."""


_THIN: Final = "too narrow: the wall comes out thin; too wide: more concrete than the filter needs"
_LOCK: Final = "a core that does not grow narrower towards its end stays in the concrete"
_WELD: Final = "ISO 13920:1996 Table 1, class "
_FLAT: Final = "ISO 13920:1996 Table 3, class "


def critical(mould: Mould) -> tuple[Critical, ...]:
    """Every critical dimension of a mould, in the order in which it is built."""
    dims = mould.dims
    stages = (_plates, _box, _core, _nose, _dry_fit, _bridge if dims.has_bridge else _forcing, _cast)
    return tuple(_as_written(item) for stage in stages for item in stage(dims))


def weld_deviation(dims: Dimensions, nominal: Mm) -> tuple[Mm, str]:
    """Deviation that the class of welding allows on a length, plus and minus, and its source."""
    name = dims.spec.shop.weld_class
    return tables.weld_tolerance(max(2.0, nominal), name), _WELD + name


def flat_deviation(dims: Dimensions, longer: Mm) -> tuple[Mm, str]:
    """Flatness that the class asked for allows over a longer side, and its source."""
    name = dims.spec.shop.flatness_class
    return tables.weld_flatness(max(30.1, longer), name), _FLAT + name


def _welded(
    dims: Dimensions,
    subject: Subject,
    place: tuple[str, ...],
    what: str,
    stage: Occasion,
    nominal: Mm,
    tool: str,
    why: str,
    *,
    low: Mm | None = None,
) -> Critical:
    """A welded length within its class; ``low`` tightens the lower limit."""
    deviation, source = weld_deviation(dims, nominal)
    least = nominal - deviation
    if low is not None and low > least:
        least, source = low, f"{source}; lower limit from the least wall accepted"
    return Critical(subject, place, what, stage, nominal, least, nominal + deviation, tool, why, source)


def _plates(dims: Dimensions) -> list[Critical]:
    out = []
    for subject, what, thickness in (
        (Subject.SHELL, "thickness of the sheet of panels and core", dims.shell),
        (Subject.LEDGE_SHEET, "thickness of the ledge strips", dims.ledge),
        (Subject.BASE_SHEET, "thickness of the base plate", dims.base),
    ):
        deviation, source = thickness_deviation(dims, thickness)
        out.append(
            Critical(
                subject, (), what, Occasion.PLATES, thickness, thickness - deviation, thickness + deviation,
                "calliper, at the edge, clear of burrs",
                "the ledge is as wide as its strip is thick" if subject is Subject.LEDGE_SHEET
                else "thin sheet bulges more",
                source,
            )
        )  # fmt: skip
    return out


def _box(dims: Dimensions) -> list[Critical]:
    out = []
    spare = 2 * dims.spec.shop.allowed_undersize
    for subject, words, nominal in (
        (Subject.BOX_WIDTH, "inside width of the box, left to right", dims.width),
        (Subject.BOX_DEPTH, "inside depth of the box, front to back", dims.depth),
    ):
        for level in LEVELS:
            out.append(
                _welded(
                    dims, subject, (level,), f"{words}, at the {level}", Occasion.BOX, nominal,
                    "inside tape or two sliding rods, half way along the wall", _THIN, low=nominal - spare,
                )
            )  # fmt: skip
    diagonal = math.hypot(dims.width, dims.depth)
    deviation, source = weld_deviation(dims, min(dims.width, dims.depth))
    for which, words in (("one", "front left to back right"), ("other", "front right to back left")):
        out.append(
            Critical(
                Subject.BOX_DIAGONAL, (which,),
                f"inside diagonal of the box at the rim, {words}", Occasion.BOX, diagonal,
                diagonal - deviation, diagonal + deviation, "tape, corner to corner; both must agree",
                "a box out of square makes one wall thin at a corner", source,
            )
        )  # fmt: skip
    out.append(
        _welded(
            dims, Subject.BOX_HEIGHT, (), "height of the panels over the base plate", Occasion.BOX, dims.height,
            "tape, at each corner", "the pour face makes the filter's underside and the thickness of its floor",
        )
    )  # fmt: skip
    deviation, source = flat_deviation(dims, dims.height)
    for side in SIDES:
        out.append(
            Critical(
                Subject.BOW, (side,),
                f"bow of the {side} panel: + bulges into the concrete, - is hollow", Occasion.BOX, 0.0,
                -deviation, min(deviation, max(1.0, dims.spec.shop.allowed_undersize)),
                "straight edge across the concrete face: + rule at both ends alike, - rule in the middle",
                "a panel that bulges into the concrete makes the wall thin", source,
            )
        )  # fmt: skip
    return out


def _core(dims: Dimensions) -> list[Critical]:
    out = []
    foot = dims.ledge * math.sin(math.radians(dims.draft))
    spare = 2 * dims.spec.shop.allowed_undersize
    for subject, words, half in (
        (Subject.CORE_WIDTH, "outside width of the core, left to right", dims.core_half_x),
        (Subject.CORE_DEPTH, "outside depth of the core, front to back", dims.core_half_y),
    ):
        for level, z, step in (
            ("rim", foot, dims.step),
            ("ledge", dims.ledge_z, 0.0),
            ("end plate", dims.end_z, 0.0),
        ):
            nominal = 2 * (half(z) + step)
            deviation, source = weld_deviation(dims, nominal)
            out.append(
                Critical(
                    subject, (level,),
                    f"{words}, {'over the ledge strips at the rim' if step else f'over the walls at the {level}'}",
                    Occasion.CORE, nominal, nominal - deviation, nominal + min(deviation, spare),
                    "outside calliper or tape with two straight edges", _LOCK,
                    source,
                )
            )  # fmt: skip
    out.append(
        _welded(
            dims, Subject.CORE_HEIGHT, (), "height of the end plate over the base plate", Occasion.CORE, dims.end_z,
            "tape on each wall", "too high: the filter's floor comes out thin",
            low=dims.end_z - weld_deviation(dims, dims.end_z)[0],
        )
    )  # fmt: skip
    out.append(
        _welded(
            dims, Subject.LEDGE_HEIGHT, (), "height of the ledge over the base plate", Occasion.CORE, dims.ledge_z,
            "tape on each wall", "the diffuser would stand in the water or too high",
        )
    )  # fmt: skip
    return out


def _nose(dims: Dimensions) -> list[Critical]:
    nose = dims.nose
    return [
        _welded(
            dims, Subject.NOSE, ("root width",),
            "inside width of the nose at the panel", Occasion.NOSE, 2 * nose.root_half,
            "calliper inside", "too narrow: no concrete cover beside the tube",
            low=2 * nose.root_half - 1.0,
        ),
        _welded(
            dims, Subject.NOSE, ("tip width",), "inside width of the nose at its tip", Occasion.NOSE, 2 * nose.tip_half,
            "calliper", "as wide as at the panel or wider: the panel does not come off",
        ),
        _welded(
            dims, Subject.NOSE, ("depth",),
            "depth of the nose from the panel's outer face to its tip, at the lid", Occasion.NOSE,
            nose.root_y - nose.tip_y, "rule against a square",
            "too shallow: no concrete cover over the bend of the tube",
            low=nose.root_y - nose.tip_y - 1.0,
        ),
        _welded(
            dims, Subject.NOSE, ("lid height",), "height of the lid's concrete face over the base plate", Occasion.NOSE,
            nose.lid_z, "tape", "it sets the height of the tube, and that sets the water level",
        ),
        _welded(
            dims, Subject.TUBE_HOLE, (), "middle of the tube's hole from the panel's outer face", Occasion.NOSE,
            nose.root_y - dims.tube.leg_y, "rule against a square",
            "the tube would be forced, or lose its concrete cover",
        ),
    ]  # fmt: skip


def _dry_fit(dims: Dimensions) -> list[Critical]:
    out = []
    rim = dims.spec.filter.least_wall
    far = rim + dims.step + dims.end_z * dims.taper
    for side in SIDES:
        for place, nominal in (("rim", rim), ("end", far)):
            deviation, source = weld_deviation(dims, max(nominal, 30.1))
            least = nominal - min(deviation, dims.spec.shop.allowed_undersize)
            out.append(
                Critical(
                    Subject.GAP, (side, place),
                    f"gap between {side} panel and core, at the {'rim' if place == 'rim' else 'end plate'}",
                    Occasion.DRY_FIT, nominal, least, nominal + deviation,
                    "a stick cut to the lower limit must pass, one cut to the upper limit must not",
                    "the gap is the filter's wall", f"{source}; shop.allowed_undersize",
                )
            )  # fmt: skip
    for joint, where in (
        ("corner", "between front or back panel and side panel"),
        ("base", "between panels and base plate"),
        ("nose", "around the nose lid"),
    ):
        out.append(
            Critical(
                Subject.JOINT, (joint,), f"widest gap {where}, bolts tight", Occasion.DRY_FIT, 0.0, 0.0,
                dims.spec.shop.allowed_leak, "feeler, or a strip of sheet of that thickness",
                "paste runs out and leaves stones without cement", "specification, shop.allowed_leak",
            )
        )  # fmt: skip
    floor = dims.height - dims.end_z
    deviation, source = weld_deviation(dims, floor)
    out.append(
        Critical(
            Subject.FLOOR, (), "end plate below the top edge of the panels", Occasion.DRY_FIT, floor,
            floor - min(deviation, dims.spec.shop.allowed_undersize), floor + deviation,
            "straight edge over the panels and rule", "it is the thickness of the filter's floor", source,
        )
    )  # fmt: skip
    return out


def _cast(dims: Dimensions) -> list[Critical]:
    """What is measured on the first filter; its mass by the dimensions of the design."""
    out = []
    rim, spare = dims.spec.filter.least_wall, dims.spec.shop.allowed_undersize
    for side in SIDES:
        out.append(
            Critical(
                Subject.CAST, ("wall", side),
                f"wall of the filter at the rim, {side}, in the middle", Occasion.CAST, rim,
                rim - spare, rim + weld_deviation(dims, rim)[0] + spare, "calliper over the rim",
                "the thinnest part of the filter", "specification, filter.least_wall and shop.allowed_undersize",
            )
        )  # fmt: skip
    floor = dims.spec.filter.floor
    deviation, source = weld_deviation(dims, floor)
    out.append(
        Critical(
            Subject.CAST, ("floor",), "floor of the filter: outside height less inside depth", Occasion.CAST, floor,
            floor - min(deviation, spare), floor + 2 * deviation, "tape inside and outside",
            "the floor carries sand and water", source,
        )
    )  # fmt: skip
    volume = body_volume(dims.spec, dims.levels, dims.cavity, dims.nose, dims.tube, dims.shell)
    mass = volume * 1e-9 * dims.spec.concrete.density
    out.append(
        Critical(
            Subject.CAST, ("mass",), "mass of the finished filter, empty and dry", Occasion.CAST, mass,
            (1 - MASS_WITHIN) * mass, (1 + MASS_WITHIN) * mass,
            "scale under the hoist, or two bathroom scales and a board",
            "too light: hollows or thin walls; too heavy: walls that bulged",
            f"common practice, no source: {MASS_WITHIN * 100:.0f} per cent", "kg",
        )
    )  # fmt: skip
    return out


def _forcing(dims: Dimensions) -> list[Critical]:
    gap, leak = dims.spec.shop.fit_gap, dims.spec.shop.allowed_leak
    free = dims.base + dims.stock.jack.nut_height_mm + dims.forcing.room
    spare = dims.forcing.room - dims.stroke
    return [
        Critical(
            Subject.PAD_GAP, (), "widest gap round a thrust pad, the pad pushed to one side", Occasion.FORCING, 2 * gap,
            0.0, gap + leak, "feeler, or a strip of sheet of that thickness",
            "too narrow: the pad sticks in the base plate; too wide: paste runs in, more than tape holds",
            "specification, shop.fit_gap and shop.allowed_leak",
        ),
        Critical(
            Subject.PAD_FLUSH, (), "thrust pad above the face of the base plate (below it: minus)", Occasion.FORCING,
            0.0, -PAD_STEP, PAD_STEP, "straight edge and feeler, at all four pads", "it leaves a step in the rim",
            "own rule",
        ),
        Critical(
            Subject.FREE_THREAD, (), "forcing screw from its tip to the nuts that drive", Occasion.FORCING, free,
            free - spare, free + spare, "tape, on each screw",
            "too short: the nuts meet before the core is free", "own rule: stroke and spare stroke",
        ),
    ]  # fmt: skip


def _bridge(dims: Dimensions) -> list[Critical]:
    bridge = dims.bridge
    return [
        _welded(
            dims, Subject.LEG_LENGTH, (),
            "length of the bridge legs below their caps", Occasion.BRIDGE, bridge.leg_length,
            "tape; both legs alike", "too short: the base plate meets the bridge before the core is free",
            low=bridge.leg_length - 0.5,
        ),
        _welded(
            dims, Subject.LEG_SPREAD, (), "middle of one bridge leg to the middle of the other", Occasion.BRIDGE,
            2 * bridge.leg_x, "tape", "the legs would miss the notches of the base plate",
        ),
    ]  # fmt: skip
