"""One mould on its way into a package: its kinds of file, and what is worked out on first use only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING, Final

from mouldgeom.assembly import Mould
from mouldgeom.outputs.status import Status
from mouldgeom.strength.steps import Chapter
from mouldgeom.verdict import Verdict

if TYPE_CHECKING:
    from mouldgeom.outputs.papers.drawing import Sheet
    from mouldgeom.outputs.papers.press import Press
    from mouldgeom.solids import SolidMould
    from mouldgeom.stock.bars import BarPlan
    from mouldgeom.stock.cost import Cost
    from mouldgeom.stock.nest_model import Nest
    from mouldgeom.stock.rates import Prices
    from mouldgeom.stock.stocklist import StockBar, StockList, StockSheet
    from mouldgeom.words import Words


PHONE_DPI: Final = 100
"""Dots per inch of the pictures of sheets: lettering of 2.5 mm is 10 dots high."""


class Kind(StrEnum):
    """Kinds of file in a package, in the order in which they are made."""

    SPEC = "spec"
    FILTER = "filter"
    PARTS = "parts"
    FLAT = "flat"
    NESTS = "nests"
    BARS = "bars"
    CUTLIST = "cutlist"
    COST = "cost"
    CHECKS = "checks"
    CALCULATION = "calculation"
    INSPECTION = "inspection"
    SOLID = "solid"
    TEMPLATES = "templates"
    BUILD = "build"
    DRAWINGS = "drawings"
    REPORT = "report"


@dataclass(frozen=True)
class PackageFile:
    """One file of a package: its path inside the folder, kind, part mark if it has one, and bytes."""

    path: str
    kind: Kind
    content: bytes
    mark: str | None = None


class Job:
    """One mould on its way into a package; solids and checks are made on first use, so that cheap kinds stay cheap."""

    def __init__(
        self,
        mould: Mould,
        prices: Prices | None = None,
        moulds: int = 1,
        stock: StockList | None = None,
        changes: Sequence[str] = (),
        *,
        straight_cuts: bool = False,
        grain: bool = False,
    ) -> None:
        self.mould = mould
        self.prices, self.moulds, self.given, self.changes = prices, moulds, stock, changes
        self.straight_cuts, self.grain = straight_cuts, grain
        self.checked = self.checking = False
        self.cut = stock is not None or moulds > 1 or straight_cuts or grain
        self.made: list[PackageFile] = []
        self.pictures: tuple[bytes, ...] = ()

    @cached_property
    def stock(self) -> StockList:
        """The steel that is there: the list that was given, or everything in the tables."""
        from mouldgeom.stock.stocklist import default_stock

        return self.given or default_stock()

    @cached_property
    def nests(self) -> tuple[Nest, ...]:
        """All plates laid on sheets.

        Raises:
            InputError: a part fits no sheet that is there, or the sheets run out.
        """
        from mouldgeom.stock.nest import nest_mould
        from mouldgeom.stock.nest_model import NestOptions

        spec = self.mould.dims.spec
        options = NestOptions.from_spec(spec)
        if self.straight_cuts:
            options = replace(NestOptions.straight(spec.shop.saw_kerf), margin=spec.shop.sheet_margin)
        return nest_mould(self.mould, self.stock, replace(options, grain=self.grain), self.moulds)

    @cached_property
    def bars(self) -> tuple[BarPlan, ...]:
        """All bars cut from stock lengths.

        Raises:
            InputError: a piece fits no bar that is there, or the bars run out.
        """
        from mouldgeom.stock.bars import cut_mould

        shop = self.mould.dims.spec.shop
        return cut_mould(self.mould, self.stock, self.moulds, shop.saw_kerf, shop.end_trim)

    @cached_property
    def solids(self) -> SolidMould:
        """The solids; loads the kernel."""
        from mouldgeom.solids import SolidMould

        return SolidMould(self.mould)

    @cached_property
    def words(self) -> Words:
        """Language and units of its papers."""
        from mouldgeom.outputs.papers.paper import words_of

        return words_of(self.mould.dims.spec)

    @cached_property
    def chapters(self) -> tuple[Chapter, ...]:
        """The calculation; no kernel is needed for it."""
        from mouldgeom.strength.book import book

        return book(self.mould)

    @cached_property
    def reviewed_chapters(self) -> tuple[Chapter, ...]:
        """The calculation with finite elements beside the tables of plates."""
        from mouldgeom.strength.book import CHAPTERS
        from mouldgeom.strength.finite import compare
        from mouldgeom.strength.panels import chapter as panels
        from mouldgeom.strength.panels import greatest_bulges

        compared = compare(self.mould, greatest_bulges(self.mould))
        return tuple(
            replace(chapter, tables=(*chapter.tables, compared)) if made is panels else chapter
            for made, chapter in zip(CHAPTERS, self.chapters, strict=True)
        )

    @cached_property
    def results(self) -> tuple[Verdict, ...]:
        """Results of every check; loads the kernel."""
        from mouldgeom.checks import Case, run_checks

        self.checked = True
        return run_checks(self.solids, Case(self.solids, self.chapters))

    @cached_property
    def sheets(self) -> tuple[Sheet, ...]:
        """The drawing set, numbered: assemblies, parts, and cutting plans where nests were asked for."""
        from mouldgeom.outputs.papers.assemblies import assembly_sheets
        from mouldgeom.outputs.papers.cutting import cutting_sheets
        from mouldgeom.outputs.papers.paper import PaperOptions, numbered
        from mouldgeom.outputs.papers.part_sheets import part_sheets

        options = PaperOptions.from_spec(self.mould.dims.spec, self.status, self.moulds)
        sheets = [*assembly_sheets(self.solids, self.words, options), *part_sheets(self.mould, self.words, options)]
        if self.cut:
            sheets += cutting_sheets(self.nests, self.bars, self.mould.plates, self.words, options)
        return tuple(numbered(sheets))

    @cached_property
    def press(self) -> Press:
        """A process beside this one that sets the drawing set."""
        from mouldgeom.outputs.papers.press import Press

        return Press()

    def order_drawings(self) -> Press:
        """Hand the drawing set over to the process beside this one."""
        from mouldgeom.outputs.papers.press import orders

        title = self.words("Drawings: {title}", title=self.mould.dims.spec.title)
        press = self.press
        press.take(orders(self.sheets, self.words, title, PHONE_DPI))
        return press

    @cached_property
    def cost(self) -> Cost | None:
        """Cost of the moulds; ``None`` without prices.

        Raises:
            InputError: a price is missing.
        """
        from mouldgeom.stock.cost import cost
        from mouldgeom.stock.purchase import bought

        if self.prices is None:
            return None
        if self.given is None and self.moulds == 1:
            return cost(self.mould, self.prices, self.moulds)
        items: list[tuple[StockSheet | StockBar, int]] = []
        items += [(sheet.stock, 1) for nest in self.nests for sheet in nest.sheets]
        items += [(run.stock, run.times) for plan in self.bars for run in plan.runs]
        density = self.mould.dims.stock.steel.density_kg_m3
        rods = {plan.section: plan.material for plan in self.bars if plan.strength}
        return cost(self.mould, self.prices, self.moulds, bought(items, density, rods))

    @property
    def status(self) -> Status:
        """What its papers say of it: the verdict of the checks where these are asked for (``checking``) or were run."""
        if not self.checking and not self.checked:
            return Status.UNCHECKED
        return Status.HOLDS if all(result.holds for result in self.results) else Status.FAILS

    @property
    def passed(self) -> bool:
        """Whether all checks that were run hold."""
        return not self.checked or all(result.holds for result in self.results)
