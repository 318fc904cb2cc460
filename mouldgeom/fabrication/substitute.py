"""What to build from when the stock list lacks what the specification names, and what that costs in function.

The design adapts: the substitute goes into the specification and everything is derived anew, so that a thicker ledge
strip is a wider ledge and bolt rows move with the leg of the angle.  Nothing is merely renamed.

A substitute that makes the mould fail a check of the calculation which it keeps otherwise is left for the next one; if
every one does, the best is taken and what fails by it is said.

Source: common practice, no source: concrete-facing sheet at least 3 mm; ledge and base 6 mm best, 5 mm next, 3 mm with
longer runners; two angles welded together for square tube; a bolt of the same length for a handle rod.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from mouldgeom import rules, tables
from mouldgeom.design.bought import PairOfAngles, rod, square_tube
from mouldgeom.design.dimensions import Dimensions, derive, field_bulge
from mouldgeom.errors import SpecError
from mouldgeom.fabrication.stocklist import StockList
from mouldgeom.model.assembly import Mould, assemble
from mouldgeom.model.shapes import SectionKind
from mouldgeom.spec import Spec
from mouldgeom.spec.fields import LEAST, PAIR, angle_of_pair, pair_of
from mouldgeom.strength_classes import UNMARKED, classes_for, strength_class
from mouldgeom.units import AnyUnit, Kg, Mm, Ratio, plain

_FIELDS: tuple[tuple[str, str], ...] = (
    ("shell", "sheet of panels and core walls"),
    ("ledge", "sheet of the ledge strips"),
    ("base", "sheet of base, anchor and bridge plates"),
    ("angle", "angle of the flanges"),
    ("square_tube", "square tube of stiffeners, runners and bridge"),
    ("rod", "rod of the handles"),
    ("jack_screw", "threaded rod of the jack screw"),
)


_GRASP: tuple[Ratio, Ratio] = (0.8, 1.5)
"""A handle is at least and at most so many times as thick as the one wanted (common practice, no source)."""
Failing = Callable[[Mould], Mapping[str, str]]
"""What a mould fails, a line each, by the code of the check, such as ``strength.book.failing``."""
Made = Callable[[Dimensions], Mould]


@dataclass(frozen=True)
class SteelChange:
    """One substitute: the field of ``steel``, what was wanted, what is used, what that costs, what fails by it."""

    field: str
    what: str
    wanted: str
    used: str
    effects: tuple[str, ...]
    fails: tuple[str, ...] = ()

    def line(self) -> str:
        """The change in one sentence."""
        effects = f" ({'; '.join(self.effects)})" if self.effects else ""
        fails = f"; with it the mould FAILS {'; '.join(self.fails)}" if self.fails else ""
        return f"{self.what}: {self.used} for {self.wanted}{effects}{fails}"


@dataclass(frozen=True)
class Substitution:
    """A specification that can be built from the stock, how it differs from the one wanted, and the mass that adds."""

    spec: Spec
    changes: tuple[SteelChange, ...]
    steel: Kg = 0.0

    def lines(self) -> list[str]:
        """Each change in one sentence, and what they do to the mass of the mould together."""
        if not self.changes:
            return []
        return [*(change.line() for change in self.changes), f"all changes together: {self.steel:+.1f} kg of steel"]


def substitute(spec: Spec, stock: StockList, failing: Failing, made: Made = assemble) -> Substitution:
    """Fit a specification to the steel that is there.

    The least angle is the least of those that are there and hold the pour; it is named in the result.

    Args:
        spec: what is wanted.
        stock: what is there; only which sheets and sections, not how many.
        failing: what a mould fails.
        made: the mould of dimensions, where extensions change its parts.

    Raises:
        SpecError: nothing there can serve; the message names the piece and the nearest stock that could.
    """
    adapted = spec
    changed: list[tuple[str, str, str, str, tuple[str, ...]]] = []
    for field, what in _FIELDS:
        wanted: str = getattr(spec.steel, field)
        least = field == "angle" and wanted == LEAST
        options = _options(field, wanted, stock)
        if wanted in options:
            continue
        serves = _holds if least else _can_be_built
        usable = [option for option in options if serves(_with(adapted, field, option))]
        if not usable:
            raise SpecError(
                f"steel.{field}",
                repr(wanted),
                f"the stock has none for the {what}, and nothing that could serve" + _seen(options),
                f"Buy {_nearest_use(field, wanted)}.",
            )
        used, fails = _first_that_holds(adapted, field, usable, failing, made)
        if least:
            wanted = _least_of_all(adapted) or wanted
        adapted = _with(adapted, field, used)
        if used != wanted:
            changed.append((field, what, wanted, used, fails))
    if not changed:
        return Substitution(adapted, ())
    before, after = made(derive(spec)), made(derive(adapted))
    changes = tuple(
        SteelChange(f, what, old, new, _effects(f, before, after), fails) for f, what, old, new, fails in changed
    )
    return Substitution(adapted, changes, after.steel_mass - before.steel_mass)


def _first_that_holds(
    spec: Spec, field: str, options: Sequence[str], failing: Failing, made: Made
) -> tuple[str, tuple[str, ...]]:
    """The first option by which nothing fails that held before; else the one by which least fails, and what that is."""
    held = failing(made(derive(spec))) if _can_be_built(spec) else {}
    best: tuple[str, tuple[str, ...]] | None = None
    for option in options:
        now = failing(made(derive(_with(spec, field, option))))
        fails = tuple(line for code, line in now.items() if code not in held)
        if best is None or len(fails) < len(best[1]):
            best = option, fails
        if not fails:
            break
    assert best is not None
    return best


def _with(spec: Spec, field: str, value: str) -> Spec:
    """The specification with another steel and its row; of a screw of the other system nobody knows the class."""
    changes: dict[str, object] = {f"steel.{field}": value}
    if field == "jack_screw" and spec.steel.screw_class not in classes_for(tables.bolt(value)):
        changes["steel.screw_class"] = UNMARKED
    own = spec.own.taking(angle_of_pair(value) if value.startswith(PAIR) else value)
    return spec.model_copy(update={"own": own}).changed(changes)


def _can_be_built(spec: Spec) -> bool:
    try:
        derive(spec)
    except SpecError:
        return False
    return True


def _holds(spec: Spec) -> bool:
    """Whether a mould with this angle can be built, and its bolts and flanges hold the pour."""
    try:
        return derive(spec).flange_strain <= 1
    except SpecError:
        return False


def _least_of_all(spec: Spec) -> str | None:
    """The least angle if all could be bought."""
    try:
        return derive(spec).stock.angle.designation
    except SpecError:
        return None


def _seen(options: Sequence[str]) -> str:
    return f" (tried {', '.join(options)})" if options else ""


def _options(field: str, wanted: str, stock: StockList) -> list[str]:
    """Designations in the stock that could serve, best first."""
    sheets = list(dict.fromkeys(sheet.sheet for sheet in stock.sheets))
    bars = {kind: list(dict.fromkeys(bar.section for bar in stock.bars if bar.kind is kind)) for kind in SectionKind}
    if field == "shell":
        thick = tables.sheet(wanted).thickness_mm
        fit = [s for s in sheets if tables.sheet(s).thickness_mm >= rules.least_shell_thickness()]
        return sorted(fit, key=lambda s: _thicker_first(tables.sheet(s).thickness_mm, thick))
    if field in ("ledge", "base"):
        thick = tables.sheet(wanted).thickness_mm
        fit = [s for s in sheets if tables.sheet(s).thickness_mm >= rules.least_shell_thickness()]
        return sorted(fit, key=lambda s: (round(abs(tables.sheet(s).thickness_mm - thick), 6), s))
    if field == "angle" and wanted == LEAST:
        return sorted(bars[SectionKind.ANGLE], key=lambda a: (tables.angle(a).mass_kg_m, a))
    if field == "angle":
        leg = tables.angle(wanted).leg_mm
        return sorted(bars[SectionKind.ANGLE], key=lambda a: _thicker_first(tables.angle(a).leg_mm, leg))
    if field == "square_tube":
        side = square_tube(wanted).side_mm
        tubes = sorted(bars[SectionKind.SQUARE_TUBE], key=lambda t: (round(abs(square_tube(t).side_mm - side), 6), t))
        pairs = [pair_of(angle) for angle in bars[SectionKind.ANGLE]]
        return tubes + sorted(pairs, key=lambda p: (round(abs(square_tube(p).side_mm - side), 6), p))
    threaded = bars[SectionKind.THREADED_ROD]
    if field == "rod":
        return _rods(rod(wanted).diameter_mm, bars[SectionKind.ROD], threaded, _price_by_section(stock))
    size = tables.bolt(wanted).diameter_mm
    return sorted(threaded, key=lambda r: _thicker_first(tables.bolt(r).diameter_mm, size))


def _rods(size: Mm, rods: Sequence[str], threaded: Sequence[str], price: Mapping[str, AnyUnit]) -> list[str]:
    """What a hand grasps as well: the cheapest first, without prices plain rod and the lightest; the thinner last."""
    low, high = (share * size for share in _GRASP)
    fit = [name for name in (*rods, *threaded) if low <= rod(name).diameter_mm <= high]
    priced = all(name in price for name in fit)

    def order(name: str) -> tuple[int, AnyUnit, float]:
        thinner, away = _thicker_first(rod(name).diameter_mm, size)
        return thinner, price[name] if priced else float(name in threaded), away

    return sorted(fit, key=order)


def _price_by_section(stock: StockList) -> dict[str, AnyUnit]:
    """Price of a millimetre of each section, the least that is known."""
    found: dict[str, AnyUnit] = {}
    for bar in stock.bars:
        if bar.price is not None:
            found[bar.section] = min(bar.price / bar.length, found.get(bar.section, math.inf))
    return found


def _thicker_first(size: Mm, wanted: Mm) -> tuple[int, float]:
    """Nearest first, the thicker before the thinner once they differ by more than a tenth."""
    thinner = size < 0.9 * wanted
    return (int(thinner), round(abs(size - wanted), 6))


def _nearest_use(field: str, wanted: str) -> str:
    known: dict[str, Callable[[], str]] = {
        "shell": lambda: "3 mm, 1/8 in or 4 mm sheet",
        "ledge": lambda: f"{wanted}, 5 mm or 3 mm sheet",
        "base": lambda: f"{wanted}, 5 mm or 3 mm sheet",
        "angle": lambda: (
            "an equal angle that takes the bolt"
            if wanted == LEAST
            else f"{wanted} angle, or the next size up that takes the bolt"
        ),
        "square_tube": lambda: f"{wanted} square tube, or equal angle to weld two into one",
        "rod": lambda: (
            f"{wanted} rod, or rod or threaded rod of {_GRASP[0] * rod(wanted).diameter_mm:.0f} to "
            f"{_GRASP[1] * rod(wanted).diameter_mm:.0f} mm"
        ),
        "jack_screw": lambda: f"{wanted} threaded rod",
    }
    return known[field]()


def _effects(field: str, before: Mould, after: Mould) -> tuple[str, ...]:
    """What a change does to the function, from the two designs."""
    old, new = before.dims, after.dims
    out: list[str] = []
    if field == "shell":
        out.append(
            f"panel sheet {new.shell / old.shell - 1:+.0%} thick, bulge {_bulge(after) / _bulge(before):.2f} times"
        )
        out.append(f"stiffener lines {len(old.stiffener_z)} before, {len(new.stiffener_z)} now")
    elif field == "ledge":
        out.append(f"ledge {plain(old.step, 1)} mm wide before, {plain(new.step, 1)} mm now")
        out.append(f"outside {plain(old.width, 1)} mm before, {plain(new.width, 1)} mm now")
    elif field == "base":
        out.append(f"base plate bends {(old.base / new.base) ** 3:.1f} times as easily")
        if new.runner_half > new.base_half_x + 1e-6:
            out.append(f"runners {plain(2 * (new.runner_half - new.base_half_x), 0)} mm longer than the plate")
    elif field == "angle":
        out.append(f"leg {plain(old.stock.angle.leg_mm)} mm before, {plain(new.stock.angle.leg_mm)} mm now")
        out.append(
            f"bolt line {plain(old.bolting.gauge, 1)} mm from the heel before, {plain(new.bolting.gauge, 1)} mm now"
        )
    elif field == "square_tube":
        ratio = new.stock.tube.second_moment_cm4 / old.stock.tube.second_moment_cm4
        out.append(f"stiffness of stiffeners and bridge {ratio:.2f} times")
        if isinstance(new.stock.tube, PairOfAngles):
            out.append("two angles to weld toe to toe for each")
    elif field == "rod":
        ratio = new.stock.rod.diameter_mm / old.stock.rod.diameter_mm
        out.append(f"handle {ratio:.2f} times as thick")
    else:
        strengths = [strength_class(d.spec.steel.screw_class, d.stock.jack).yield_mpa for d in (old, new)]
        ratio = new.stock.jack.stress_area_mm2 * strengths[1] / (old.stock.jack.stress_area_mm2 * strengths[0])
        out.append(f"jack screw carries {ratio:.2f} times as much")
        if new.spec.steel.screw_class != old.spec.steel.screw_class:
            out.append("its strength class is not known: reckoned as the weakest")
    return tuple(out)


def _bulge(mould: Mould) -> Mm:
    """Bulge of the lowest field of the wider panel."""
    dims = mould.dims
    across = max(dims.width, dims.depth)
    low = dims.stock.angle.leg_mm
    return max(
        field_bulge(dims.spec, dims.stock, dims.height, across, low, dims.stiffener_z[0], False),
        math.ulp(1.0),
    )
