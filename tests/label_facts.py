"""What a mould's files show, but for its words; with ``python tests/label_facts.py`` with every label a random string.

Run as a program it prints the same record as ``facts`` gives, from a process in which pieces, rows, units, parts and
seams are called by random letters.  Whatever reads a label to find out what a piece is gives another record there.
"""

from __future__ import annotations

import json
import random
import re
import string
import sys
from collections.abc import Iterable, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from mouldgeom.drawing.primitives import Sheet
    from mouldgeom.solids import SolidMould

MARK = re.compile(r"[A-F]\d+|W\d+")


@cache
def scrambled(text: str) -> str:
    """Other letters in the place of each, the same for the same text, so that they are as long on paper."""
    letters = random.Random(text)
    return "".join(letters.choice(string.ascii_lowercase) if c.isalpha() else c for c in text)


def scramble() -> None:
    """Call everything by random letters.  To be done before anything but the mould's description is imported."""
    from mouldgeom import identity
    from mouldgeom.fabrication.welds import Seam

    made, kind = identity.Term, identity.kind

    def term(text: str, number: str = "", size: str = "", which: str = "") -> identity.Term:
        return made(scrambled(text), number, size, scrambled(which))

    patched: Any = identity
    patched.Term, patched.kind = term, lambda piece: scrambled(kind(piece))
    for labelled in (identity.RowId, Seam):
        # a property of a class is replaced for the whole process: that is what this is for
        name = labelled.name.fget
        labelled.name = property(lambda self, name=name: scrambled(name(self)))  # type: ignore[assignment, method-assign]
    for unit in [value for value in vars(identity).values() if isinstance(value, identity.Unit)]:
        object.__setattr__(unit, "name", scrambled(unit.name))
    identity.label.cache_clear()


def facts(solids: SolidMould) -> dict[str, Any]:
    """Everything that is drawn, listed, built and moved, but for words."""
    mould = solids.mould
    return {
        "parts": [[part.mark, part.quantity, [list(s.id.order) for s in part.stands]] for part in mould.parts],
        "flats": flats(solids),
        "cut list": cuts(solids),
        "steps": steps(solids),
        "build sheet": pictures(solids),
        "sheets": sheets(solids),
        "views": views(solids),
        "moves": moves(solids),
    }


def flats(solids: SolidMould) -> dict[str, str]:
    """Flat patterns as they are written, without the name."""
    from mouldgeom.outputs.dxf import CutOptions, flat_dxf

    options, plates = CutOptions.from_spec(solids.dims.spec), solids.mould.plates
    return {p.mark: flat_dxf(p, options).decode("ascii").replace(p.name, "") for p in plates}


def cuts(solids: SolidMould) -> list[Any]:
    """Rows of the cut list without their names."""
    from mouldgeom.outputs.cutlist import cut_groups

    rows = [row for group in cut_groups(solids.mould) for row in group.rows]
    return [[r.kind, r.mark, r.quantity, r.grade, r.length, r.width, r.shape, r.holes, r.concrete] for r in rows]


def steps(solids: SolidMould) -> list[Any]:
    """Steps of building, with the marks of what is new and the welds of each."""
    from mouldgeom.fabrication.stages import build_steps

    marks = {piece.id: piece.mark for piece in solids.mould.pieces()}
    return [
        [
            str(step.stage),
            sorted(marks[piece] for piece in step.new),
            [[weld.number, str(weld.role), [list(seam.marks) for seam in weld.seams]] for weld in step.welds],
        ]
        for step in build_steps(solids.mould)
    ]


def pictures(solids: SolidMould) -> list[Any]:
    """Marks and numbers of welds on each page of the build sheet, and what its tables measure."""
    from mouldgeom.outputs.job import Job
    from mouldgeom.outputs.papers.build.blocks import record
    from mouldgeom.outputs.papers.build.sheet import chapters
    from mouldgeom.words import Words

    job = Job(solids.mould)
    job.__dict__["solids"] = solids
    pages = [page for chapter in record(chapters(job, Words())) for page in chapter["pages"]]
    return [
        [
            page["title"],
            [sorted(re.findall(r">([A-FW]\d+)[ <]", p["svg"])) for b in blocks(page, "pictures") for p in b["shown"]],
            [re.findall(r"\b\d[\d.]*", json.dumps(b["rows"])) for b in blocks(page, "tableblock")],
        ]
        for page in pages
    ]


def blocks(page: dict[str, Any], kind: str) -> Iterable[dict[str, Any]]:
    """Blocks of one kind on a page of the build sheet."""
    return (block for block in page["blocks"] if block["kind"] == kind)


def sheets(solids: SolidMould) -> list[Any]:
    """Marks and dimensions on each assembly drawing, and on all drawings of parts: those lie where names leave room."""
    from mouldgeom.drawing.paper import PaperOptions
    from mouldgeom.outputs.papers.assemblies import assembly_sheets
    from mouldgeom.outputs.papers.part_sheets import part_sheets
    from mouldgeom.words import Words

    words, options = Words(), PaperOptions.from_spec(solids.dims.spec)
    assemblies = [[sheet.name, *_shown([sheet])] for sheet in assembly_sheets(solids, words, options)]
    return [*assemblies, ["parts", *_shown(part_sheets(solids.mould, words, options))]]


def _shown(shown: Sequence[Sheet]) -> tuple[list[str], list[Any]]:
    """Marks that stand on drawings, and what their dimensions fix."""
    marks = sorted(text.text for sheet in shown for text in sheet.texts() if MARK.fullmatch(text.text))
    fixed = (dimension for sheet in shown for dimension in sheet.dimensions())
    return marks, sorted([d.feature.mark, d.feature.kind, round(d.value, 6)] for d in fixed)


def views(solids: SolidMould) -> list[Any]:
    """Of each view of the assembly drawings what is seen of which piece, where, and what is cut."""
    from mouldgeom.drawing.hidden import View
    from mouldgeom.drawing.looking import order
    from mouldgeom.outputs.papers.stage import _MADE

    def flat(made: object) -> list[View]:
        return [made] if isinstance(made, View) else list(made) if isinstance(made, tuple) else []

    return [
        [
            name,
            [[*order(key), round(x, 3), round(y, 3)] for key, (x, y) in view.anchors.items()],
            [[*order(cut.id), round(cut.area.area, 3)] for cut in view.cuts],
        ]
        for name, made in sorted(_MADE[solids].items())
        for view in flat(made)
    ]


def moves(solids: SolidMould) -> list[Any]:
    """How far each piece goes when the mould is taken apart: on paper, and on the page by two moves."""
    from mouldgeom.outputs.page.explode import moves
    from mouldgeom.outputs.papers.exploded import shift

    away = moves(solids.mould)
    return [[list(p.id.order), shift(solids.dims, p.unit), *away[p.id]] for p in solids.mould.pieces()]


def main(example: str) -> None:
    """Print the record of an example whose labels are random."""
    scramble()
    from mouldgeom import load
    from mouldgeom.model.assembly import build
    from mouldgeom.solids import SolidMould

    mould = build(load(example))
    names = [piece.name for piece in mould.pieces()] + [part.name for part in mould.parts]
    json.dump({"facts": facts(SolidMould(mould)), "names": names}, sys.stdout)


if __name__ == "__main__":
    main(sys.argv[1])
