"""What is bought, what it is built with, and how long it takes."""

from __future__ import annotations

from collections.abc import Sequence

from mouldgeom.fabrication.cost import OPERATIONS
from mouldgeom.fabrication.wear import spares
from mouldgeom.model.shapes import Bar, Fastener, Part, Plate
from mouldgeom.outputs.papers.build.blocks import Block, BuildChapter, Bullets, Page, Prose, TableBlock
from mouldgeom.outputs.papers.build.desk import BuildDesk
from mouldgeom.outputs.papers.build.tube_page import bought
from mouldgeom.strength.pull import wearing_pull


def material(desk: BuildDesk) -> BuildChapter:
    """Lists of plates, bars and bought things, tools, time."""
    say = desk.say
    return BuildChapter(say("Material, tools, time"), (*_steel(desk), _bought(desk)))


def _steel(desk: BuildDesk) -> list[Page]:
    say = desk.say
    plates = TableBlock(
        (say("Mark"), say("Qty"), say("Plate"), say("Thickness"), say("Size")),
        tuple(_grouped(desk, desk.mould.plates)),
        ("auto", "auto", "1", "auto", "auto"), (1,), "small",
    )  # fmt: skip
    bars = TableBlock(
        (say("Mark"), say("Qty"), say("Bar"), say("Section"), say("Length")),
        tuple(_grouped(desk, desk.mould.bars)),
        ("auto", "auto", "1", "auto", "auto"), (1,), "small",
    )  # fmt: skip
    note = Prose(
        say("Sizes of plates are overall sizes: cut by the drawing or the cut file, not by this list."), "note"
    )
    return [
        Page(say("Material: sheet and bars"), (_masses(desk), *_each(desk), plates, bars, note, _substitutes(desk)))
    ]


def _each(desk: BuildDesk) -> tuple[Block, ...]:
    """Which mould the quantities are for, where several are made."""
    moulds = desk.job.moulds
    told = desk.say("Quantities are for one of {moulds} moulds; the cut list counts them all.", moulds=moulds)
    return (Prose(told),) if moulds > 1 else ()


def _grouped(desk: BuildDesk, parts: Sequence[Part]) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    for part in parts:
        head = (part.mark, str(part.quantity), desk.name(part))
        if isinstance(part, Plate):
            x0, y0, x1, y1 = part.outline.bounds
            longer, other = sorted((x1 - x0, y1 - y0), reverse=True)
            size = f"{desk.length(longer, 1)} × {desk.length(other, 1)}"
            rows.append((*head, part.sheet, size))
        elif isinstance(part, Bar):
            kind = desk.words(str(part.kind))
            strength = f", {desk.strength(part)}" if part.strength else ""
            rows.append((*head, f"{kind} {part.section}{strength}", desk.length(part.length, 1)))
    return rows


def _masses(desk: BuildDesk) -> Block:
    say, mould = desk.say, desk.mould
    return Prose(
        say(
            "{pieces} pieces of steel, {bolts} bolts. The finished mould weighs {mass} with its gear.",
            pieces=sum(p.quantity for p in mould.parts if not isinstance(p, Fastener)),
            bolts=mould.bolt_count, mass=desk.mass(mould.steel_mass),
        )
    )  # fmt: skip


def _substitutes(desk: BuildDesk) -> Block:
    say = desk.say
    return Bullets((
        say("Choose flat sheet with one face free of rust. Concrete sticks to rust."),
        say("Steel grade: {grade}. Do not use galvanised steel: welding it gives off zinc fume, which makes you ill.",
            grade=desk.dims.stock.steel.designation),
        say("Sheet that touches concrete: never thinner than the list says, thinner bends too easily."),
        say("If you cannot get it: square tube may be two angles welded together, a handle rod a bolt of the same "
            "length. Have the drawings made again for it, also for thicker sheet."),
        *([say("Have the nest drawing at hand: it shows how the plates lie on the sheets.")] if desk.job.cut else ()),
    ))  # fmt: skip


def _spares(desk: BuildDesk) -> list[tuple[str, ...]]:
    """What wears out before the mould does, under its own head; nothing if nothing does."""
    found = spares(desk.mould, wearing_pull(desk.mould))
    head = (desk.say("Spares over a life of {life} casts", life=desk.number(desk.dims.spec.use.life)),)
    rows: list[tuple[str, ...]] = []
    for spare in found:
        part = spare.part
        cut = (
            (f"{desk.words(str(part.kind))} {part.section}", desk.length(part.length, 1))
            if isinstance(part, Bar)
            else ()
        )
        rows.append((", ".join((desk.name(part), *cut, desk.strength(part))), str(spare.count)))
    return [head, *rows] if rows else []


def _bought(desk: BuildDesk) -> Page:
    say, used = desk.say, desk.work
    rows: list[tuple[str, ...]] = [(say("Bolts and nuts"),)]
    for part in desk.mould.fasteners:
        rows.append((", ".join(filter(None, (desk.name(part), desk.strength(part)))), str(part.quantity)))
    rows += _spares(desk)
    tube = desk.dims.spec.tube.outside_diameter
    rows.append((say("piece of the outlet tube, {size} outside, to try its hole", size=desk.hole(tube)), "1"))
    rows.append((say("Consumables, estimate"),))
    rows.append((say("stick electrodes"), desk.mass_range(used["stick electrodes"], 1)))
    for name in ("grinding discs", "cutting discs"):
        rows.append((say(name), say("{amount} pieces", amount=desk.range(used[name], 0))))
    rows += [(say("paint"), desk.volume_range(used["paint"], 1)),
             (say("edible oil for the concrete faces"), desk.volume(0.5, 1)),
             (say("grease for the screw threads"), say("a little"))]  # fmt: skip
    rows += bought(desk)
    if sealed := desk.sealed:
        seal, long = say(str(desk.dims.spec.shop.joint_seal)), sum(seam.length for seam in sealed)
        rows.append((say("{seal} for the joints that open under the pressure", seal=seal), desk.length(long)))
    rows.append((say("Time, estimate for the first mould"),))
    rows += [(say(name), say("{amount} h", amount=desk.range(used[name], 0))) for name in OPERATIONS]
    tools = (
        say(
            "welding set, dry cables, clamps; electrodes of {size} for the thin sheet",
            size=desk.either(f"{desk.number(2.5, 1)} mm", "3/32 in"),
        ),
        say("angle grinder with guard; drill and drills for the holes; files, centre punch, hammer"),
        say("tape, steel rule, square, straight edge as long as a panel, calliper, spirit level"),
        say("a flat, stiff table or two straight beams, longer than a panel"),
        say("helmet, face shield, gloves, apron, boots, ear plugs, mask; water and sand against fire"),
    )
    return Page(
        say("Material: bolts and consumables; tools; time"),
        (
            *_each(desk),
            TableBlock((say("What"), say("How much")), tuple(rows), ("1", "auto"), (1,), "small"),
            Prose(say("Allow a week for the first mould, with one who knows this sheet beside the welder. (Common "
                     "practice, no source.)"), "note"),
            Prose(say("Tools"), "lead"),
            Bullets(tools),
        ),
    )  # fmt: skip
