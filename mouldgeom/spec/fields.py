"""The groups of fields that a person chooses from: unit, meaning, range and default of each, here and nowhere else.

``spec`` puts them together and reads them from a file.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import StrEnum
from typing import Annotated, Any, Final, Literal, get_args

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Field,
    StrictBool,
    StringConstraints,
    ValidatorFunctionWrapHandler,
    WrapValidator,
)

from mouldgeom import tables
from mouldgeom.designations import OwnDesignation, renamed
from mouldgeom.errors import UnknownDesignationError
from mouldgeom.letters import lettered
from mouldgeom.reading import as_length, as_number
from mouldgeom.spec.group import FieldGroup
from mouldgeom.units import (
    Casts,
    Celsius,
    Deg,
    Hour,
    Kg,
    KgPerM3,
    KnPerM3,
    Kpa,
    Litre,
    MetrePerHour,
    MetrePerSecond,
    Mm,
    Mpa,
    Newton,
    Ratio,
)
from mouldgeom.words import LANGUAGES

PAIR: Final = "two "
"""How the designation of two angles welded together for a square tube begins: ``"two 40x40x4"``."""
LEAST: Final = "least"
"""The choice of steel that asks for the lightest that serves."""


RENAMED: Final[Mapping[str, Mapping[str, str]]] = {
    "filter": {
        "drainage_gravel": "coarse_gravel",
        "separating_gravel": "fine_gravel",
        "standing_water": "water_over_sand",
    },
    "water": {"pause": "rest"},
    "extraction": {
        "adhesion_least": "core_adhesion_least",
        "adhesion_greatest": "core_adhesion_greatest",
        "grip": "grip_greatest",
        "thread_friction": "thread_friction_greatest",
    },
    "handling": {"people": "team"},
}
"""By group, the names that earlier editions gave to fields, and the names that took their place."""


class HoleMethod(StrEnum):
    """How bolt holes get into the plates (common practice, no source)."""

    FULL = "full-size"
    PILOT = "pilot"
    CENTRE = "centre-mark"


class Gear(StrEnum):
    """What draws the core."""

    FORCING = "forcing screws"
    BRIDGE = "bridge"


class JointSeal(StrEnum):
    """What closes a joint that opens wider than the allowed leak (common practice, no source)."""

    NONE = "none"
    TAPE = "tape"
    CLAY = "clay"


def _listed(kind: str, find: Callable[[str], Any]) -> Callable[[str], str]:
    def check(value: str) -> str:
        try:
            found: str = find(value).designation
        except UnknownDesignationError as error:
            raise ValueError(f"no such {kind}: {error.limit}") from error
        return found

    return check


def angle_of_pair(designation: str) -> str:
    """The designation of the angle, of one such as ``"two 40x40x4"``."""
    return renamed(designation, designation.removeprefix(PAIR).strip())


def pair_of(angle: str) -> str:
    """The designation of two such angles welded together."""
    return renamed(angle, f"{PAIR}{angle}")


def _with_row(check: Callable[[str], str]) -> WrapValidator:
    """Check a designation; one that brings its row along keeps it."""

    def wrapped(value: Any, text: ValidatorFunctionWrapHandler) -> str:
        return check(value if isinstance(value, OwnDesignation) else text(value))

    return WrapValidator(wrapped)


_Length = Annotated[Mm, BeforeValidator(as_length)]
_Angle = Annotated[Deg, BeforeValidator(as_number)]
_Volume = Annotated[Litre, BeforeValidator(as_number)]
_Density = Annotated[KgPerM3, BeforeValidator(as_number)]
_UnitWeight = Annotated[KnPerM3, BeforeValidator(as_number)]
_Ratio = Annotated[Ratio, BeforeValidator(as_number)]
_Speed = Annotated[MetrePerSecond, BeforeValidator(as_number)]
_Temperature = Annotated[Celsius, BeforeValidator(as_number)]
_Time = Annotated[Hour, BeforeValidator(as_number)]
_Stress = Annotated[Mpa, BeforeValidator(as_number)]
_Mass = Annotated[Kg, BeforeValidator(as_number)]
_Rise = Annotated[MetrePerHour, BeforeValidator(as_number)]
_Pressure = Annotated[Kpa, BeforeValidator(as_number)]
_Force = Annotated[Newton, BeforeValidator(as_number)]
_Casts = Annotated[Casts, BeforeValidator(as_number)]


def _heights(value: object) -> object:
    """Read heights as lengths, and refuse those that do not rise."""
    if not isinstance(value, list | tuple):
        raise ValueError("a list of lengths is wanted, such as [150, 400]; [] lets them be found")
    lengths = tuple(as_length(item) for item in value)
    if not all(0 < item < 2000 for item in lengths) or len(lengths) > 20:
        raise ValueError("at most 20 heights, each above 0 and below 2000 mm")
    if list(lengths) != sorted(set(lengths)):
        raise ValueError("heights rise from one to the next")
    return lengths


Heights = Annotated[tuple[Mm, ...], BeforeValidator(_heights)]


def _count(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, int):
        raise ValueError("a whole number without quotes is wanted")
    return value


def _angle(value: str) -> str:
    return value if value == LEAST else _listed("angle", lambda d: tables.angle(d))(value)


def _tube(value: str) -> str:
    if value.startswith(PAIR):
        return pair_of(_listed("angle", lambda d: tables.angle(d))(angle_of_pair(value)))
    return _listed("square tube", lambda d: tables.square_tube(d))(value)


def _rod(value: str) -> str:
    try:
        return tables.bolt(value).designation
    except UnknownDesignationError:
        return _listed("rod", lambda d: tables.rod(d))(value)


def _steel(value: str) -> str:
    if value in get_args(StrengthClassName):
        raise ValueError("it is a strength class of bolts, no steel of sheet and bars: give it as steel.bolt_class")
    return _listed("steel", lambda d: tables.steel(d))(value)


def _language(value: str) -> str:
    if value not in LANGUAGES:
        raise ValueError(f"there is no catalogue for it; there are {', '.join(LANGUAGES)}")
    return value


_Language = Annotated[str, AfterValidator(_language)]
Lettered = Annotated[str, AfterValidator(lettered)]
"""Text that stands on paper."""
_Words = Annotated[Lettered, StringConstraints(max_length=60)]
_Sheet = Annotated[str, _with_row(_listed("sheet", lambda d: tables.sheet(d)))]
_AngleBar = Annotated[str, _with_row(_angle)]
_Tube = Annotated[str, _with_row(_tube)]
_Rod = Annotated[str, _with_row(_rod)]
_Bolt = Annotated[str, _with_row(_listed("thread", lambda d: tables.bolt(d)))]
_Steel = Annotated[str, _with_row(_steel)]
StrengthClassName = Literal["4.6", "5.6", "5.8", "8.8", "10.9", "grade 2", "grade 5", "grade 8", "unmarked"]
_CLASSES: Final = (
    ", ".join(f'"{name}"' for name in get_args(StrengthClassName)) + ": not known, reckoned as the weakest"
)


def _field(unit: str, default: float, low: float, high: float, meaning: str) -> Any:
    return Field(default=float(default), ge=low, le=high, description=meaning, json_schema_extra={"unit": unit})


def _choice(default: str | int | HoleMethod | Gear | JointSeal | tuple[Mm, ...], meaning: str) -> Any:
    return Field(default=default, description=meaning, json_schema_extra={"unit": "-"})


class FilterGroup(FieldGroup):
    """The filter that is wanted; levels as in the drawing of the filter, from the underside of the base."""

    cavity_width: _Length = _field("mm", 262, 160, 600, "cavity from left to right at the rim, ledge step not counted")
    cavity_depth: _Length = _field("mm", 262, 160, 600, "cavity from front to back at the rim, ledge step not counted")
    floor: _Length = _field("mm", 60, 40, 150, "thickness of the concrete base under the cavity")
    coarse_gravel: _Length = _field("mm", 50, 20, 150, "supporting gravel on the floor, coarse")
    fine_gravel: _Length = _field(
        "mm", 50, 20, 150, "supporting gravel under the sand, fine: keeps it out of the coarse"
    )
    sand_column: _Length = _field("mm", 480, 250, 900, "depth of filter sand above the gravel")
    water_over_sand: _Length = _field(
        "mm", 50, 40, 80, "water over the sand at the rest level, when the flow has stopped"
    )
    ledge_clearance: _Length = _field("mm", 20, 5, 60, "height of the ledge above the rest level")
    charge: _Volume = _field("l", 12, 4, 40, "water poured at once, held above the rest level")
    freeboard: _Length = _field("mm", 30, 10, 150, "rim above the full level")
    least_wall: _Length = _field("mm", 45, 30, 100, "thickness of the concrete wall at the rim, where it is least")
    draft: _Angle = _field("deg", 1.0, 0.6, 4.0, "taper of each core wall from the direction of pull")


class SandGroup(FieldGroup):
    """The sand that the filter is filled with; ``mouldgeom size`` finds it from a sieve analysis."""

    effective_size: _Length = _field("mm", 0.15, 0.05, 1.0, "effective size d10: a tenth of the mass is finer")
    uniformity: _Ratio = _field("-", 2.0, 1.0, 20.0, "uniformity coefficient d60/d10")
    porosity: _Ratio = _field("-", 0.42, 0.25, 0.6, "share of the placed sand that is pores")
    conductivity: _Speed = _field("m/s", 0, 0, 0.01, "measured conductivity in water of 20 C; 0: estimated from d10")


class WaterGroup(FieldGroup):
    """The water, and how long it rests in the sand."""

    temperature: _Temperature = _field("C", 20, 0, 45, "temperature of the water")
    rest: _Time = _field("h", 8, 1, 48, "rest of the water in the sand, from the end of the flow to the next filling")


class TubeGroup(FieldGroup):
    """The outlet tube that is cast into the front wall and the nose."""

    outside_diameter: _Length = _field("mm", 10, 6, 25, "outside diameter of the tube")
    bore: _Length = _field(
        "mm", 8, 3, 22, "inside diameter of the tube: to about 8 mm it stays full, above 15 mm it runs as a weir"
    )
    bend_radius: _Length = _field("mm", 30, 10, 100, "radius of the tube's axis in each bend")
    cover: _Length = _field("mm", 15, 8, 40, "concrete between the tube and every face")
    inlet_rise: _Length = _field("mm", 12, 5, 60, "axis of the tube's inlet above the floor of the cavity")
    crest_head: _Length = _field("mm", 30, 5, 200, "full level above the bore at the crest of the tube, at least")
    tail: _Length = _field("mm", 10, 2, 60, "straight tube between the last bend and the underside of the nose")


class ConcreteGroup(FieldGroup):
    """What the concrete is taken to be."""

    largest_stone: _Length = _field("mm", 9, 2, 20, "largest stone in the mix")
    unit_weight_fresh: _UnitWeight = _field("kN/m3", 25, 20, 27, "weight of the fresh concrete, for its pressure")
    density: _Density = _field("kg/m3", 2400, 2000, 2700, "density of the hardened concrete, for its mass")
    strength: _Stress = _field("MPa", 20, 12, 50, "characteristic strength of cylinders at 28 days")
    mix_sand: _Ratio = _field("-", 2, 0.5, 4, "parts of sand to one part of cement, by loose volume")
    mix_stone: _Ratio = _field("-", 3, 0, 6, "parts of stone to one part of cement, by loose volume")
    mix_yield: _Ratio = _field("-", 0.70, 0.6, 0.8, "concrete from one part of loose cement, sand and stone together")
    water_cement: _Ratio = _field("-", 0.50, 0.35, 0.7, "mass of water to mass of cement")
    cement_bag: _Mass = _field("kg", 50, 5, 60, "cement in a bag")
    bucket: _Volume = _field("l", 12, 2, 25, "bucket that sand and stone are measured with")
    cement: Literal["any", "32.5N", "32.5R", "42.5N", "42.5R", "52.5N", "52.5R"] = _choice(
        "any",
        'class of the cement: "32.5N", "32.5R", "42.5N", "42.5R", "52.5N", "52.5R"; "any": taken as slow',
    )
    stripping_age: _Time = _field(
        "h", 24, 8, 168, "age of the concrete when the mould is turned, the core drawn and the mould comes off"
    )
    turning_strength: _Stress = _field("MPa", 5, 2, 15, "strength of the concrete when the filled mould is turned")
    drawing_strength: _Stress = _field("MPa", 5, 2, 15, "strength of the concrete when the core is drawn")
    lifting_strength: _Stress = _field("MPa", 10, 5, 20, "strength of the concrete when the filter is lifted")
    pressure: Literal["liquid head", "ACI 347", "CIRIA 108", "DIN 18218"] = _choice(
        "liquid head", 'pressure of the fresh concrete: "liquid head", "ACI 347", "CIRIA 108", "DIN 18218"'
    )
    rate_of_rise: _Rise = _field("m/h", 3, 0.3, 20, "rate at which the concrete rises in the mould")
    placing_temperature: _Temperature = _field("C", 20, 5, 35, "temperature of the concrete when it is placed")
    slump: _Length = _field("mm", 80, 0, 250, "slump of the fresh concrete")
    consistency: Literal["stiff", "plastic", "soft", "flowing"] = _choice(
        "plastic", 'consistency of the fresh concrete for DIN 18218: "stiff", "plastic", "soft", "flowing"'
    )
    vibration_allowance: _Ratio = _field("-", 0, 0, 0.5, "share added to the pressure for vibration")
    curing_temperature: _Temperature = _field("C", 20, 5, 40, "temperature of the concrete until then")


class SteelGroup(FieldGroup):
    """The steel that can be bought, by designation."""

    shell: _Sheet = _choice("3 mm", "sheet of the panels, core walls, nose and diaphragms")
    ledge: _Sheet = _choice("6 mm", "sheet of the ledge strips: its thickness is the width of the ledge")
    base: _Sheet = _choice("6 mm", "sheet of the base plate, nut plates and pads, or anchor and bridge plates")
    angle: _AngleBar = _choice("least", 'equal angle of the flanges; "least": the lightest that serves')
    square_tube: _Tube = _choice("40x40x3", 'square tube of stiffeners, runners and bridge; "two 40x40x4": two angles')
    rod: _Rod = _choice("12 mm", 'round rod of the handles; "M12": a threaded rod or long bolt')
    bolt: _Bolt = _choice("M10", "bolts of every joint")
    bolt_class: StrengthClassName = _choice("unmarked", f"strength class of the bolts: {_CLASSES}")
    jack_screw: _Bolt = _choice("M24", "threaded rod of the screws that draw the core: forcing screws, or a bridge's")
    screw_class: StrengthClassName = _choice("unmarked", f"strength class of the jack screw: {_CLASSES}")
    grade: _Steel = _choice("S235", "steel grade of sheet and bars")


class ShopGroup(FieldGroup):
    """How the workshop cuts, drills and fits."""

    cutting: Literal["plasma", "laser", "oxyfuel"] = _choice(
        "plasma", 'how plates are cut: "plasma", "laser", "oxyfuel"'
    )
    kerf: _Length = _field("mm", 1.8, 0.1, 6, "width of the cut")
    kerf_compensation: StrictBool = _choice(False, "true: cut files are bigger by half a kerf; false: nominal size")
    hole_method: HoleMethod = _choice(HoleMethod.FULL, 'bolt holes: "full-size", "pilot" or "centre-mark"')
    saw_kerf: _Length = _field("mm", 2, 0.5, 6, "width of the cut of saw, grinder or shear")
    end_trim: _Length = _field("mm", 0, 0, 100, "cut off one end of each bar before anything else")
    part_spacing: _Length = _field("mm", 5, 1, 50, "distance between parts on a sheet, finished edge to finished edge")
    sheet_margin: _Length = _field("mm", 10, 0, 50, "distance of parts from the edge of the sheet")
    pilot_diameter: _Length = _field("mm", 6, 3, 10, "pilot hole, opened out at assembly")
    bolt_pitch: _Length = _field("mm", 0, 0, 250, "greatest distance from bolt to bolt in a row; 0: found")
    fit_gap: _Length = _field("mm", 0.5, 0.2, 2, "clearance between parts that are taken apart")
    weld_gap: _Length = _field("mm", 2, 1, 6, "gap left between bars that meet at a weld")
    weld_land: _Length = _field("mm", 25, 12, 60, "base plate inside the core walls, to weld on")
    weld_access: _Length = _field("mm", 75, 50, 150, "room between base plate and anchor plate")
    base_margin: _Length = _field("mm", 10, 4, 60, "base plate beyond the flanges")
    leg_clearance: _Length = _field("mm", 2, 1, 6, "clearance around the bridge legs")
    release_clearance: _Length = _field(
        "mm", 1.0, 0.3, 3, "clearance all round the core when the screws have done their work"
    )
    stroke_spare: _Length = _field("mm", 10, 2, 60, "travel of the screws beyond what the release needs")
    allowed_bulge: _Length = _field("mm", 1.0, 0.3, 4, "greatest bulge of a panel or core wall under fresh concrete")
    stiffener_heights: Heights = _choice((), "heights of the stiffeners above the base plate; []: found")
    diaphragm_heights: Heights = _choice((), "heights of the diaphragms above the base plate; []: found")
    weld_class: Literal["A", "B", "C", "D"] = _choice("B", 'welded lengths by ISO 13920: "A", "B", "C", "D"')
    flatness_class: Literal["E", "F", "G", "H"] = _choice("F", 'welded flatness by ISO 13920: "E", "F", "G", "H"')
    centring: _Length = _field("mm", 1.0, 0.2, 10, "core off the middle of the box, at most")
    allowed_undersize: _Length = _field("mm", 3.0, 0, 15, "cast wall below the least wall that is still accepted")
    allowed_leak: _Length = _field("mm", 1.0, 0.3, 3, "widest gap through which paste may be lost")
    joint_seal: JointSeal = _choice(
        JointSeal.TAPE, 'what closes a joint that opens wider than that: "none", "tape", "clay"'
    )
    nose_draft: _Angle = _field("deg", 3.0, 1.0, 10.0, "taper of each side of the nose towards its tip")
    mark_height: _Length = _field("mm", 12, 4, 30, "height of the mark etched on each plate")


class ExtractionGroup(FieldGroup):
    """What draws the core, what holds it, and who draws it; what holds has no agreed value, so ranges are carried."""

    gear: Gear = _choice(
        Gear.FORCING,
        'what draws the core: "forcing screws", that press on the concrete rim; "bridge", that stands on the box',
    )

    core_adhesion_least: _Pressure = _field("kPa", 0, 0, 100, "adhesion of concrete to the core, least to be expected")
    core_adhesion_greatest: _Pressure = _field(
        "kPa", 5, 0, 100, "adhesion of concrete to the core, greatest to be expected"
    )
    panel_adhesion_least: _Pressure = _field(
        "kPa", 0, 0, 100, "adhesion of concrete to the panels, least to be expected"
    )
    panel_adhesion_greatest: _Pressure = _field(
        "kPa", 5, 0, 100, "adhesion of concrete to the panels, greatest to be expected"
    )
    friction: _Ratio = _field("-", 0.57, 0.1, 0.8, "friction of hardened concrete on steel")
    grip_least: _Ratio = _field("-", 0, 0, 1, "share of the fresh pressure that is left when the core is drawn, least")
    grip_greatest: _Ratio = _field(
        "-", 0.5, 0, 1, "share of the fresh pressure that is left when the core is drawn, greatest"
    )
    drying: _Ratio = _field(
        "-", 0.05, 0, 1, "drying and cooling against the core, greatest, as a share of the drying of an open wall"
    )
    suction: _Pressure = _field("kPa", 10, 0, 100, "suction under the end plate while it comes off the floor")
    draw_within: _Time = _field("h", 24, 0, 72, "time after stripping within which the core is drawn")
    thread_friction_least: _Ratio = _field(
        "-", 0.10, 0.05, 0.3, "friction in the thread and under the nut of a jack screw, least: what may break a part"
    )
    thread_friction_greatest: _Ratio = _field(
        "-",
        0.20,
        0.05,
        0.3,
        "friction in the thread and under the nut of a jack screw, greatest: what asks most torque",
    )
    lever: _Length = _field("mm", 500, 150, 1500, "longest spanner or bar at hand for the screws")
    hand_force: _Force = _field("N", 250, 50, 500, "steady pull of one person on that lever")


class HandlingGroup(FieldGroup):
    """Who lifts and turns, and on what ground."""

    team: Annotated[Literal[1, 2, 3, 4], BeforeValidator(_count)] = _choice(
        4, "people in the team that lifts and turns, 1 to 4: larger teams are not advised"
    )
    lifter: Literal["man 20 to 45", "woman 20 to 45", "man of another age", "woman of another age"] = _choice(
        "man 20 to 45", "who lifts, by ISO 11228-1: the one who may lift least decides"
    )
    hoist_capacity: _Mass = _field("kg", 500, 0, 5000, "safe working load of the hoist on site; 0: none")
    slope: _Angle = _field("deg", 3, 0, 15, "slope of the ground that the mould stands on")


class UseGroup(FieldGroup):
    """What the mould is made for."""

    life: _Casts = _field(
        "casts", 500, 1, 20000, "casts that the mould is made for; 500: one a working day for two years (own rule)"
    )


class PapersGroup(FieldGroup):
    """How drawings and sheets are set, and what stands in their title blocks."""

    paper: Literal["A3", "A4", "tabloid", "letter"] = _choice(
        "A3", 'size of the drawings: "A3", "A4", "tabloid", "letter"'
    )
    projection: Literal["first angle", "third angle"] = _choice(
        "first angle", 'arrangement of the views: "first angle", "third angle"'
    )
    paper_units: Literal["mm", "inches", "both"] = _choice("mm", 'dimensions on paper: "mm", "inches", "both"')
    language: _Language = _choice("en", 'language of the papers: "en", "fr", "es"')
    owner: _Words = _choice("", "legal owner of the drawings, for the title block")
    creator: _Words = _choice("", "who made the drawings, for the title block")
    approver: _Words = _choice("", "who approved the drawings, for the title block")
    number: _Words = _choice("", "identification number of the drawings; empty: from the specification")
    issued: _Words = _choice("", "date of issue, as it is to stand in the title block")
