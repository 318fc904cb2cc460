"""The cut list as a spreadsheet for the office program: cut list, welds, consumables, notes; sums are formulas.

Same list, same bytes: the stamps in the file are fixed.
"""

from __future__ import annotations

import datetime
import io
import math
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any, Final

from mouldgeom.drawing.status import Status
from mouldgeom.fabrication.stages import build_steps
from mouldgeom.fabrication.welds import Seam, laid, seams, totals
from mouldgeom.model.assembly import Mould
from mouldgeom.model.joints import SeamKind
from mouldgeom.outputs.cutlist import CutGroup, CutRow, consumables, cut_groups, inches
from mouldgeom.spec.own_rows import called
from mouldgeom.units import Mm, plain

if TYPE_CHECKING:
    from xlsxwriter import Workbook  # type: ignore[import-untyped, unused-ignore]  # the library has no type marker
    from xlsxwriter.worksheet import Worksheet  # type: ignore[import-untyped, unused-ignore]  # the library has no type marker

CAUTIONS: Final = (
    "Cut, grind and weld with eye, ear and hand protection, guards on, air moving and nothing that burns near. "
    "Cut edges are sharp and hot. Two people or a hoist for what is heavy.",
    "Zinc on steel gives poisonous fume when welded or cut: take bare steel.",
    "Measure the first piece of each mark before cutting the rest.",
    "The tool advises; local codes and a licensed engineer decide.",
)
_CREATED: Final = datetime.datetime(2000, 1, 1)
_LINE: Final = 12.5
"""Height of one line of text, points."""
_CUT_COLUMNS: Final = (
    ("Mark", 5),
    ("Name", 27),
    ("Number", 7),
    ("Length mm", 11),
    ("Length in (mm)", 19),
    ("Width mm", 10),
    ("Width in (mm)", 19),
    ("Shape, saw ends, or class", 31),
    ("Holes", 27),
    ("Concrete side", 20),
    ("One kg", 7),
    ("All kg", 8),
)
_NUMBER, _ALL, _SHAPE = 2, 11, 7
_WELD_COLUMNS: Final = (
    ("Weld", 5),
    ("Seam", 46),
    ("Marks", 11),
    ("Kind", 8),
    ("Size mm", 8),
    ("Seams", 6),
    ("All mm", 8),
    ("Welded mm", 10),
    ("Runs on a line", 20),
    ("Ground level", 12),
)
_USED_COLUMNS: Final = (("What", 30), ("Low", 10), ("Likely", 10), ("High", 10), ("Unit", 10))


def cutlist_xlsx(mould: Mould, moulds: int = 1, status: Status = Status.UNCHECKED) -> bytes:
    """The list of equal moulds as a spreadsheet."""
    import xlsxwriter

    file = io.BytesIO()
    book = xlsxwriter.Workbook(file, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties({"title": "Cut list", "subject": mould.dims.spec.title, "created": _CREATED})
    writer = _Book(book, mould.dims.spec.title, moulds, status)
    made = seams(mould)
    writer.cut_list(cut_groups(mould, moulds))
    writer.table("Welds", _WELD_COLUMNS, _weld_rows(mould, moulds))
    used: list[list[str | Mm]] = []
    for name, amount, unit in consumables(mould, moulds):
        used.append([name, amount.low, amount.likely, amount.high, unit])
    writer.table("Consumables", _USED_COLUMNS, used)
    writer.table("Notes", (("Notes", 110),), ([note] for note in _notes(mould, moulds, made)))
    book.close()
    return file.getvalue()


def _weld_rows(mould: Mould, moulds: int) -> Iterator[list[str | int]]:
    """Welds under their numbers in the order of welding; lines of one pair of marks and one length together."""
    made: list[Seam] = []
    for weld in (weld for step in build_steps(mould) for weld in step.welds):
        made += weld.seams
        groups: dict[str, list[Seam]] = {}
        for seam in weld.seams:
            groups.setdefault(" - ".join(seam.marks), []).append(seam)
        size = f"r {plain(weld.seams[0].radius, 1)}" if weld.seams[0].radius else f"z {plain(weld.leg, 1)}"
        size += f" + z {plain(weld.seams[0].laid, 1)}" if weld.seams[0].laid else ""
        for marks, alike in groups.items():
            for how in laid(alike):
                lines, flush = moulds * how.lines, "yes" if weld.flush else ""
                long, welded = round(lines * how.length), round(lines * how.count * how.run)
                runs = f"{how.count} x {plain(how.run)} every {plain(how.pitch)}" if how.count > 1 else "through"
                yield [f"W{weld.number}", weld.name, marks, weld.kind.value, size, lines, long, welded, runs, flush]
    for row in totals(made):
        size = f"{'r' if row.kind is SeamKind.FLARE else 'z'} {plain(row.size, 1)}"
        flush = f"{plain(moulds * row.flush, 0)} mm" if row.flush else ""
        long, welded = round(moulds * row.length), round(moulds * row.welded)
        yield ["", "all of this kind and size", "", row.kind.value, size, "", long, welded, "", flush]


def _notes(mould: Mould, moulds: int, made: Sequence[Seam]) -> list[str]:
    return [
        f"{mould.dims.spec.title}: {_for(moulds)}, steel {mould.dims.stock.steel.designation}.",
        "Millimetres are what is meant. Inches are those millimetres to the nearest 1/16 in; the number in brackets is "
        "what these inches are in millimetres. Cut to the millimetres where parts fit closer than 1/32 in (0.8 mm).",
        "A plate's sizes are those of its concrete face, seen from the concrete; right, left, upper and lower are "
        "those of the flat pattern. The marked face is the flat one free of rust. Edges are cut square; plates are "
        "never mirrored.",
        "Holes: finished size, and the nearest drill in 1/64 in; outlet tube and jack screw are clearances to be kept. "
        "Bars are sawn square. Sums of bars hold no kerf and no offcuts.",
        "Seams: z is the leg of a fillet, or of an edge seam with as much metal; r the radius of a flare filled level, "
        "+ z the leg of the fillet laid on it. "
        "5 x 40 every 90: five runs of 40 mm whose starts are 90 mm apart. Both ends first, then from the middle "
        "outwards, the two sides of a bar staggered. Ground level: with the sheet, for concrete or another part lies "
        "there.",
        "Sizes of seams: " + "; ".join(dict.fromkeys(text for s in made for text in s.source.split("; "))) + ".",
        "Consumables are estimates for stick welding; a rate without a source says so in data/rates.csv.",
        *(
            f"No table has {called(kind)} {row.designation}; its numbers come from: {row.source}"
            for kind, row in mould.dims.stock.own.rows()
        ),
        *CAUTIONS,
    ]


def _for(moulds: int) -> str:
    return "one mould" if moulds == 1 else f"{moulds} moulds"


class _Book:
    """Sheets of the spreadsheet, all set up for printing in the same way."""

    def __init__(self, book: Workbook, title: str, moulds: int, status: Status) -> None:
        self.book, self.title = book, title
        self.told = f"Status: {status}. For {_for(moulds)}."
        base = {"font_name": "Arial", "font_size": 9, "valign": "top"}
        text = {**base, "align": "left", "text_wrap": True, "indent": 1}
        bold = {**base, "bold": True, "top": 1, "bottom": 1}
        self.text = book.add_format(text)
        self.mm = book.add_format({**base, "num_format": "0.0"})
        self.kg = book.add_format({**base, "num_format": "0.00"})
        self.count = book.add_format({**base, "num_format": "0"})
        self.head = book.add_format({**text, "bold": True, "bg_color": "#DDDDDD", "bottom": 1})
        loud = {"bg_color": "#000000", "font_color": "#FFFFFF"} if status is Status.FAILS else {}
        self.verdict = book.add_format({**base, "bold": True, **loud})
        self.group = book.add_format({**base, "bold": True, "bg_color": "#F0F0F0"})
        self.bold = book.add_format({**bold, "align": "left", "indent": 1})
        self.bold_count = book.add_format({**bold, "num_format": "0"})
        self.bold_kg = book.add_format({**bold, "num_format": "0.00"})

    def _sheet(self, name: str, columns: Sequence[tuple[str, int]]) -> Worksheet:
        sheet = self.book.add_worksheet(name)
        for column, (title, width) in enumerate(columns):
            sheet.set_column(column, column, width)
            sheet.write_blank(0, column, None, self.verdict)
            sheet.write_string(1, column, title, self.head)
        sheet.write_string(0, 0, self.told, self.verdict)
        sheet.freeze_panes(2, min(2, len(columns) - 1))
        sheet.repeat_rows(0, 1)
        sheet.set_landscape()
        sheet.set_paper(9)
        sheet.fit_to_pages(1, 0)
        sheet.set_margins(0.4, 0.4, 0.7, 0.6)
        title = self.title.replace("&", "&&")
        sheet.set_header(f"&L{title}&R{name}")
        sheet.set_footer("&L&8The tool advises; local codes and a licensed engineer decide.&R&8&P / &N")
        return sheet

    def cut_list(self, groups: Sequence[CutGroup]) -> None:
        """The list itself, a heading before each material and its sums behind."""
        sheet = self._sheet("Cut list", _CUT_COLUMNS)
        line, sums = 2, []
        for group in groups:
            for column in range(len(_CUT_COLUMNS)):
                sheet.write_blank(line, column, None, self.group)
            grade = "" if group.rows[0].kind == "fastener" or "class" in group.material else group.rows[0].grade
            sheet.write_string(line, 0, f"{group.material}, {grade}" if grade else group.material, self.group)
            first = line + 1
            for line, row in enumerate(group.rows, first):
                self._cut_row(sheet, line, row)
            line += 1
            sums.append(line + 1)
            metres = f"{plain(group.length / 1000, 3)} m, no kerf" if group.length else ""
            self._sum(
                sheet, line, f"sum, {group.material}", (group.pieces, group.mass), f"{{0}}{first + 1}:{{0}}{line}"
            )
            sheet.write_string(line, _SHAPE, metres, self.bold)
            line += 2
        together = (sum(group.pieces for group in groups), sum(group.mass for group in groups))
        self._sum(sheet, line, "all", together, ",".join(f"{{0}}{row}" for row in sums))

    def _sum(self, sheet: Worksheet, line: int, name: str, values: tuple[int, Any], cells: str) -> None:
        for column in range(len(_CUT_COLUMNS)):
            sheet.write_blank(line, column, None, self.bold)
        sheet.write_string(line, 1, name, self.bold)
        for column, value, form in ((_NUMBER, values[0], self.bold_count), (_ALL, values[1], self.bold_kg)):
            sheet.write_formula(line, column, f"=SUM({cells.format('ABCDEFGHIJKL'[column])})", form, value)

    def _cut_row(self, sheet: Worksheet, line: int, row: CutRow) -> None:
        texts = {0: row.mark, 1: row.name, _SHAPE: row.shape or row.ends or row.grade, 8: row.holes, 9: row.concrete}
        for column, length in ((3, row.length), (5, row.width)):
            if length is not None:
                sheet.write_number(line, column, length, self.mm)
                texts[column + 1] = inches(length)
        for column, text in texts.items():
            sheet.write_string(line, column, text, self.text)
        sheet.write_number(line, _NUMBER, row.quantity, self.count)
        each = round(row.mass, 6)
        sheet.write_number(line, _ALL - 1, each, self.kg)
        sheet.write_formula(line, _ALL, f"=C{line + 1}*K{line + 1}", self.kg, each * row.quantity)
        sheet.set_row(line, _LINE * _lines(texts.items(), _CUT_COLUMNS))

    def table(self, name: str, columns: Sequence[tuple[str, int]], rows: Iterable[Sequence[str | Mm]]) -> None:
        """A sheet of plain rows."""
        sheet = self._sheet(name, columns)
        for line, row in enumerate(rows, 2):
            for column, value in enumerate(row):
                if isinstance(value, str):
                    sheet.write_string(line, column, value, self.text)
                else:
                    sheet.write_number(line, column, value, self.count if isinstance(value, int) else self.kg)
            texts = [(column, value) for column, value in enumerate(row) if isinstance(value, str)]
            sheet.set_row(line, _LINE * _lines(texts, columns))


def _lines(texts: Iterable[tuple[int, str]], columns: Sequence[tuple[str, int]]) -> int:
    """Lines of text that a row needs; a letter is on average narrower than a column's unit."""
    return max(1, *(math.ceil(len(text) / (1.1 * columns[column][1])) for column, text in texts))
