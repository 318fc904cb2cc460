"""What a person chooses: the specification of one filter and its mould, read from a ``.toml`` file.

Every field states its unit, meaning, range and default here and nowhere else; ``mouldgeom new`` writes them out.
Rules that need a derived length (the tube in its wall, the crest below the full level) are in ``dimensions``.
"""

from __future__ import annotations

import difflib
import hashlib
import importlib.resources
import math
import tomllib
from collections.abc import Callable, Iterator
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any, Final, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, StrictBool, ValidationError
from pydantic.fields import FieldInfo

from mouldgeom import tables
from mouldgeom.errors import FolderError, InputError, SpecError, UnknownDesignationError
from mouldgeom.units import (
    AnyUnit,
    Celsius,
    Deg,
    Hour,
    Kg,
    KgPerM3,
    KnPerM3,
    Litre,
    MetrePerSecond,
    Mm,
    Mpa,
    Ratio,
    parse_length,
    plain,
)

BUILT_IN: Final = "hill-example"
"""The example that commands use when no specification is named."""
PAIR: Final = "two "
"""How the designation of two angles welded together for a square tube begins: ``"two 40x40x4"``."""
EXAMPLES: Final = ("hill-example", "inch-example", "short-example")


class HoleMethod(StrEnum):
    """How bolt holes get into the plates (common practice, no source)."""

    FULL = "full-size"
    PILOT = "pilot"
    CENTRE = "centre-mark"


def _length(value: object) -> object:
    if isinstance(value, bool):
        raise ValueError("true and false are no lengths")
    if isinstance(value, str):
        return parse_length(value)
    return value


def _number(value: object) -> object:
    if isinstance(value, bool | str):
        raise ValueError("a number without quotes is wanted")
    return value


def _listed(kind: str, find: Callable[[str], Any]) -> Callable[[str], str]:
    def check(value: str) -> str:
        try:
            return str(find(value).designation)
        except UnknownDesignationError as error:
            raise ValueError(f"no such {kind}: {error.limit}") from error

    return check


_Length = Annotated[Mm, BeforeValidator(_length)]
_Angle = Annotated[Deg, BeforeValidator(_number)]
_Volume = Annotated[Litre, BeforeValidator(_number)]
_Density = Annotated[KgPerM3, BeforeValidator(_number)]
_UnitWeight = Annotated[KnPerM3, BeforeValidator(_number)]
_Ratio = Annotated[Ratio, BeforeValidator(_number)]
_Speed = Annotated[MetrePerSecond, BeforeValidator(_number)]
_Temperature = Annotated[Celsius, BeforeValidator(_number)]
_Time = Annotated[Hour, BeforeValidator(_number)]
_Stress = Annotated[Mpa, BeforeValidator(_number)]
_Mass = Annotated[Kg, BeforeValidator(_number)]


def _tube(value: str) -> str:
    if value.startswith(PAIR):
        angle = _listed("angle", lambda d: tables.angle(d))(value.removeprefix(PAIR).strip())
        return f"{PAIR}{angle}"
    return _listed("square tube", lambda d: tables.square_tube(d))(value)


def _rod(value: str) -> str:
    try:
        return str(tables.bolt(value).designation)
    except UnknownDesignationError:
        return _listed("rod", lambda d: tables.rod(d))(value)


_Sheet = Annotated[str, AfterValidator(_listed("sheet", lambda d: tables.sheet(d)))]
_AngleBar = Annotated[str, AfterValidator(_listed("angle", lambda d: tables.angle(d)))]
_Tube = Annotated[str, AfterValidator(_tube)]
_Rod = Annotated[str, AfterValidator(_rod)]
_Bolt = Annotated[str, AfterValidator(_listed("thread", lambda d: tables.bolt(d)))]
_Steel = Annotated[str, AfterValidator(_listed("steel", lambda d: tables.steel(d)))]


def _field(unit: str, default: float, low: float, high: float, meaning: str) -> Any:
    return Field(default=float(default), ge=low, le=high, description=meaning, json_schema_extra={"unit": unit})


def _choice(default: str | bool | HoleMethod, meaning: str) -> Any:
    return Field(default=default, description=meaning, json_schema_extra={"unit": "-"})


class _Group(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, strict=False)


class FilterGroup(_Group):
    """The filter that is wanted; levels as in the drawing of the filter, from the underside of the base."""

    cavity_width: _Length = _field("mm", 262, 160, 600, "cavity from left to right at the rim, ledge step not counted")
    cavity_depth: _Length = _field("mm", 262, 160, 600, "cavity from front to back at the rim, ledge step not counted")
    floor: _Length = _field("mm", 60, 40, 150, "thickness of the concrete base under the cavity")
    drainage_gravel: _Length = _field("mm", 50, 20, 150, "coarse gravel on the floor")
    separating_gravel: _Length = _field("mm", 50, 20, 150, "fine gravel that keeps the sand out of the coarse gravel")
    sand_column: _Length = _field("mm", 480, 250, 900, "depth of filter sand above the gravel")
    standing_water: _Length = _field("mm", 50, 40, 80, "water that stays above the sand when the flow has stopped")
    ledge_clearance: _Length = _field("mm", 20, 5, 60, "height of the ledge above the standing water")
    charge: _Volume = _field("l", 12, 4, 40, "water poured at once, held above the standing water")
    freeboard: _Length = _field("mm", 30, 10, 150, "rim above the full level")
    least_wall: _Length = _field("mm", 45, 30, 100, "thickness of the concrete wall at the rim, where it is least")
    draft: _Angle = _field("deg", 1.0, 0.6, 4.0, "taper of each core wall from the direction of pull")


class SandGroup(_Group):
    """The sand that the filter is filled with; ``mouldgeom size`` finds it from a sieve analysis."""

    effective_size: _Length = _field("mm", 0.15, 0.05, 1.0, "effective size d10: a tenth of the mass is finer")
    uniformity: _Ratio = _field("-", 2.0, 1.0, 20.0, "uniformity coefficient d60/d10")
    porosity: _Ratio = _field("-", 0.42, 0.25, 0.6, "share of the placed sand that is pores")
    conductivity: _Speed = _field("m/s", 0, 0, 0.01, "measured conductivity in water of 20 C; 0: estimated from d10")


class WaterGroup(_Group):
    """The water, and how long it rests in the sand."""

    temperature: _Temperature = _field("C", 20, 0, 45, "temperature of the water")
    pause: _Time = _field("h", 8, 1, 48, "rest between the end of the flow and the next filling")


class TubeGroup(_Group):
    """The outlet tube that is cast into the front wall and the nose."""

    outside_diameter: _Length = _field("mm", 10, 6, 25, "outside diameter of the tube")
    bore: _Length = _field("mm", 8, 3, 22, "inside diameter of the tube")
    bend_radius: _Length = _field("mm", 30, 10, 100, "radius of the tube's axis in each bend")
    cover: _Length = _field("mm", 15, 8, 40, "concrete between the tube and every face")
    inlet_rise: _Length = _field("mm", 12, 5, 60, "axis of the tube's inlet above the floor of the cavity")
    crest_head: _Length = _field("mm", 30, 5, 200, "full level above the bore at the crest of the tube, at least")
    tail: _Length = _field("mm", 10, 2, 60, "straight tube between the last bend and the underside of the nose")


class ConcreteGroup(_Group):
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
    stripping_age: _Time = _field("h", 24, 8, 168, "age of the concrete when the mould comes off")
    curing_temperature: _Temperature = _field("C", 20, 5, 40, "temperature of the concrete until then")


class SteelGroup(_Group):
    """The steel that can be bought, by designation."""

    shell: _Sheet = _choice("3 mm", "sheet of the panels, core walls, nose and diaphragms")
    ledge: _Sheet = _choice("6 mm", "sheet of the ledge strips: its thickness is the width of the ledge")
    base: _Sheet = _choice("6 mm", "sheet of the base plate, anchor plate and bridge plates")
    angle: _AngleBar = _choice("40x40x4", "equal angle of the flanges")
    square_tube: _Tube = _choice("40x40x3", 'square tube of stiffeners, runners and bridge; "two 40x40x4": two angles')
    rod: _Rod = _choice("12 mm", 'round rod of the handles; "M12": a threaded rod or long bolt')
    bolt: _Bolt = _choice("M10", "bolts of every joint")
    jack_screw: _Bolt = _choice("M24", "threaded rod that draws the core")
    grade: _Steel = _choice("S235", "steel grade of sheet and bars")


class ShopGroup(_Group):
    """How the workshop cuts, drills and fits."""

    cutting: Literal["plasma", "laser", "oxyfuel"] = _choice(
        "plasma", 'how plates are cut: "plasma", "laser", "oxyfuel"'
    )
    kerf: _Length = _field("mm", 1.8, 0.1, 6, "width of the cut")
    kerf_compensation: StrictBool = _choice(
        False, "true: cut files are drawn bigger by half a kerf; false: nominal size"
    )
    hole_method: HoleMethod = _choice(HoleMethod.FULL, 'bolt holes: "full-size", "pilot" or "centre-mark"')
    saw_kerf: _Length = _field("mm", 2, 0.5, 6, "width of the cut of saw, grinder or shear")
    end_trim: _Length = _field("mm", 0, 0, 100, "cut off one end of each bar before anything else")
    part_spacing: _Length = _field("mm", 5, 1, 50, "distance between parts on a sheet, finished edge to finished edge")
    sheet_margin: _Length = _field("mm", 10, 0, 50, "distance of parts from the edge of the sheet")
    pilot_diameter: _Length = _field("mm", 6, 3, 10, "pilot hole, opened out at assembly")
    bolt_pitch: _Length = _field("mm", 180, 60, 250, "greatest distance from bolt to bolt in a row")
    fit_gap: _Length = _field("mm", 0.5, 0.2, 2, "clearance between parts that are taken apart")
    weld_gap: _Length = _field("mm", 2, 1, 6, "gap left between bars that meet at a weld")
    weld_land: _Length = _field("mm", 25, 12, 60, "base plate inside the core walls, to weld on")
    weld_access: _Length = _field("mm", 75, 50, 150, "room between base plate and anchor plate")
    base_margin: _Length = _field("mm", 10, 4, 60, "base plate beyond the flanges")
    leg_clearance: _Length = _field("mm", 2, 1, 6, "clearance around the bridge legs")
    release_clearance: _Length = _field(
        "mm", 1.0, 0.3, 3, "clearance all round the core when the jack screw has done its work"
    )
    stroke_spare: _Length = _field("mm", 10, 2, 60, "jack stroke beyond what the release needs")
    allowed_bulge: _Length = _field("mm", 1.0, 0.3, 4, "greatest bulge of a panel or core wall under fresh concrete")
    allowed_leak: _Length = _field("mm", 1.0, 0.3, 3, "widest gap through which paste may be lost")
    nose_draft: _Angle = _field("deg", 3.0, 1.0, 10.0, "taper of each side of the nose towards its tip")
    mark_height: _Length = _field("mm", 12, 4, 30, "height of the part mark etched on each plate")


class Spec(_Group):
    """One filter and its mould, as chosen.

    Source of the ranges: common practice, no source, except where a rule in ``rules`` is named by its check.
    """

    title: str = Field(default="Untitled mould", min_length=1, max_length=80, description="name of the job")
    filter: FilterGroup = FilterGroup()
    sand: SandGroup = SandGroup()
    water: WaterGroup = WaterGroup()
    tube: TubeGroup = TubeGroup()
    concrete: ConcreteGroup = ConcreteGroup()
    steel: SteelGroup = SteelGroup()
    shop: ShopGroup = ShopGroup()

    @property
    def digest(self) -> str:
        """SHA-256 of the specification as written with every default."""
        return hashlib.sha256(spec_toml(self).encode()).hexdigest()


def groups() -> Iterator[tuple[str, type[BaseModel]]]:
    """Yield each group's name and model, in the order of the file."""
    for name, info in Spec.model_fields.items():
        if isinstance(info.annotation, type) and issubclass(info.annotation, BaseModel):
            yield name, info.annotation


def unit_of(info: FieldInfo) -> str:
    """Return the unit of a field, ``"-"`` for a choice."""
    extra = info.json_schema_extra
    return str(extra["unit"]) if isinstance(extra, dict) else "-"


def limits_of(info: FieldInfo) -> tuple[AnyUnit, AnyUnit] | None:
    """Return least and greatest allowed value of a field, in its unit."""
    low = [m.ge for m in info.metadata if getattr(m, "ge", None) is not None]
    high = [m.le for m in info.metadata if getattr(m, "le", None) is not None]
    return (low[0], high[0]) if low and high else None


def load(source: str | Path) -> Spec:
    """Read a specification from a file, or one of the shipped ``EXAMPLES`` by name.

    Raises:
        FolderError: the file cannot be read.
        SpecError: it is no TOML, or a field is unknown, of the wrong type or out of range.
    """
    path = Path(source)
    if str(source) in EXAMPLES and not path.is_file():
        text = importlib.resources.files("mouldgeom.data").joinpath(f"examples/{source}.toml").read_text("utf-8")
        return parse(text, str(source))
    try:
        with path.open("rb") as file:
            content = file.read(_LARGEST + 1)
        if len(content) > _LARGEST:
            raise SpecError(str(source), "a file over 100 kB", "a specification is a few kilobytes of TOML", _NEW)
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise SpecError(str(source), "a file that is no text", "a specification is TOML in UTF-8", _NEW) from error
    except SpecError:
        raise
    except (OSError, ValueError) as error:
        near = difflib.get_close_matches(str(source), EXAMPLES, 1)
        hint = f"Did you mean {near[0]}?" if near else f"Give a file, or one of {', '.join(EXAMPLES)}."
        cause = getattr(error, "strerror", None) or str(error)
        raise FolderError("SPEC", repr(str(source)), f"the file cannot be read ({cause})", hint) from error
    return parse(text, str(source))


_NEW: Final = "Write a complete one with: mouldgeom new FILE."
_LARGEST: Final = 100_000
"""Bytes of the largest file that is read as a specification."""
_WIDEST: Final = 1_000
"""Characters of the longest line: the reader's use of memory grows with the square of a key's length."""


def parse(text: str, name: str = "specification") -> Spec:
    """Read a specification from TOML text.

    Raises:
        SpecError: as ``load``.
    """
    for number, line in enumerate(text.splitlines(), 1):
        if len(line) > _WIDEST and not line.lstrip().startswith("#"):
            raise SpecError(name, "not TOML", f"line {number} is longer than {_WIDEST} characters", _NEW)
    try:
        data = tomllib.loads(text)
    except RecursionError as error:
        raise SpecError(name, "not TOML", "nested too deep", _NEW) from error
    except ValueError as error:
        raise SpecError(name, "not TOML", str(error), _NEW) from error
    try:
        return Spec.model_validate(data)
    except ValidationError as error:
        raise _explain(error) from None


def _explain(error: ValidationError) -> InputError:
    """Turn the first finding of the validation library into one clear error."""
    first = error.errors(include_url=False)[0]
    where = [str(part) for part in first["loc"]]
    name = _short(".".join(where)) or "specification"
    model: type[BaseModel] = dict(groups()).get(where[0], Spec) if len(where) > 1 else Spec
    if first["type"] == "extra_forbidden":
        return SpecError(name, _shown(first["input"], ""), "unknown key", f"Did you mean {_nearest(where)}?")
    if first["type"] == "model_type":
        return SpecError(name, _shown(first["input"], ""), "a table of fields is wanted", f"Begin it with [{name}].")
    info = model.model_fields.get(where[-1]) if where else None
    unit = unit_of(info) if info else "-"
    shown = _shown(first["input"], unit)
    limits = limits_of(info) if info else None
    if limits:
        low, high = (f"{plain(v)} {unit}" for v in limits)
        allowed = f"allowed is {low} to {high}"
        reason = str(first.get("ctx", {}).get("error", "")) if first["type"] == "value_error" else ""
        remedy = (
            f"Choose a value from {low} to {high}, or remove the line to get the default {plain(info.default)} {unit}."
            if info
            else ""
        )
        return SpecError(name, shown, f"{reason}; {allowed}" if reason else allowed, remedy)
    reason = str(first.get("ctx", {}).get("error", "")) or str(first["msg"])
    default = (
        f" The default is {_toml_value(info.default)}."
        if info is not None
        and not info.is_required()
        and unit_of(info) == "-"
        and not isinstance(info.default, BaseModel)
        else ""
    )
    return SpecError(name, shown, reason[:1].lower() + reason[1:], f"Correct {name}, or remove the line.{default}")


def _nearest(where: list[str]) -> str:
    """Return the known key nearest to an unknown one: in its own group first, then in every group."""
    key = where[-1].lower()
    fields = {f: f"{g}.{f}" for g, model in groups() for f in model.model_fields}
    group = where[0] if len(where) > 1 else ""
    own = [f for f, full in fields.items() if full == f"{group}.{f}"] if group else [*Spec.model_fields]
    near = difflib.get_close_matches(key, own, 1, 0.6) or difflib.get_close_matches(key, fields, 1, 0.6)
    best = (near or difflib.get_close_matches(key, own, 1, 0.0))[0]
    return best if best in own and not group else fields[best]


def _short(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "..."


def _shown(value: object, unit: str) -> str:
    """Write a value of whatever type as a person would know it again, in at most 60 characters."""
    try:
        if isinstance(value, int | float) and not isinstance(value, bool):
            return f"{value:g} {unit}".rstrip(" -") if math.isfinite(value) else str(value)
        return _short(str(value).lower() if isinstance(value, bool) else repr(value))
    except (OverflowError, ValueError, RecursionError):
        return "a value too large to be shown"


def _toml_value(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(float(value)) if value != int(value) else str(int(value))
    escaped = "".join(
        c if c >= " " and c != "\x7f" else f"\\u{ord(c):04x}"
        for c in str(value).replace("\\", "\\\\").replace('"', '\\"')
    )
    return f'"{escaped}"'


def spec_toml(spec: Spec, *, comments: bool = False, head: tuple[str, ...] = ()) -> str:
    """Write a specification as TOML with every default written out.

    Args:
        spec: the specification.
        comments: say of each field what it is, its unit and its range.
        head: lines of comment to stand first.
    """
    lines = [f"# {line}".rstrip() for line in head]
    if comments:
        lines += [
            '# A length is a number of millimetres or text with a unit: 50, "50 mm", "1/8 in", "5 1/4 in".',
            "# Steel is named by designation. A line that is left out takes its default.",
            "",
        ]
    lines.append(f"title = {_toml_value(spec.title)}")
    for name, model in groups():
        group = getattr(spec, name)
        lines.append("")
        if comments:
            lines += ["# " + (model.__doc__ or "").strip().replace("``", '"')]
        lines.append(f"[{name}]")
        for field, info in model.model_fields.items():
            if comments:
                lines.append(f"# {info.description} {_range_text(info)}".rstrip())
            lines.append(f"{field} = {_toml_value(getattr(group, field))}")
    return "\n".join(lines) + "\n"


def _range_text(info: FieldInfo) -> str:
    limits = limits_of(info)
    default = plain(info.default) if limits else _toml_value(info.default)
    if limits is None:
        return f"(default {default})"
    return f"[{unit_of(info)}, {plain(limits[0])} to {plain(limits[1])}, default {default}]"
