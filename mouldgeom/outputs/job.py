"""One mould on its way into a package: what is asked for, and what is worked out of it on first use only."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import KW_ONLY, dataclass, fields, replace
from functools import cached_property
from itertools import zip_longest
from pathlib import PurePosixPath
from typing import TYPE_CHECKING, Final

from mouldgeom.drawing.status import Status
from mouldgeom.errors import InputError
from mouldgeom.model.assembly import Mould
from mouldgeom.outputs.extension import Extension, all_kinds, together
from mouldgeom.outputs.kinds import BUILD, OTHERS, File, Kind, PackageFile
from mouldgeom.reading import meant

if TYPE_CHECKING:
    from mouldgeom.checks import Case
    from mouldgeom.drawing.press import Press, Printed
    from mouldgeom.drawing.primitives import Sheet
    from mouldgeom.fabrication.cost import Bought, Cost
    from mouldgeom.fabrication.objective import WholeCost
    from mouldgeom.fabrication.rates import Prices
    from mouldgeom.fabrication.stocklist import StockBar, StockList, StockSheet
    from mouldgeom.fabrication.wear import Spare
    from mouldgeom.nesting.bars import BarPlan
    from mouldgeom.nesting.layout import Nest
    from mouldgeom.solids import SolidMould
    from mouldgeom.strength.steps import Chapter
    from mouldgeom.verdict import Verdict
    from mouldgeom.words import Words


MANIFEST: Final = "manifest.json"
PHONE_DPI: Final = 100
"""Dots per inch of the pictures of sheets: lettering of 2.5 mm is 10 dots high."""


_OF_THE_MOULD: Final = ("extensions", "solids", "chapters", "case", "results")
"""What is worked out of a mould, whatever else is asked for."""


@dataclass(frozen=True, eq=False)
class Job:
    """What is asked for, and what is worked out of it: solids and checks on first use, so that cheap kinds stay cheap.

    ``moulds`` equal ones are made, from the steel of ``stock`` if a list is given; ``changes`` adapted the mould to it.

    Raises:
        InputError: extensions of the mould do not go together, or a kind needs what no job has.
    """

    mould: Mould
    prices: Prices | None = None
    moulds: int = 1
    stock: StockList | None = None
    changes: tuple[str, ...] = ()
    _: KW_ONLY
    kinds: tuple[Kind, ...] = ()
    straight_cuts: bool = False
    grain: bool = False

    def __post_init__(self) -> None:
        has = {own for own in (*vars(Job), *(field.name for field in fields(Job))) if own[0] != "_"}
        for kind in self.kinds if self.extensions else ():
            for need in kind.needs:
                if need != OTHERS and need not in has:
                    raise InputError(
                        f"kind {kind}", f"needs {need}", "no job has that", meant(need, has, "Leave it out.")
                    )

    @cached_property
    def extensions(self) -> tuple[Extension, ...]:
        """What the mould was made with."""
        return together(self.mould.extensions)

    @property
    def cut(self) -> bool:
        """Whether its papers show how plates and bars are cut from sheets and bars."""
        return self.stock is not None or self.moulds > 1 or self.straight_cuts or self.grain

    def asks(self, need: str) -> bool:
        """Whether a kind of file that is asked for needs this."""
        return any(need in kind.needs for kind in self.kinds)

    @cached_property
    def steel(self) -> StockList:
        """The steel that is there: the list that was given, or everything in the tables and among its own rows."""
        from mouldgeom.fabrication.stocklist import default_stock

        return self.stock or default_stock(self.mould.dims.spec.own)

    @cached_property
    def nests(self) -> tuple[Nest, ...]:
        """All plates laid on sheets.

        Raises:
            InputError: a part fits no sheet that is there, or the sheets run out.
        """
        from mouldgeom.nesting.layout import NestOptions
        from mouldgeom.nesting.nest import nest_mould

        spec = self.mould.dims.spec
        options = NestOptions.from_spec(spec)
        if self.straight_cuts:
            options = replace(NestOptions.straight(spec.shop.saw_kerf), margin=spec.shop.sheet_margin)
        return nest_mould(self.mould, self.steel, replace(options, grain=self.grain), self.moulds)

    @cached_property
    def bars(self) -> tuple[BarPlan, ...]:
        """All bars cut from stock lengths.

        Raises:
            InputError: a piece fits no bar that is there, or the bars run out.
        """
        from mouldgeom.nesting.bars import cut_mould

        shop = self.mould.dims.spec.shop
        return cut_mould(self.mould, self.steel, self.moulds, shop.saw_kerf, shop.end_trim)

    @cached_property
    def solids(self) -> SolidMould:
        """The solids; loads the kernel."""
        from mouldgeom.solids import SolidMould

        return SolidMould(self.mould)

    @cached_property
    def words(self) -> Words:
        """Language and units of its papers."""
        from mouldgeom.drawing.paper import words_of

        return words_of(self.mould.dims.spec)

    @cached_property
    def chapters(self) -> tuple[Chapter, ...]:
        """The calculation; no kernel is needed for it."""
        from mouldgeom.strength.book import book

        return book(self.mould, [maker for extension in self.extensions for maker in extension.makers])

    @cached_property
    def reviewed_chapters(self) -> tuple[Chapter, ...]:
        """The calculation with finite elements beside the tables of plates."""
        from mouldgeom.strength.book import makers
        from mouldgeom.strength.finite import compare
        from mouldgeom.strength.panels import chapter as panels
        from mouldgeom.strength.panels import greatest_bulges

        compared = compare(self.mould, greatest_bulges(self.mould))
        return tuple(
            replace(chapter, tables=(*chapter.tables, compared)) if made is panels else chapter
            for made, chapter in zip_longest(makers(self.mould), self.chapters)
        )

    @cached_property
    def case(self) -> Case:
        """What the checks measure on; loads the kernel."""
        from mouldgeom.checks import Case

        return Case(self.solids, self.chapters)

    @cached_property
    def results(self) -> tuple[Verdict, ...]:
        """Results of every check; loads the kernel."""
        from mouldgeom.checks import run_checks

        own = [extension.check for extension in self.extensions]
        return run_checks(self.solids, self.case, own)

    @cached_property
    def sheets(self) -> tuple[Sheet, ...]:
        """The drawing set, numbered: assemblies, parts, and cutting plans where nests were asked for."""
        from mouldgeom.drawing.paper import PaperOptions, numbered
        from mouldgeom.outputs.papers.assemblies import assembly_sheets
        from mouldgeom.outputs.papers.cutting import cutting_sheets
        from mouldgeom.outputs.papers.part_sheets import part_sheets

        options = PaperOptions.of(self.mould, self.status, self.moulds)
        sheets = [*assembly_sheets(self.solids, self.words, options), *part_sheets(self.mould, self.words, options)]
        if self.cut:
            sheets += cutting_sheets(self.nests, self.bars, self.mould.plates, self.words, options)
        return tuple(numbered(sheets))

    @cached_property
    def press(self) -> Press:
        """The drawing set on its way: a process beside this one gets ready while it is drawn here, and then sets it."""
        from mouldgeom.drawing.press import Press, orders

        press = Press()
        title = self.words("Drawings: {title}", title=self.mould.dims.spec.title)
        press.take(orders(self.sheets, self.words, title, PHONE_DPI))
        return press

    @cached_property
    def printed(self) -> Printed:
        """The drawing set in every form."""
        return self.press.printed()

    @cached_property
    def pictures(self) -> tuple[str, ...]:
        """The drawing set as SVG; not set twice where it is printed."""
        from mouldgeom.drawing.sheet_svg import svg_text

        if self.asks("printed"):
            return tuple(svg.decode("utf-8") for svg in self.printed.svg)
        return tuple(svg_text(sheet) for sheet in self.sheets)

    @cached_property
    def bought(self) -> tuple[Bought, ...]:
        """Sheets and bars that nests and bar plans ask for; none where one mould is made of any steel.

        Raises:
            InputError: as ``nests`` and ``bars``.
        """
        from mouldgeom.fabrication.purchase import bought

        if self.stock is None and self.moulds == 1:
            return ()
        items: list[tuple[StockSheet | StockBar, int]] = []
        items += [(sheet.stock, 1) for nest in self.nests for sheet in nest.sheets]
        items += [(run.stock, run.times) for plan in self.bars for run in plan.runs]
        density = self.mould.dims.stock.steel.density_kg_m3
        rods = {plan.section: plan.material for plan in self.bars if plan.strength}
        return bought(items, density, rods)

    @cached_property
    def spares(self) -> tuple[Spare, ...]:
        """What one mould needs over its life beside its own parts."""
        from mouldgeom.fabrication.wear import spares
        from mouldgeom.strength.pull import wearing_pull

        return spares(self.mould, wearing_pull(self.mould))

    @cached_property
    def cost(self) -> Cost | None:
        """Cost of the moulds; ``None`` without prices.

        Raises:
            InputError: a price is missing.
        """
        from mouldgeom.fabrication.cost import cost

        if self.prices is None:
            return None
        return cost(self.mould, self.prices, self.moulds, self.bought, spares=self.spares)

    @cached_property
    def objective(self) -> WholeCost:
        """Cost of one of the moulds and of its use over its life, by relative weights without prices.

        Raises:
            InputError: a price is missing.
        """
        from mouldgeom.fabrication.objective import whole_cost
        from mouldgeom.strength.pull import wearing_pull

        bought = self.bought if self.prices else ()
        return whole_cost(self.mould, wearing_pull(self.mould), self.prices, self.moulds, bought)

    def asking(self, **given: object) -> Job:
        """The same mould, with other things asked for; what is worked out of the mould alone is not done again."""
        other = replace(self, **given)  # type: ignore[arg-type]
        other.__dict__.update({name: self.__dict__[name] for name in _OF_THE_MOULD if name in self.__dict__})
        return other

    @property
    def checked(self) -> bool:
        """Whether the checks are run: a kind that is asked for needs their results."""
        return self.asks("results")

    @property
    def passed(self) -> bool:
        """Whether all checks that are run hold."""
        return not self.checked or all(result.holds for result in self.results)

    @property
    def status(self) -> Status:
        """What its papers say of it: the verdict of the checks where these are run."""
        if not self.checked:
            return Status.UNCHECKED
        return Status.HOLDS if self.passed else Status.FAILS


def make_kind(job: Job, kind: Kind, others: Sequence[PackageFile] = ()) -> list[PackageFile]:
    """Files of one kind, from what it declares that it needs; the same bytes whatever was made before.

    Args:
        job: what is asked for.
        kind: of file.
        others: files of the other kinds asked for, in the order of a package; counts where the kind links to them.
    """
    given = {need: others if need == OTHERS else getattr(job, need) for need in kind.needs}
    owner = next((extension for extension in job.extensions if kind in extension.kinds), None)
    files: Iterable[File] = owner.made(kind, given) if owner else kind.maker(**given)
    return [PackageFile(file.path, kind, file.content, file.mark) for file in files]


def make_files(job: Job, progress: Callable[[str], None] = lambda name: None) -> list[PackageFile]:
    """Files of every kind asked for, in the order of a package, whatever the order in which they are asked for."""
    made: dict[Kind, list[PackageFile]] = {}
    for kind in sorted(job.kinds, key=lambda kind: OTHERS in kind.needs):
        progress(kind.name)
        if kind is BUILD and job.asks("printed"):
            _ = job.press  # the drawings are set while the build sheet is made
        others = _in_order(job, {other: files for other, files in made.items() if OTHERS not in other.needs})
        made[kind] = make_kind(job, kind, others)
    files = _in_order(job, made)
    _refuse_one_path(files)
    return files


def _refuse_one_path(files: Sequence[PackageFile]) -> None:
    """Refuse two files of one path, also where a file system does not tell small letters from capitals."""
    taken = {MANIFEST}
    for file in files:
        if file.path.casefold() in taken:
            limit = "there is a file of that path in the package"
            raise InputError(f"kind {file.kind}", f"path {file.path}", limit, "Choose another.")
        taken |= {file.path.casefold(), *(str(above).casefold() for above in PurePosixPath(file.path).parents)}


def _in_order(job: Job, made: Mapping[Kind, list[PackageFile]]) -> list[PackageFile]:
    """Files by the order of their kinds: those of extensions behind the built-in ones, other foreign ones last."""
    places = {kind: place for place, kind in enumerate(all_kinds(job.extensions))}
    return [file for kind in sorted(made, key=lambda kind: places.get(kind, len(places))) for file in made[kind]]
