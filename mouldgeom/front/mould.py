"""A mould as a person has it: designed from a specification, looked at, compared, checked, written out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from mouldgeom.design.dimensions import Dimensions, derive
from mouldgeom.errors import InputError
from mouldgeom.front.answers import mould_text
from mouldgeom.front.checked import Checks
from mouldgeom.front.compared import MouldDifferences, differences
from mouldgeom.front.given import Source, extensions_given, functions_given, spec_given
from mouldgeom.front.packing import Package, Wanted, pack, packing_kinds, prices_given
from mouldgeom.front.showing import Picture
from mouldgeom.model.assembly import Mould, Piece, assemble
from mouldgeom.model.changes import Change
from mouldgeom.model.shapes import Part, Plate
from mouldgeom.outputs.extension import Extension
from mouldgeom.outputs.job import Job
from mouldgeom.outputs.kinds import CHECKS
from mouldgeom.reading import meant, path_given
from mouldgeom.rich import html_table
from mouldgeom.spec import BUILT_IN, Spec
from mouldgeom.units import Kg

if TYPE_CHECKING:
    import cadquery as cq
    import pandas as pd
    from ezdxf.document import Drawing

    from mouldgeom.checks import Check
    from mouldgeom.fabrication.objective import WholeCost
    from mouldgeom.fabrication.stocklist import StockList
    from mouldgeom.solids import SolidMould
    from mouldgeom.strength.steps import Chapter


class DesignedMould:
    """A mould, designed: its parts, masses, flat patterns, solids, calculation, checks and package.

    It is made by ``build``.  Solids, and what hangs on them, load the kernel at first use; all else does without.

    >>> from mouldgeom import build
    >>> mould = build("hill-example")
    >>> mould
    <Mould 'Hill-district workshop (invented example)': 75 pieces under 37 marks, 44 bolts, 113.1 kg of steel>
    """

    def __init__(self, model: Mould, steel: StockList | None = None, adapted: Sequence[str] = ()) -> None:
        self._job = Job(model, stock=steel, changes=tuple(adapted), kinds=(CHECKS,))

    # ------------------------------------------------------------ what it is

    @property
    def model(self) -> Mould:
        """Its parts and joints, as those who write parts see it."""
        return self._job.mould

    @property
    def adapted(self) -> tuple[str, ...]:
        """What differs from the specification that was given, since the steel in stock wants it so."""
        return self._job.changes

    @property
    def spec(self) -> Spec:
        """The specification that it was built from, adapted to the steel in stock where a list was given."""
        return self.model.dims.spec

    @property
    def dims(self) -> Dimensions:
        """Every derived dimension."""
        return self.model.dims

    @property
    def parts(self) -> tuple[Part, ...]:
        """Plates and bars by group, then fasteners: one for each mark."""
        return self.model.parts

    def pieces(self) -> Iterator[Piece]:
        """Every single piece, with its mark, its unit and where it stands."""
        return self.model.pieces()

    def part(self, mark: str) -> Part:
        """The part of a mark, such as ``"A1"``.

        Raises:
            InputError: there is none.
        """
        marks = {part.mark: part for part in self.parts}
        if not isinstance(mark, str) or mark not in marks:
            remedy = meant(str(mark), marks, f"Choose from {', '.join(marks)}.")
            raise InputError("mark", repr(mark), "no part bears it", remedy)
        return marks[mark]

    def records(self) -> list[dict[str, Any]]:
        """Its parts as plain records, as in ``parts.json``: lengths in mm, areas in mm2, mass of one in kg.

        >>> from mouldgeom import build
        >>> build("hill-example").records()[0]["name"]
        'front panel'
        """
        from mouldgeom.outputs.records import part_records

        return part_records(self.model)

    def table(self) -> pd.DataFrame:
        """Its parts as a table of pandas, by mark; holes as their number.

        Raises:
            InputError: pandas is not installed.
        """
        try:
            import pandas
        except ImportError as error:
            remedy = "Install it with: pip install pandas; or use records()."
            raise InputError("table()", "pandas", "it is not installed", remedy) from error
        rows = [{**record, "holes": len(record["holes"])} for record in self.records()]
        return pandas.DataFrame(rows).drop(columns=["pieces", "placements"]).set_index("mark")

    @property
    def mass(self) -> Kg:
        """All its steel, fasteners included."""
        return self.model.steel_mass

    def masses(self) -> dict[str, Kg]:
        """Mass of each unit that is welded together, carried or drawn off as one, units inside a unit apart.

        >>> from mouldgeom import build
        >>> mould = build("hill-example")
        >>> abs(sum(mould.masses().values()) - mould.mass) < 1e-9
        True
        """
        masses: dict[str, Kg] = {}
        for piece in self.pieces():
            masses[piece.unit.name] = masses.get(piece.unit.name, 0.0) + self.model.mass(piece.part)
        return masses

    @property
    def bolts(self) -> int:
        """Bolts that hold it together at every cast."""
        return self.model.bolt_count

    # ------------------------------------------------------------ geometry

    def flat(self, mark: str) -> Drawing:
        """The flat pattern of a plate as a document of ``ezdxf``: that of ``flat/MARK.dxf``.

        Raises:
            InputError: no part bears the mark, or it is no plate.
        """
        import io

        from ezdxf.filemanagement import read

        from mouldgeom.outputs.dxf import CutOptions, flat_dxf

        part = self.part(mark)
        if not isinstance(part, Plate):
            marks = ", ".join(plate.mark for plate in self.model.plates)
            raise InputError("mark", repr(mark), f"{part.name} is no plate", f"Choose from {marks}.")
        text = flat_dxf(part, CutOptions.from_spec(self.spec)).decode("utf-8")
        return read(io.StringIO(text))

    @property
    def solids(self) -> SolidMould:
        """Its solids, the concrete and the tube; loads the kernel."""
        return self._job.solids

    def assembly(self) -> cq.Assembly:
        """Mould, concrete and tube as one assembly in the casting frame, by unit, with names and colours."""
        from mouldgeom.outputs.casting import casting_assembly

        return casting_assembly(self.solids)

    def export(self, path: str | Path, *, concrete: bool = False) -> Path:
        """Write the whole mould to one file: ``.step``, ``.stl`` (millimetres) or ``.glb``, by the end of its name.

        Args:
            path: of the file, which may be there already.
            concrete: whether the concrete and the tube go in with it.

        Raises:
            InputError: another ending, or the file cannot be written.
        """
        from mouldgeom.outputs.export import export_mould

        file = path_given("path", path)
        solid = concrete or file.suffix.lower() == ".step"
        export_mould(self.solids if solid else self.model, file, concrete=concrete)
        return file

    def picture(self, kind: str = "open", width: int = 800) -> Picture:
        """A picture of the solids: ``"closed"``, ``"open"``, ``"section"`` or ``"extraction"``; loads the kernel.

        Args:
            kind: what is shown.
            width: in dots, 100 to 4000.

        Raises:
            InputError: there is no such picture, or it is too small or too large.
        """
        from mouldgeom.drawing.picture import PictureKind, mould_picture, png_bytes

        kinds = [str(known) for known in PictureKind]
        if kind not in kinds:
            raise InputError("picture", repr(kind), "no such picture", f"Choose from {', '.join(kinds)}.")
        if not isinstance(width, int) or not 100 <= width <= 4000:
            raise InputError("width", repr(width), "allowed is 100 to 4000 dots", "Choose a number in that range.")
        return Picture(png_bytes(mould_picture(self.solids, PictureKind(kind), width)), f"{self.spec.title}, {kind}")

    # ------------------------------------------------------------ cost

    def objective(self, prices: str | Path | None = None) -> WholeCost:
        """Cost of one mould and of its use over its life, by which designs are compared; no kernel is needed for it.

        >>> from mouldgeom import build
        >>> mould = build("hill-example")
        >>> longer = build(mould.spec.changed({"use.life": 2 * mould.spec.use.life}))
        >>> round(longer.objective().use / mould.objective().use, 6)
        2.0

        Args:
            prices: file of prices and rates, as for ``package``; built-in relative weights if ``None``.

        Raises:
            InputError: the file cannot be read, or a price is missing.
        """
        return self._job.asking(prices=prices_given(self._job, prices)).objective

    # ------------------------------------------------------------ judging

    @property
    def chapters(self) -> tuple[Chapter, ...]:
        """The calculation; no kernel is needed for it."""
        return self._job.chapters

    def calculated(self) -> Checks:
        """The checks of the calculation alone, which need no kernel."""
        from mouldgeom.strength.book import requirements

        return Checks(requirements(self.chapters), mould_text(self.model))

    def check(self, *own: Check) -> Checks:
        """Run every check, those of its extensions, and ``own`` ones; loads the kernel.

        Args:
            own: each a function from a ``Case``, which has the solids of the mould, to verdicts.

        Raises:
            InputError: one of ``own`` is no function, gives no verdicts, or takes a code of the program.
        """
        from mouldgeom.checks import own_results
        from mouldgeom.verdict import by_code

        functions_given("check", own)
        results = self._job.results
        if own:
            results = by_code([*results, *own_results(self._job.case, own)])
        return Checks(results, mould_text(self.model))

    def differences(self, other: DesignedMould) -> MouldDifferences:
        """What differs in another mould: specification, parts, mass, holes, bolts, checks of the calculation, cost.

        Raises:
            InputError: ``other`` is no mould.
        """
        if not isinstance(other, DesignedMould):
            raise InputError("other", type(other).__name__, "no mould", "Give what build() makes.")
        return differences(self._job, other._job)

    # ------------------------------------------------------------ writing

    def package(
        self,
        folder: str | Path,
        *,
        only: Sequence[str] | None = None,
        prices: str | Path | None = None,
        moulds: int = 1,
        straight_cuts: bool = False,
        grain: bool = False,
        keep_edited: bool = False,
        progress: Callable[[str], None] = lambda text: None,
    ) -> Package:
        """Write the package, whole or some kinds of file.

        Args:
            folder: to write; an earlier package there is replaced as a whole.
            only: names of the kinds of file to write; all that serve if ``None``.
            prices: file of prices and rates, which adds the cost.
            moulds: so many equal ones, 1 to 50.
            straight_cuts: nests for a shear or grinder.
            grain: nests without quarter turns.
            keep_edited: keep what was edited in an earlier package beside the new file.
            progress: is told what is being done.

        Raises:
            InputError: no such kind, options that contradict one another, a price or steel that is missing.
            FolderError: the folder cannot be written, or holds something that would be lost.
        """
        asked = Wanted(only, prices, moulds, straight_cuts, grain)
        kinds = packing_kinds(asked, self._job.extensions, stock=self._job.stock is not None)
        return pack(self._job, asked, kinds, path_given("folder", folder), keep_edited=keep_edited, progress=progress)

    # ------------------------------------------------------------ showing

    def __repr__(self) -> str:
        pieces = sum(part.quantity for part in (*self.model.plates, *self.model.bars))
        return (
            f"<Mould {self.spec.title!r}: {pieces} pieces under {len(self.parts)} marks, {self.bolts} bolts, "
            f"{self.mass:.1f} kg of steel>"
        )

    def _repr_html_(self) -> str:
        """The mould in 3-D, its figures and its units, for a notebook; it needs no network."""
        from mouldgeom.outputs.page.view import view_html

        rows = [(name, f"{mass:.1f}") for name, mass in self.masses().items()]
        return view_html(self.model) + html_table(("unit", "kg"), rows, caption=repr(self)[1:-1])

    def _repr_png_(self) -> bytes:
        """A still picture, where frames are not shown."""
        from mouldgeom.outputs.page.view import view_png

        return view_png(self.model)


def build(
    source: Source = BUILT_IN,
    changes: Sequence[Change] = (),
    *,
    stock: str | Path | None = None,
    extensions: Sequence[Extension | str] = (),
) -> DesignedMould:
    """Design the mould of a specification: no solid kernel, milliseconds.

    >>> from mouldgeom import build
    >>> mould = build("hill-example")
    >>> round(mould.dims.width), len(mould.parts)
    (364, 37)

    Args:
        source: a specification, a file with one, or the name of an example.
        changes: of its parts, one after the other.
        stock: file of the steel in stock, to which the design adapts.
        extensions: each an ``Extension``, or the name of one that is installed.

    Raises:
        SpecError: a field is wrong, or two disagree.
        InputError: a file cannot be read, there is no steel for a part, or a change gives parts that no mould can have.
    """
    spec, own = spec_given(source), extensions_given(extensions)
    functions_given("change", changes)

    def made(dims: Dimensions) -> Mould:
        return assemble(dims, changes, own)

    if stock is None:
        return DesignedMould(made(derive(spec)))
    from mouldgeom.fabrication.stocklist import load_stock
    from mouldgeom.fabrication.substitute import substitute
    from mouldgeom.strength.book import failing

    makers = [maker for extension in own for maker in extension.makers]
    steel = load_stock(path_given("--stock", stock), spec.own)
    found = substitute(spec, steel, lambda mould: failing(mould, makers), made)
    return DesignedMould(made(derive(found.spec)), steel, found.lines())
