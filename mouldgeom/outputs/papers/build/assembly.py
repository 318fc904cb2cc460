"""The steps of building: a page each, with pictures, welds, what to do, and what is measured at once."""

from __future__ import annotations

from typing import Final

from mouldgeom.fabrication.stages import BuildStep, SeamStep, Stage
from mouldgeom.fabrication.welds import Laid, laid
from mouldgeom.identity import FOOT, PANELS, Role, RowRole, Side
from mouldgeom.model.assembly import fastener_size
from mouldgeom.model.joints import SeamKind, WeldRole
from mouldgeom.model.turning_places import place_trestles
from mouldgeom.outputs.papers.build.blocks import (
    Actions,
    Block,
    Break,
    BuildChapter,
    CautionBlock,
    CheckBlock,
    Page,
    Pictures,
    Prose,
    TableBlock,
)
from mouldgeom.outputs.papers.build.core_steps import CORE_TEXTS, Texts
from mouldgeom.outputs.papers.build.desk import BuildDesk
from mouldgeom.outputs.papers.build.places import places
from mouldgeom.outputs.papers.build.sketches import back_step_sketch, runs_sketch
from mouldgeom.outputs.papers.build.views import step_pictures
from mouldgeom.spec.fields import HoleMethod
from mouldgeom.strength.tightening import Tightness
from mouldgeom.strength_classes import UNMARKED, class_text
from mouldgeom.units import Kg, Mm

_HIGH: Final[dict[Stage, Mm]] = {
    Stage.BRIDGE: 70.0, Stage.BOLTS: 80.0, Stage.BASE: 78.0, Stage.STRIPS: 84.0, Stage.WALLS: 84.0,
    Stage.CLOSE: 78.0, Stage.STAND: 84.0,
}  # fmt: skip
"""Most that the pictures of a step take where they are not 92 mm high."""


def assembly(desk: BuildDesk, steps: tuple[BuildStep, ...]) -> BuildChapter:
    """How to weld thin sheet, and every step."""
    return BuildChapter(
        desk.say("Building, step by step"),
        (_welding(desk), *(_step(desk, number, step) for number, step in enumerate(steps, 1))),
    )


def welding_caution(desk: BuildDesk) -> CautionBlock:
    """Cautions of welding.

    Source: shade: WAC 296-155-215 Table C-2, and EN 169 for 80 to 174 A; 29 CFR 1910.252 (air, fire); ANSI Z49.1
    subjects (from memory).
    """
    say = desk.say
    return CautionBlock(say("Welding"), (
        say("Shade of the helmet. Stick, electrodes up to {size}: 10 by the American table (WAC 296-155-215), 11 by "
            "the European one (EN 169, 80 to 174 A). Wire with gas, on steel: 12 by the same American table. Where you "
            "work, the table of that place holds.", size=desk.either("4 mm", "5/32 in")),
        say("Cover all skin. Warn others before you strike: the arc burns eyes."),
        say("Dry gloves, dry floor, sound cables: the current can kill."),
        say("Weld in moving air, head out of the fume. Never weld galvanised steel, nor near paint or chlorine "
            "solvents."),
        say("Fire: water and sand at hand, nothing that burns within {far}.", far=say("11 m (35 ft)")),
        say("Local rules and a trained welder decide."),
    ))  # fmt: skip


def _welding(desk: BuildDesk) -> Page:
    say = desk.say
    return Page(
        say("How to keep thin sheet straight"),
        (
            Prose(say("Heat distorts sheet. A bowed panel makes a bad wall. So weld short runs, in turn, and let each "
                     "cool."), "lead"),
            Pictures((
                (runs_sketch(desk), say("Bar on a panel: short runs on both sides in turn, from the middle outwards.")),
                (back_step_sketch(desk), say("Long seam: the work goes to the right, each run is laid to the left.")),
            )),
            Actions((
                say("Measure before. Write the value down."),
                say("Clamp the pieces to a flat table or to a stiff beam. Leave them clamped until they are cold."),
                say("Tack both ends first, then the middle, then between: a tack of {tack} every {pitch}.",
                    tack=desk.length(8.0), pitch=desk.length(150.0)),
                say("Measure again. A tack is easily cut, a weld is not."),
                say("Weld the runs in the order of the pictures. Move to another place after each run."),
                say("Put down no more weld than the table says. More weld distorts more and holds no better."),
                say("Wait until the weld is cold: hold the back of your hand near it, do not touch it. Then take off "
                    "the clamps and measure after."),
                say("Bowed by more than allowed: press it straight cold over two blocks, before the next piece goes "
                    "on."),
                say("Welds on the concrete side are ground level. No bead is left there, and no pit."),
            )),
            welding_caution(desk),
        ),
    )  # fmt: skip


# ---------------------------------------------------------------- one step


def _step(desk: BuildDesk, number: int, step: BuildStep) -> Page:
    title, actions, codes, cautions = _TEXTS[step.stage](desk)
    where = places(desk, step)
    actions, cautions = (*_pairs(desk, step), *actions), (*cautions, *_before_welding(desk, step))
    blocks: list[Block] = [
        Pictures(step_pictures(desk, step, _HIGH.get(step.stage, 92.0))),
        Prose(_pieces(desk, step), "note"),
    ]
    if where is not None:
        blocks.append(where)
    if step.welds:
        blocks.append(_weld_table(desk, step.welds))
    blocks += [Break(), Actions(actions)]
    if codes:
        blocks.append(CheckBlock(desk.say("Check now"), tuple(desk.check(code) for code in codes)))
    if cautions:
        blocks.append(CautionBlock(desk.say("Caution"), cautions))
    return Page(title, tuple(blocks), str(number))


def _pairs(desk: BuildDesk, step: BuildStep) -> tuple[str, ...]:
    """First of all, square bars of two angles each."""
    return tuple(
        desk.say("Make each square bar first: two angles, toe to toe. Clamp them straight, tack both ends and the "
                 "middle, then weld {weld}, one run on each seam in turn.", weld=f"W{weld.number}")
        for weld in step.welds if weld.role is WeldRole.PAIR
    )  # fmt: skip


def _before_welding(desk: BuildDesk, step: BuildStep) -> tuple[str, ...]:
    say = desk.say
    if not step.welds:
        return ()
    return (
        say("Welding and grinding: helmet or face shield, gloves, moving air, nothing near that burns. Read again: "
            "{page}.", page=say("How to keep thin sheet straight")),
    )  # fmt: skip


def _pieces(desk: BuildDesk, step: BuildStep) -> str:
    """New pieces of a step by mark, and how many."""
    counts: dict[str, int] = {}
    for piece in desk.mould.pieces():
        if piece.id in step.new:
            counts[piece.mark] = counts.get(piece.mark, 0) + 1
    if not counts:
        return desk.say("New: nothing. What is there already is welded together.")
    names = {part.mark: desk.name(part) for part in desk.mould.parts}
    listed = "; ".join(f"{count} × {mark} {names[mark]}" for mark, count in counts.items())
    return desk.say("New: {pieces}.", pieces=listed)


def _weld_table(desk: BuildDesk, welds: tuple[SeamStep, ...]) -> Block:
    """A row for each weld, and one more for lines that are welded in other runs."""
    say, rows = desk.say, []
    for weld in welds:
        head: tuple[str, ...] = (f"W{weld.number}", say(weld.name), _size(desk, weld))
        ways: dict[str, list[str]] = {}
        for how in laid(weld.seams):
            long = say("{count} × {length}", count=how.lines, length=desk.cell(how.length))
            ways.setdefault(_runs(desk, weld, how), []).append(long)
        for way, lines in ways.items():
            rows.append((*head, way, "\n".join(lines)))
            head = ("", "", "")
    size, how_wide = ("0.8", "1.15") if desk.words.units == "both" else ("auto", "1")
    return TableBlock(
        (say("Weld"), say("Between"), say("Size"), say("How"), say("Seams")), tuple(rows),
        ("auto", "1.1", size, how_wide, "auto"), (), "small",
    )  # fmt: skip


def _size(desk: BuildDesk, weld: SeamStep) -> str:
    if weld.laid:
        return desk.say("fill, fillet on it {leg}", leg=desk.cell(weld.laid, 1))
    if weld.kind is SeamKind.FLARE:
        return desk.say("fill the corner")
    if weld.kind is SeamKind.EDGE:
        return desk.say("edge, {leg}", leg=desk.cell(weld.leg, 1, 16))
    return desk.say("fillet, leg {leg}", leg=desk.cell(weld.leg, 1, 16))


def _runs(desk: BuildDesk, weld: SeamStep, how: Laid) -> str:
    say = desk.say
    if how.count == 1:
        text = say("continuous")
    else:
        text = say("{count} × {run} every {pitch}", count=how.count, run=desk.length(how.run),
                   pitch=desk.length(how.pitch))  # fmt: skip
    return say("{how}, ground level", how=text) if weld.flush else text


# ---------------------------------------------------------------- texts of the steps


def _holes_meet(desk: BuildDesk, one: str) -> str:
    """How the bolt holes of a flange are made to meet their partner's."""
    say, mark = desk.say, desk.mould.piece(Role.BASE_PLATE).mark
    return {
        HoleMethod.FULL: say("{flange}: bolt it to the bare base plate {mark} through the finished holes. Set both "
                             "against the lower edge of the panel, the flange's face level with that edge. Tack the "
                             "flange, take the plate off.", flange=one, mark=mark),
        HoleMethod.PILOT: say("{flange}: pin it to the bare base plate {mark} through two pilot holes. Set both "
                              "against the lower edge of the panel, the flange's face level with that edge. Tack the "
                              "flange, take the plate off.", flange=one, mark=mark),
        HoleMethod.CENTRE: say("{flange}: its face level with the lower edge of the panel, as far from the ends as "
                               "the table says. Tack it. It is drilled when all is clamped.", flange=one),
    }[desk.dims.spec.shop.hole_method]  # fmt: skip


def _sides(desk: BuildDesk) -> Texts:
    say = desk.say
    return (
        say("Side panels"),
        (
            say("Lay the panel flat, concrete face down, clamped to the table."),
            say("Left and right are alike: the one is the other, turned half round.") if desk.sides_alike
            else say("Left and right are not alike: lay them side by side and look."),
            say("Corner flanges: one leg on the panel, the other stands up, its outer face flush with the front or "
                "back edge. Lower ends level with the lower edge. Square. Tack."),
            _holes_meet(desk, say("Base flange")),
            say("Stiffeners at the heights of the table, between the corner flanges. Leave none out: the panel would "
                "bulge. Tack, then the handles over them."),
            say("Pin into its plate ({plate}), square both ways, its inner end flush; weld it all round, then the "
                "keeper. No pits, no undercut: people's safety hangs on this weld.",
                plate=desk.mould.piece(Role.PIN_PLATE, Side.LEFT).mark),
            say("Pin plate across its two stiffeners: the middle of the pin at the height of the table, on both panels "
                "alike within {within}. Weld ends and sides. Clips level with the upper edge.",
                within=desk.length(1.0, 1)),
            *((say("Gussets upright in the corner of the base flange. The legs of the bridge land on them with the "
                   "whole pull: weld them all round."),) if desk.dims.has_bridge else ()),
            say("Lay the front and the back panel against their corner flanges: edges and holes must line up. "
                "Correct tacks, not welds."),
            say("Weld from the middle outwards, one run on each bar in turn. Turn the panel over last: grind level "
                "what "
                "shows on the concrete side."),
        ),
        ("bow-left", "bow-right"),
        (say("A panel is sharp and heavy ({mass}): two hands, gloves, and lean it against something that holds.",
             mass=desk.mass(_heaviest(desk), 1)),),
    )  # fmt: skip


def _heaviest(desk: BuildDesk) -> Kg:
    return max(desk.masses.carried[load].lump.mass for load in PANELS.values())


def _faces(desk: BuildDesk) -> Texts:
    say = desk.say
    return (
        say("Front and back panel"),
        (
            say("Lay the panel flat, concrete face down, clamped. The front panel has the opening for the nose."),
            _holes_meet(desk, say("Base flange")),
            say("Stiffeners at the heights of the table. They stop short of the bolt holes at both edges: a socket "
                "must pass. Tack, then the handles."),
            say("Weld from the middle outwards, one run on each bar in turn. Wait, then grind level on the concrete "
                "side."),
            say("Stand front and back against the side panels: edges and holes must line up. Correct now."),
        ),
        ("bow-front", "bow-back"), (),
    )  # fmt: skip


def _nose(desk: BuildDesk) -> Texts:
    say = desk.say
    return (
        say("Nose"),
        (
            say("Lay the front panel flat, concrete face down: the nose stands up. The opening sets its place."),
            say("Tack the two sides to the edges of the opening. They stand closer at the tip than at the panel: "
                "otherwise the panel will not come off."),
            say("Tack the sloping front between them. Nothing may stand out inside the nose."),
            say("Weld from outside in short runs. Flanges for the lid last, their faces level with the upper edge."),
            say("Bolt the lid on. Push a piece of tube through its hole by hand: it must slide and stand straight."),
        ),
        ("nose-root-width", "nose-tip-width", "nose-depth", "nose-lid-height", "tube-hole"),
        (),
    )  # fmt: skip


def _base(desk: BuildDesk) -> Texts:
    say = desk.say
    bridge = desk.dims.has_bridge
    return (
        say("Base plate and runners") if bridge else say("Base plate, runners and nut plates"),
        (
            say("Lay the base plate concrete face down on a flat, clean table. Mark the lines of the runners by the "
                "table. They must clear the bolt holes, with room for a socket."),
            say("Clamp the runners down over their whole length. Tack the middle, then the ends."),
            say("Weld short runs, one on each runner in turn. Leave it clamped until it is cold."),
            say("Turn it over: a straight edge must lie on the concrete face without light beneath. It is the rim of "
                "the "
                "filter."),
            *(() if bridge else (
                say("Weld each nut on its nut plate, a screw through both so that they line up: screw square to the "
                    "plate."),
                say("Lay the pads into their openings from the concrete side, the nut plates over them outside: the "
                    "pads must lie on them, level with the concrete face. Weld the nut plates all round."),
            )),
        ),
        (),
        (),
    )  # fmt: skip


def _join(desk: BuildDesk) -> Texts:
    say, dims = desk.say, desk.dims
    return (
        say("Core to the base plate, from inside"),
        (
            say("Stand the base plate on its runners, the core on it in the middle: measure from all four edges. At "
                "most {off} out.", off=desk.length(dims.spec.shop.centring, 1)),
            _held_for_welding(desk),
            say("Clamp or bolt all four panels on and try the sticks of the gap on all sides. Knock the core over "
                "now, not after it is welded. Take the panels off."),
            say("Lay it on its side on blocks, the opening towards you. Tack from inside on all four sides. Take off "
                "what held it. Measure again."),
            say("Weld from inside, through the opening, in short runs: front, back, left, right, and round again."),
            say("Nothing is welded outside. No bead, no gap: paste would run in."),
        ),
        ("core-height", "ledge-height"),
        (
            say("You weld through an opening: fume and heat stay inside. Extract the fume, take breaks, and let no "
                "one hold the core by hand."),
            say("Core and base plate weigh {mass}. Lift and turn them with a hoist or enough people.",
                mass=desk.mass(desk.masses.carried[FOOT].lump.mass)),
        ),
    )  # fmt: skip


def _bolts(desk: BuildDesk) -> Texts:
    say = desk.say
    method = {
        HoleMethod.FULL: say("Put all bolts in by hand. If a hole does not line up, file it; do not force the bolt."),
        HoleMethod.PILOT: say("Clamp the whole box. Open the pilot holes through both pieces, bolt each at once."),
        HoleMethod.CENTRE: say(
            "Clamp the whole box. Drill at the centre marks through both pieces, bolt each at once."
        ),
    }[desk.dims.spec.shop.hole_method]
    return (
        say("Bolting up"),
        (
            say("Stand the side panels on the base plate, then back, then front. {base} in the base, {corner} in the "
                "corners, a washer under each head and nut.", base=_bolt(desk, RowRole.BASE),
                corner=_bolt(desk, RowRole.CORNER)),
            method,
            say("Tighten from the middle of each row outwards, base first, then corners. Oil the threads. Go round "
                "twice."),
            *torques(desk),
            say("Try the closing bars ({bar}) on their clips, {bolt} in each. They come off again for casting.",
                bar=desk.mould.piece(Role.CLOSING_BAR, Side.FRONT).mark, bolt=_bolt(desk, RowRole.CLOSING)),
            say("Measure the box inside at the rim, half way up and at the top. Both diagonals must agree."),
            say("Write a number on each joint and on its two pieces."),
        ),
        ("box-width-rim", "box-depth-rim", "box-width-pour-face", "box-depth-pour-face", "box-diagonal-one",
         "box-diagonal-other", "box-height"),
        (say("A panel that is not yet bolted falls: one holds it, another bolts. Keep fingers out of the joints and "
             "holes."),),
    )  # fmt: skip


def torques(desk: BuildDesk) -> tuple[str, ...]:
    """The torque with the class that it is for, and the lesser one of bolts whose heads bear no mark."""
    say, tight = desk.say, Tightness(desk.mould)
    thread, strength = desk.dims.stock.bolt.designation, tight.strength
    weaker = desk.torque(tight.unmarked)
    if tight.recommended <= tight.unmarked:
        told = "" if strength.designation == UNMARKED else f" ({desk.class_name(class_text(strength.designation))})"
        return (
            say("Torque of {thread} bolts{strength}, also of those without a mark on the head: {torque}. No more.",
                thread=thread, strength=told, torque=weaker),
        )  # fmt: skip
    named = desk.class_name(class_text(strength.designation))
    mark = strength.marking if strength.system == "metric" else say(strength.marking)
    return (
        say("Look at the head of each bolt. With the mark {mark} ({strength}): {torque}.",
            mark=mark, strength=named, torque=desk.torque(tight.recommended)),
        say("A head without that mark: {torque} at most, more breaks the bolt. Ask first whether the mould holds with "
            "weaker bolts: it was reckoned with {strength}.", torque=weaker, strength=named),
    )  # fmt: skip


def _bolt(desk: BuildDesk, role: RowRole) -> str:
    """The bolt of such a row by mark and size, such as ``"F6 M10 x 30"``."""
    rows = {row.id for row in desk.mould.rows if row.id.role is role}
    bolts = ((part, stand.id) for part in desk.mould.fasteners for stand in part.stands)
    part = next(part for part, piece in bolts if piece.row in rows and piece.role is Role.BOLT)
    return f"{part.mark} {fastener_size(part)}"


def _held_for_welding(desk: BuildDesk) -> str:
    """How the core is held on the base plate until it is tacked."""
    say = desk.say
    if not desk.dims.has_bridge:
        return say("Hold it so: tack two offcuts of angle inside on opposite walls, flush with the rim end, and clamp "
                   "them to the base plate through the opening.")  # fmt: skip
    return say("Hold it so: lay the two bridge beams ({beam}) across under the runners, put the jack screw between "
               "them into the nut, washer plate ({washer}) and nut below. Tighten.",
               beam=desk.mould.piece(Role.BRIDGE_BEAM, Side.FRONT).mark,
               washer=desk.mould.piece(Role.WASHER_PLATE).mark)  # fmt: skip


def _forcing(desk: BuildDesk) -> Texts:
    say = desk.say
    return (
        say("Forcing screws and pads"),
        (
            say("Round off the tips of the screws with the grinder: they turn on the pads. Grease the threads."),
            say("Lock two nuts against each other on the outer end of each screw, as far from its tip as the table "
                "says. All four alike within {within}.", within=desk.length(0.5, 1)),
            say("Each screw turns through its nut by hand over its whole length."),
            say("Mark pads and openings in pairs, and file the pads until they fall in and out by themselves."),
            say("For casting the screws are out: put the pads in, and tape over the gap round each, on the concrete "
                "side."),
        ),
        ("pad-gap", "pad-flush", "free-thread"),
        (),
    )  # fmt: skip


def _bridge(desk: BuildDesk) -> Texts:
    say = desk.say
    return (
        say("Bridge and jack screw"),
        (
            say("Clamp the two beams parallel on a flat table, as far apart as the table says: the screw passes "
                "between them. Tack the caps under their ends and the washer plate on top, in the middle."),
            say("The legs stand square and are alike within {within}. Both must touch a flat table.",
                within=desk.length(0.5, 1)),
            say("Weld all seams without a break: they carry the whole pull. No pits, no undercut."),
            say("Lock two nuts against each other on the outer end of the screw. Grease the thread."),
            say("At the trial extraction the legs go through the notches of the base plate, on to the side base "
                "flanges, over the gussets."),
        ),
        ("leg-length", "leg-spread"),
        (),
    )  # fmt: skip


def _stand(desk: BuildDesk) -> Texts:
    say, made = desk.say, place_trestles(desk.dims, desk.mould.trunnions)
    return (
        say("Stand for turning"),
        (
            say("Weld each saddle on the inner side of its post, its notch up, the middle of the notch over the middle "
                "of the post. File the notch round and smooth."),
            say("Stand each post in the middle of its foot, square both ways, a cheek on each side. Weld the cheeks "
                "along the post, across and along their lower edge."),
            say("Cleats on the feet, flush with the outer side. Bolt the ties to them, measure both diagonals, then "
                "weld the cleats."),
            say("The bottoms of both notches are {height} above the ground, alike within {within}.",
                height=desk.length(made.height - desk.mould.trunnions.diameter / 2), within=desk.length(1.0, 1)),
            say("Set the empty mould in: the lock rods must go through saddle and pin plate by hand, as it is cast and "
                "half a turn on."),
        ),
        (), (say("The stand carries nothing but this mould. Try it with the empty mould first, nobody near."),),
    )  # fmt: skip


_TEXTS = {
    Stage.SIDES: _sides,
    Stage.FACES: _faces,
    Stage.NOSE: _nose,
    **CORE_TEXTS,
    Stage.BASE: _base,
    Stage.JOIN: _join,
    Stage.BOLTS: _bolts,
    Stage.BRIDGE: _bridge,
    Stage.FORCING: _forcing,
    Stage.STAND: _stand,
}
