"""The trainer's table: sand columns down, charges across, each cell the filter that they ask for."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from mouldgeom.design.dimensions import derive
from mouldgeom.drawing.figure import GREY, NORMAL, SMALL, Figure
from mouldgeom.errors import InputError
from mouldgeom.filter.candidates import Mould, Request, with_filter
from mouldgeom.filter.changes import NoFilterError
from mouldgeom.filter.sizing import Sizing, size
from mouldgeom.outputs.size_report import body_of
from mouldgeom.units import Litre, Mm, plain
from mouldgeom.words import Said, Words

COLUMNS: Final[tuple[Mm, ...]] = tuple(float(length) for length in range(300, 701, 50))
CHARGES: Final[tuple[Litre, ...]] = tuple(float(volume) for volume in range(8, 21))

_CELL: Final = (19.4, 16.0)
_LEFT: Final[Mm] = 28.0
_TOP: Final[Mm] = 32.0
_LEGEND_ROW: Final[Mm] = 5.0
_LETTERS: Final = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True)
class Cell:
    """One sand column and one charge: the filter, or why there is none."""

    sand_column: Mm
    charge: Litre
    sizing: Sizing | None
    reason: str = ""


def size_table(
    request: Request, columns: Sequence[Mm] = COLUMNS, charges: Sequence[Litre] = CHARGES, mould: Mould | None = derive
) -> tuple[Cell, ...]:
    """Size every cell, row by row."""
    return tuple(_cell(request, column, charge, mould) for column in columns for charge in charges)


def _cell(request: Request, column: Mm, charge: Litre, mould: Mould | None) -> Cell:
    asked = replace(request, base=with_filter(request.base, sand_column=column, charge=charge))
    try:
        return Cell(column, charge, size(asked, body_of, mould, mend=False))
    except NoFilterError as error:
        return Cell(column, charge, None, " conflicts with ".join(sorted(error.names)))
    except InputError as error:
        return Cell(column, charge, None, f"mould, {error.name}")


def table_csv(cells: Sequence[Cell]) -> str:
    """The cells as CSV, one a line."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(
        (
            "sand_column_mm", "charge_l", "outside_width_mm", "outside_depth_mm", "height_mm", "concrete_kg",
            "cavity_width_mm", "cavity_depth_mm", "loading_m_h", "shell", "binding", "cannot_be_made_because",
        )
    )  # fmt: skip
    for cell in cells:
        row: list[object] = [plain(cell.sand_column, 1), plain(cell.charge, 1)]
        if cell.sizing is None:
            row += [""] * 9 + [cell.reason]
        else:
            found = cell.sizing
            wide, deep = found.design.outside
            filter_ = found.spec.filter
            row += [
                f"{wide:.1f}", f"{deep:.1f}", f"{found.levels.rim:.1f}", f"{found.mass:.1f}",
                plain(filter_.cavity_width, 1), plain(filter_.cavity_depth, 1), f"{found.working.loading:.3f}",
                found.spec.steel.shell, found.binding, "",
            ]  # fmt: skip
        writer.writerow(row)
    return out.getvalue()


def table_figure(cells: Sequence[Cell], request: Request) -> Figure:
    """The cells as a figure for print: width, height and mass in each."""
    columns = sorted({cell.sand_column for cell in cells})
    charges = sorted({cell.charge for cell in cells})
    reasons = sorted({cell.reason for cell in cells if cell.sizing is None})
    shell = request.base.steel.shell
    other = sorted({c.sizing.spec.steel.shell for c in cells if c.sizing is not None} - {shell})
    wide, high = _CELL
    legend = _TOP + high * len(columns) + 8.0
    notes = [
        *(
            Said("{letter}  cannot be made: {reason}", letter=_LETTERS[i % 26], reason=reason)
            for i, reason in enumerate(reasons)
        ),
        *(Said("{mark}  mould of {sheet} sheet", mark="*" * (i + 1), sheet=name) for i, name in enumerate(other)),
        "In each cell: outside width in mm, height in mm, mass of the concrete in kg.",
    ]
    words = _words(request)
    figure = Figure(
        _LEFT + wide * len(charges) + 8.0,
        legend + _LEGEND_ROW * len(notes) + 2.0,
        "Filters by sand and charge",
        words,
        Words(request.base.papers.language),
    )
    figure.text(_LEFT, 9.0, figure.title, NORMAL)
    figure.text(_LEFT, 15.0, words)
    figure.text(_LEFT + wide * len(charges) / 2, 22.5, "charge, litres at a time", anchor="middle")
    figure.text(9.0, _TOP + high * len(columns) / 2, "sand column, mm", anchor="middle", turn=90)
    for i, charge in enumerate(charges):
        figure.text(_LEFT + wide * (i + 0.5), _TOP - 2.5, Said("{charge:p1}", charge=charge), NORMAL, anchor="middle")
    for j, column in enumerate(columns):
        y = _TOP + high * (j + 0.5) + NORMAL / 2
        figure.text(_LEFT - 2.5, y, Said("{column:p1}", column=column), NORMAL, anchor="end")
    for cell in cells:
        x, y = _LEFT + wide * charges.index(cell.charge), _TOP + high * columns.index(cell.sand_column)
        middle = x + wide / 2
        if cell.sizing is None:
            figure.rectangle(x, y, wide, high, fill="#e4e4e4", stroke=GREY)
            letter = _LETTERS[reasons.index(cell.reason) % 26]
            figure.text(middle, y + high / 2 + NORMAL / 2, letter, NORMAL, anchor="middle")
            continue
        found = cell.sizing
        figure.rectangle(x, y, wide, high, stroke=GREY)
        mark = "*" * (other.index(found.spec.steel.shell) + 1) if found.spec.steel.shell in other else ""
        width_mm = found.design.outside[0]
        for row, text in enumerate((f"{width_mm:.0f}", f"{found.levels.rim:.0f}", f"{found.mass:.0f} kg")):
            figure.text(middle, y + 4.4 + 4.4 * row, text, SMALL, anchor="middle")
        if mark:
            figure.text(x + wide - 1.0, y + 3.4, mark, SMALL, anchor="end")
    for row, note in enumerate(notes):
        figure.text(_LEFT, legend + _LEGEND_ROW * row, note)
    return figure


def _words(request: Request) -> str:
    sand, wanted = request.base.sand, request.base.filter
    speed = (
        Said("measured {conductivity:.2g} m/s", conductivity=sand.conductivity)
        if sand.conductivity
        else Said("d10 {size:p} mm", size=sand.effective_size)
    )
    plan = "square" if request.ratio == 1 else Said("width over depth {ratio:p2}", ratio=request.ratio)
    return Said(
        "Sand {speed}, porosity {porosity:p}, water of {temperature:p1} C; {plan}, wall "
        "{least_wall:p1} mm at least; loading up to {loading:p} m/h, height up to {height:p0} "
        "mm, mass up to {mass:p0} kg",
        speed=speed,
        porosity=sand.porosity,
        temperature=request.base.water.temperature,
        plan=plan,
        least_wall=wanted.least_wall,
        loading=request.loading,
        height=request.height,
        mass=request.mass,
    )
