"""Where a build sheet is written: the mould, its words, and how numbers, lengths, names and limits are set."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cached_property
from typing import Final, Protocol

from mouldgeom.checks import Case
from mouldgeom.checks.sealing import SeamGap, seal_of
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.drawing.hidden import View, view
from mouldgeom.drawing.status import Status
from mouldgeom.fabrication.cost import work
from mouldgeom.fabrication.quantities import Quantities, grade_of, take_off
from mouldgeom.fabrication.rates import Range, exactly
from mouldgeom.geometry.placement import Vec
from mouldgeom.identity import LEFT_PANEL, RIGHT_PANEL, PieceId, Role, Side, kind
from mouldgeom.inspection.critical import Critical, critical
from mouldgeom.model.assembly import Mould, fastener_name
from mouldgeom.model.shapes import Fastener, HolePurpose, Part
from mouldgeom.outputs.papers.naming import class_words, name_words, part_name
from mouldgeom.outputs.papers.stage import is_thin
from mouldgeom.outputs.papers.subassemblies import alike
from mouldgeom.solids import PlacedSolid, SolidMould
from mouldgeom.strength.masses import Masses, masses
from mouldgeom.units import (
    GRAVITY,
    KG_PER_POUND,
    LITRES_PER_GALLON,
    MM_PER_INCH,
    NMM_PER_POUND_FOOT,
    AnyUnit,
    Kg,
    Litre,
    Mm,
    Newton,
    NewtonMm,
    inch_fraction,
)
from mouldgeom.words import ENGLISH, Words

_SIXTEENTH: Final[Mm] = MM_PER_INCH / 16


class BuildJob(Protocol):
    """What a build sheet is made from, such as ``job.Job``: a mould, and its solids on demand."""

    @property
    def mould(self) -> Mould:
        """The mould."""

    @property
    def solids(self) -> SolidMould:
        """Its solids."""

    @property
    def status(self) -> Status:
        """What is known of the design."""

    @property
    def moulds(self) -> int:
        """How many are made."""

    @property
    def cut(self) -> bool:
        """Whether the drawings show how plates and bars are cut from sheets and bars."""


@dataclass(frozen=True, eq=False)
class BuildDesk:
    """A job with the words that it is written in."""

    job: BuildJob
    words: Words

    @property
    def mould(self) -> Mould:
        """The mould."""
        return self.job.mould

    @property
    def dims(self) -> Dimensions:
        """Its dimensions."""
        return self.job.mould.dims

    def say(self, sentence: str, /, **values: object) -> str:
        """A sentence in the language of the sheet."""
        return self.words(sentence, **values)

    def number(self, value: AnyUnit, digits: int = 0) -> str:
        """A number, no comma between thousands in English."""
        text = self.words.number(value, digits)
        return text.replace(",", "") if self.words.language == ENGLISH else text

    def length(self, value: Mm, digits: int = 0, parts: int = 0) -> str:
        """A length with its unit: ``"364 mm"``, ``"14 5/16 in"``, ``"364 mm (14 5/16 in)"``.

        A length to a tenth of a millimetre is one to 1/64 in, as on the drawings, unless other ``parts`` are asked for.
        """
        inches = self._inches(value, parts or (64 if digits else 16))
        if self.words.units == "inches":
            return inches
        text = f"{self.number(value, digits)}\N{NO-BREAK SPACE}mm"
        return f"{text} ({inches})" if self.words.units == "both" else text

    def _inches(self, value: Mm, parts: int) -> str:
        """Fractions of an inch; thousandths of what is less than two sixteenths."""
        if 0 < value < 2 * _SIXTEENTH - 0.2:
            return f"{self.number(value / MM_PER_INCH, 3)}\N{NO-BREAK SPACE}in"
        return inch_fraction(value, parts).replace(" ", "\N{NO-BREAK SPACE}")

    def hole(self, value: Mm, most: Mm = 0.0) -> str:
        """The diameter of a hole, tube or rod by its exact name, with its unit; ``most`` as ``Words.diameter``."""
        return re.sub(r"(?<=\d) ", "\N{NO-BREAK SPACE}", self.words.diameter(value, most, " mm"))

    @property
    def bolt_hole(self) -> str:
        """The holes of the bolts."""
        return self.hole(self.dims.bolting.hole, self.mould.widest(HolePurpose.BOLT))

    @property
    def pilot_hole(self) -> str:
        """The holes that are opened to those of the bolts."""
        return self.hole(self.dims.spec.shop.pilot_diameter, self.dims.bolting.hole)

    def cell(self, value: Mm, digits: int = 0, parts: int = 0) -> str:
        """A length for a narrow column, one unit above the other where there are two."""
        return self.length(value, digits, parts).replace(" (", "\n(")

    def force(self, value: Newton) -> str:
        """A force, and the mass that weighs as much."""
        return f"{self.number(value)}\N{NO-BREAK SPACE}N ({self.mass(value / GRAVITY)})"

    def mass(self, value: Kg, digits: int = 0) -> str:
        """A mass with its unit; pounds beside it where inches are."""
        text = f"{self.number(value, digits)}\N{NO-BREAK SPACE}kg"
        if self.words.units == "mm":
            return text
        pounds = f"{self.number(value / KG_PER_POUND)}\N{NO-BREAK SPACE}lb"
        return pounds if self.words.units == "inches" else f"{text} / {pounds}"

    def mass_range(self, value: Range, digits: int = 0) -> str:
        """Low and high of an estimate of mass; pounds beside it where inches are."""
        metric = self.say("{amount} kg", amount=self.range(value, digits))
        pounds = self.say("{amount} lb", amount=self.range(value.times(1 / KG_PER_POUND), digits))
        return self.either(metric, pounds)

    def volume(self, value: Litre, digits: int = 0) -> str:
        """A volume with its unit; US gallons where inches are."""
        return self.volume_range(exactly(value), digits)

    def volume_range(self, value: Range, digits: int = 0) -> str:
        """Low and high of an estimate of volume; US gallons where inches are."""
        metric = self.say("{amount} l", amount=self.range(value, digits))
        gallons = value.times(1 / LITRES_PER_GALLON)
        fine = max(digits, 1 if gallons.low >= 1 else 2)
        return self.either(metric, self.say("{amount} US gal", amount=self.range(gallons, fine)))

    def torque(self, value: NewtonMm) -> str:
        """A torque with its unit; pound-feet where inches are, rounded down.  Whole, below 10 in halves."""
        metric, pound_feet = value / 1000, value / NMM_PER_POUND_FOOT
        steps, pound_steps = (1 if size >= 10 else 2 for size in (metric, pound_feet))
        return self.either(
            self.say("{torque} N m", torque=self.number(round(steps * metric) / steps, 1)),
            self.say("{torque} lb ft", torque=self.number(math.floor(pound_steps * pound_feet) / pound_steps, 1)),
        )

    def unit(self, metric: str, inch: str) -> str:
        """What a person writes a value down in."""
        return inch if self.words.units == "inches" else metric

    def either(self, metric: str, inch: str) -> str:
        """What is said in one unit, the other or both."""
        units = self.words.units
        return {"mm": metric, "inches": inch}.get(units, f"{metric} / {inch}")

    def name(self, part: Part) -> str:
        """Name of a part in the language of the sheet; a bought thing by its kind, and its size as it is asked for."""
        own = part_name(self.words, part)
        if isinstance(part, Fastener) and part.stands[0].id.row is None:
            return f"{own}, {name_words(self.words, fastener_name(part))}"
        return own

    def strength(self, part: Part) -> str:
        """Strength class of a bolt, nut or threaded rod in the language of the sheet."""
        return self.class_name(grade_of(self.mould, part))

    def class_name(self, text: str) -> str:
        """A strength class, as ``class_text`` writes it, in the language of the sheet."""
        return class_words(self.words, text)

    def kind(self, piece: PieceId) -> str:
        """What a piece is, without its side and number: ``"base flange"``."""
        return self.say(kind(piece))

    def range(self, value: Range, digits: int = 0) -> str:
        """Low and high of an estimate."""
        low, high = self.number(value.low, digits), self.number(value.high, digits)
        return low if low == high else self.say("{low} to {high}", low=low, high=high)

    # ------------------------------------------------------------ critical dimensions

    @cached_property
    def critical(self) -> dict[str, Critical]:
        """Critical dimensions by their code."""
        return {item.code: item for item in critical(self.mould)}

    def nominal(self, item: Critical) -> str:
        """Nominal value with its unit."""
        if item.unit == "kg":
            return self.mass(item.nominal)
        return self._end(item, item.nominal, 0)

    def limits(self, item: Critical) -> str:
        """Least and greatest value with the unit."""
        low, high = self.ends(item)
        if self.words.units == "mm":
            low = low.removesuffix(f"\N{NO-BREAK SPACE}{item.unit}")
        return self.say("{low} to {high}", low=low, high=high)

    def ends(self, item: Critical) -> tuple[str, str]:
        """Least and greatest value, each with its unit; inches and pounds rounded inwards, so they allow no more."""
        if item.unit == "kg":
            return self._mass_end(item.low, 1), self._mass_end(item.high, -1)
        return self._end(item, item.low, 1), self._end(item, item.high, -1)

    def _mass_end(self, value: Kg, way: int) -> str:
        pounds = math.ceil(value / KG_PER_POUND) if way > 0 else math.floor(value / KG_PER_POUND)
        return self._both(f"{self.number(value)}\N{NO-BREAK SPACE}kg", f"{self.number(pounds)}\N{NO-BREAK SPACE}lb")

    def _end(self, item: Critical, value: Mm, way: int) -> str:
        inches = item.inches(value, way, self.number).replace(" ", "\N{NO-BREAK SPACE}")
        return self._both(f"{self.number(value, item.digits)}\N{NO-BREAK SPACE}mm", inches)

    def _both(self, millimetres: str, inches: str) -> str:
        units = self.words.units
        return {"mm": millimetres, "inches": inches}.get(units, f"{millimetres} ({inches})")

    def check(self, code: str, what: str = "") -> tuple[str, str, str]:
        """One row of a box of checks: what, nominal, limits."""
        item = self.critical[code]
        return what or self.what(item), *self.stacked(item)

    def what(self, item: Critical) -> str:
        """What is measured, no sign parted from what it stands for."""
        return self.say(item.what).replace("+ ", "+\N{NO-BREAK SPACE}").replace("- ", "-\N{NO-BREAK SPACE}")

    def stacked(self, item: Critical) -> tuple[str, str]:
        """Nominal and limits for narrow columns, in two lines each where there are two units."""
        if self.words.units != "both":
            return self.nominal(item), self.limits(item)
        low, high = self.ends(item)
        return self.nominal(item).replace(" (", "\n("), self.say("{low} to {high}", low=low, high=f"\n{high}")

    # ------------------------------------------------------------ quantities and pieces

    @cached_property
    def quantities(self) -> Quantities:
        """What one mould takes."""
        return take_off(self.mould)

    @cached_property
    def work(self) -> dict[str, Range]:
        """Hours, and things used up."""
        return work(self.quantities, process=self.dims.spec.shop.cutting)

    @cached_property
    def sealed(self) -> tuple[SeamGap, ...]:
        """The joints that need tape or clay."""
        return seal_of(Case(self.job.solids))

    @cached_property
    def masses(self) -> Masses:
        """Masses of all that is carried."""
        return masses(self.mould)

    @cached_property
    def pieces(self) -> dict[PieceId, PlacedSolid]:
        """Every piece."""
        return {piece.id: piece for piece in self.job.solids.pieces}

    @cached_property
    def sides_alike(self) -> bool:
        """Whether the right side panel is the left one, turned half round."""
        welded = [p for p in self.pieces.values() if not isinstance(p.part, Fastener)]
        left, right = ([p for p in welded if p.unit.within(panel)] for panel in (LEFT_PANEL, RIGHT_PANEL))
        return alike(left, right)

    @cached_property
    def shown(self) -> list[PlacedSolid]:
        """The pieces that are drawn: all but the washers of the joints."""
        return [p for p in self.pieces.values() if not is_thin(p)]

    def bodies(self, piece: PieceId) -> list[PlacedSolid]:
        """The piece itself, or the two angles that stand for it; none if it is not there."""
        return [p for p in self.pieces.values() if piece in (p.id, p.id.whole)]

    def some(self, role: Role, *place: Side) -> list[PieceId]:
        """Pieces of a role at a place, a bar of two angles once."""
        found = (p.whole for p in self.pieces if p.role is role and p.place[: len(place)] == place)
        return list(dict.fromkeys(found))

    def view(self, shown: list[PlacedSolid], eye: Vec, new: frozenset[PieceId], up: Vec = (0.0, 0.0, 1.0)) -> View:
        """Line art of pieces, the new ones in wide lines."""
        return view(shown, eye, up, bold=new)
