"""Turning the filled mould, drawing the core, taking the panels off, finishing, curing, testing, keeping."""

from __future__ import annotations

from mouldgeom.drawing.looking import CONCRETE, Key
from mouldgeom.fabrication.wear import wear_casts
from mouldgeom.filter.concrete import FILLING_AGE
from mouldgeom.filter.early_age import hours_until
from mouldgeom.identity import BOLTS, BRIDGE, CLOSING, FOOT, FORCING, PANELS, STAND, PieceId, Role, Side
from mouldgeom.model.turning_places import SHACKLE_HOLE, SHACKLE_PIN, place_trestles
from mouldgeom.outputs.papers.build.blocks import (
    Actions,
    BuildChapter,
    Bullets,
    CautionBlock,
    Page,
    Pictures,
    Prose,
    TableBlock,
)
from mouldgeom.outputs.papers.build.desk import BuildDesk
from mouldgeom.outputs.papers.build.picture import WIDE, At, StepPicture, labelled
from mouldgeom.outputs.papers.build.sketches import turning_sketch
from mouldgeom.outputs.papers.build.views import Views, tags_of
from mouldgeom.strength.handling import Lifted, lifts
from mouldgeom.strength.overload import lever, screws
from mouldgeom.strength.pull import Sticking, latest_age, pull, release, rough, slick, wearing_pull
from mouldgeom.strength.thrust import lead_allowed
from mouldgeom.strength.trunnions import SLING, rig
from mouldgeom.strength.turning import pin_turn
from mouldgeom.strength_classes import class_text
from mouldgeom.units import Ratio, rounded_up


def extraction(desk: BuildDesk, views: Views) -> BuildChapter:
    """Turning, drawing, what if it does not move, opening and curing."""
    return BuildChapter(
        desk.say("Turning and drawing the core"),
        (_loads(desk), _turning(desk), _drawing(desk, views), _stuck(desk), _opening(desk)),
    )


def keeping(desk: BuildDesk) -> BuildChapter:
    """Cleaning, storage, next cast, wear."""
    say = desk.say
    page = Page(
        say("Cleaning, storage, next cast"),
        (
            Actions((
                say("Clean at once, while paste is soft: wood scraper, brush, water. No steel scraper on a concrete "
                    "face."),
                say("Dry all pieces and oil the concrete faces. Grease screw and nuts, brush grit off the thread."),
                say("Bolt the box together loosely on the base plate: so nothing bows. Keep it dry, off the ground, "
                    "covered."),
                say("Keep bolts, sticks, plugs and this sheet in one tin that hangs on the mould."),
            )),
            Prose(say("Before every cast"), "lead"),
            Bullets((
                say("Rust or stuck paste on a concrete face: take it off, oil again."),
                say("Try the sticks of the gap on all four sides."),
                say("Bolts with damaged threads: replace them. A dent in a panel: knock it flat over wood."),
            )),
            Prose(say("Wear"), "lead"),
            Bullets((
                say("Screws: change rods and nuts when the play is a quarter of the pitch ({play}): by calculation "
                    "after about {casts} casts.",
                    play=desk.length(rough(desk.dims).thread.pitch / 4, 2), casts=_casts(desk)),
                say("Look at the welds of bridge, gussets and anchor plate after every tenth cast. A crack: do not "
                    "use it until it is ground out and welded again.")
                if desk.dims.has_bridge else
                say("Look at the welds of nut plates, nuts and core foot after every tenth cast. A crack: do not "
                    "use it until it is ground out and welded again."),
                say("Measure one filter in ten: walls, floor, mass, as in the acceptance form. Write the values down."),
            )),
            CautionBlock(say("Caution"), (
                say("Stack nothing on the mould. Keep children away: panels that lean fall."),
            )),
        ),
    )  # fmt: skip
    return BuildChapter(say("Cleaning and storage"), (page,))


def _casts(desk: BuildDesk) -> str:
    """Casts that a screw lasts, to two figures: no more is known."""
    return desk.number(float(f"{wear_casts(desk.mould, wearing_pull(desk.mould)):.2g}"))


# ---------------------------------------------------------------- turning


def _who(desk: BuildDesk, item: Lifted) -> str:
    say = desk.say
    if item.team.people == 0:
        return say("hoist")
    return say("1 person") if item.team.people == 1 else say("{count} people", count=item.team.people)


def _loads(desk: BuildDesk) -> Page:
    say = desk.say
    found = lifts(desk.mould, desk.masses)
    rows = [
        (say(load.name), desk.mass(item.lump.mass, 1), _who(desk, item))
        for load, item in found.items() if load in (*PANELS.values(), FOOT, BRIDGE, FORCING, BOLTS, CLOSING, STAND)
    ]  # fmt: skip
    heavy = say("hoist, tripod or trolley")
    rows += [
        (say("mould, empty"), desk.mass(desk.masses.empty.mass), heavy),
        (say("mould, filled"), desk.mass(desk.masses.filled.mass), heavy),
        (say("filter, empty"), desk.mass(desk.masses.filter_empty.mass), heavy),
        (say("filter with gravel, sand and water"), desk.mass(desk.masses.filter_full.mass), say("do not move it")),
    ]
    return Page(
        say("What weighs how much, and who lifts it"),
        (
            TableBlock(
                (say("What"), say("Mass"), say("Who lifts it, at least")), tuple(rows), ("1", "auto", "auto"), (1,)
            ),
            Prose(say("For healthy adults, few lifts, hands at the handles or edges. Weaker people lift less; local "
                     "rules decide."), "note"),
            CautionBlock(say("Lifting"), (
                say("Bend the knees, back straight, load close. Two who lift together agree on the word before."),
                say("Hoist, tripod, slings and hooks are marked with their safe working load. Inspect them before "
                    "use."),
                say("Nobody stands or reaches below a hanging load. Gloves and safety boots."),
            )),
        ),
    )  # fmt: skip


def _turning(desk: BuildDesk) -> Page:
    say, at = desk.say, desk.mould.trunnions
    turn = pin_turn(desk.mould, desk.masses.filled)
    pushes = TableBlock(
        (say("Turned"), say("Push of all hands together")),
        tuple(
            (say("{angle} degrees", angle=angle),
             desk.force((turn.moment(float(angle)) + turn.friction) / turn.lever))
            for angle in (0, 45, 90, 135, 180)
        ), ("1", "auto"), (1,),
    )  # fmt: skip
    how = _hoisted(desk) if at.hoisted else _in_stand(desk)
    return Page(
        say("Turning the filled mould"),
        (
            Prose(say("The filled mould weighs {mass}. Turning it is a lifting operation: it goes round two pins "
                      "on its side panels, a little above its centre of gravity.",
                      mass=desk.mass(desk.masses.filled.mass)), "lead"),
            Pictures(((turning_sketch(desk), say("Seen along the pins. The bars across the pour face hold the "
                                                  "concrete.")),)),
            Actions((
                say("Turn it when the concrete is {hours} hours old, all bolts tight, the ground level and clear.",
                    hours=desk.number(desk.dims.spec.concrete.stripping_age)),
                say("Bolt both closing bars ({mark}) over the pour face on their clips. Upside down nothing else "
                    "holds young concrete in an oiled box.", mark=desk.mould.piece(Role.CLOSING_BAR, Side.FRONT).mark),
                *how,
                say("Take the closing bars off only when it stands firm."),
            )),
            Prose(say("{people} people turn it, hands at the edge of the base plate, {lever} from the pins. Dry pins; "
                      "grease halves the first push.", people=turn.people, lever=desk.length(turn.lever)), "note"),
            pushes,
            CautionBlock(say("Turning"), (
                say("Nobody below it, in front of it or downhill of it. One person gives the word."),
                say("No hand or foot between the mould and the stand, the slings or the ground. It wants to turn "
                    "back: hold it until it is locked or set down."),
                say("Look at pins, welds and stiffeners first. A crack: do not lift. A trained person slings; local "
                    "rules and licensed practice decide."),
            )),
        ),
    )  # fmt: skip


def _timbers(desk: BuildDesk) -> str:
    return desk.say("two timbers from left to right, one on each side of the closing bars")


def _hoisted(desk: BuildDesk) -> tuple[str, ...]:
    """Slinging, lifting, turning and setting down with a hoist."""
    say, made = desk.say, rig(desk.mould, desk.masses.filled.mass)
    return (
        say("A spreader with {spread} between its two plumb legs, each leg {leg} or longer; the slings above it "
            "{angle} degrees from the level or steeper. Spreader, slings, shackles and hoist are marked for {mass} or "
            "more.",
            spread=desk.length(made.spread), leg=desk.length(made.leg), angle=desk.number(SLING),
            mass=desk.mass(made.capacity)),
        say("Shackle the plumb legs to the two hangers, pins of {least} to {most}. Never a sling straight from the "
            "hook to a pin, nor round the box, nor through the handles.",
            least=desk.length(SHACKLE_PIN), most=desk.length(SHACKLE_HOLE - 1)),
        say("Lift it plumb until the pins are {height} above the ground; the hook needs {hook}.",
            height=desk.length(desk.mould.trunnions.reach + 100), hook=desk.length(made.hook)),
        say("Turn it by hand by half a turn, until the runners are up. Hold it so."),
        say("Lower it on {timbers}, higher than the bars. Slack off only when it stands.", timbers=_timbers(desk)),
    )  # fmt: skip


def _in_stand(desk: BuildDesk) -> tuple[str, ...]:
    """Turning without a hoist, in the stand that the mould was cast in."""
    say, dims, at = desk.say, desk.dims, desk.mould.trunnions
    made = place_trestles(dims, at)
    return (
        say("Both lock rods in. Knock out the wedges a little at a time, all round, and take the blocks away: the "
            "mould hangs on its pins, {height} above the ground.", height=desk.length(made.height)),
        say("One in front and one behind, hands on. Pull out the lock rods, turn it by half a turn until the runners "
            "are up, push the lock rods in again."),
        say("Blocks and pairs of wedges on {timbers}, {high} high in all. Drive the wedges until the pins lie free in "
            "their saddles.", timbers=_timbers(desk), high=desk.length(made.height - (dims.height - at.z))),
        say("Pull the lock rods, unbolt the ties, slide each trestle sideways off its pin."),
    )  # fmt: skip


# ---------------------------------------------------------------- drawing the core


def _drawing(desk: BuildDesk, views: Views) -> Page:
    say, dims, given = desk.say, desk.dims, desk.dims.spec.extraction
    gear, found, left = rough(dims), lever(desk.mould), (Side.LEFT, Side.FRONT)
    states = Sticking.easiest(dims), Sticking.worst(dims)
    forces = [pull(desk.mould, state).total for state in states]
    turned = [drive.up(force / screws(dims)) for drive, force in zip((slick(dims), gear), forces, strict=True)]
    let_go = release(desk.mould, states[1])
    parts: list[tuple[Key, str]] = [
        (PieceId(Role.JACK_SCREW), say("jack screw")),
        (PieceId(Role.BRIDGE_LEG, (Side.LEFT,)), say("leg")),
        (PieceId(Role.BRIDGE_LEG, (Side.RIGHT,)), say("leg")),
        (PieceId(Role.WASHER_PLATE), say("washer plate")),
        (PieceId(Role.FORCING_SCREW, left), say("forcing screw")),
        (PieceId(Role.PLATE_NUT, left), say("nut, welded")),
        (PieceId(Role.NUT_PLATE, left), say("nut plate")),
        (PieceId(Role.THRUST_PAD, left), say("pad on the rim")),
        (PieceId(Role.BASE_PLATE), say("base plate")),
        (PieceId(Role.ANCHOR_PLATE), say("anchor plate with nut")),
        (CONCRETE, say("concrete")),
        *([(PieceId(Role.BASE_FLANGE, (Side.LEFT,)), say("side base flange"))] if dims.has_bridge else []),
        (PieceId(Role.END_PLATE), say("end plate")),
    ]

    def up(picture: StepPicture, at: At) -> None:
        a, b = (at(views.drawing.at((60.0, 0.0, z))) for z in (dims.end_z * 0.75, dims.end_z * 0.4))
        picture.arrow(a, b, WIDE, 4.0, clear=True)
        if not dims.has_bridge:
            return
        low = -dims.bridge.leg_length - dims.base
        corners = ((-1, low), (1, low), (1, low - dims.stock.tube.side_mm), (-1, low - dims.stock.tube.side_mm))
        beam = [at(views.drawing.at((sign * dims.bridge.beam_length / 2, 0.0, z))) for sign, z in corners]
        picture.line(beam, close=True)

    section = labelled(
        views.drawing, tags_of(views.drawing, parts),
        say("Section through the upright mould with the bridge on.") if dims.has_bridge
        else say("Section through the upright mould and the two screws at the front."),
        width=150.0, height=78.0, room=34.0, draw=up,
    )  # fmt: skip
    return Page(
        say("Drawing the core"),
        (
            Pictures(((section, say("The screw draws core and base plate up. The panels and the concrete stay.")
                       if dims.has_bridge else
                       say("The screws press on the rim and push core and base plate up. The concrete stays.")),)),
            Actions(_drawing_steps(desk, dims.stroke / gear.thread.lead)),
            TableBlock(
                (say("Expected"), say("easy"), say("hard")),
                (
                    (say("pull that starts the core"), *(desk.force(force) for force in forces)),
                    (say("torque"), *(desk.torque(torque) for torque in turned)),
                    (say("hand force on the lever"), *(desk.force(torque / found.length) for torque in turned)),
                    (say("loose after"), "-", desk.length(let_go.shrinkage, 2)),
                ), ("1", "auto", "auto"), (1, 2),
            ),
            Prose(say("No agreed value exists for how concrete sticks to steel and grips it: the range is an "
                     "assumption. Torque tells force only within a factor of about two. Write down the torque of the "
                     "first cast."),
                  "note"),
            CautionBlock(say("Drawing"), (
                say("Stand beside the screw, not over it. Push the lever with an open hand; it may spring back."),
                say("Stop at {torque}, that is {hand} at the end of this lever. Read the next page. No longer lever.",
                    torque=desk.torque(found.torque), hand=desk.force(given.hand_force)),
                say("Draw the core until {age} h after casting, in the shade. A core warmer than the concrete is "
                    "stuck; cold water into the core shrinks it loose.", age=desk.number(latest_age(dims))),
                say("The torque is for a screw {thread} ({strength}): a weaker one may break.",
                    thread=gear.row.designation, strength=desk.class_name(class_text(dims.spec.steel.screw_class))),
            )),
        ),
    )  # fmt: skip


def _drawing_steps(desk: BuildDesk, turns: Ratio) -> tuple[str, ...]:
    """What is done to draw the core, in so many turns of a screw."""
    say, stroke, arm = desk.say, desk.length(desk.dims.stroke), desk.length(lever(desk.mould).length)
    if desk.dims.has_bridge:
        return (
            say("Take out all base bolts. Leave the corner bolts and the lid bolts tight: they hold the "
                "concrete down."),
            say("Set the bridge on, screw in, washer and nuts greased. The legs stand on the side flanges, over "
                "the "
                "gussets."),
            say("Turn the two locked nuts clockwise with a lever of {lever}, even pull, until the core is {stroke} "
                "up: {turns} turns. Then "
                "lift it off "
                "with a hoist, straight.", lever=arm, stroke=stroke,
                turns=desk.number(turns, 1)),
        )  # fmt: skip
    return (
        say("Take out all base bolts. Leave the corner bolts and the lid bolts tight."),
        say("Grease the four screws and turn them into their nuts by hand until they touch the pads."),
        say("Turn them in order, one, the one opposite, the other two, each by a quarter turn and no more, with a "
            "lever of {lever}. Go round again. Equal travel counts, not equal force.", lever=arm),
        say("After every full turn measure from base plate to rim at all four corners: bring the low ones up before "
            "you go on. Once the core is loose, keep them equal to {lead}: a tilted core rubs.",
            lead=desk.length(lead_allowed(desk.dims), 2)),
        say("Go on until the core is {stroke} up: {turns} turns of each. Then lift it off with a hoist, straight.",
            stroke=stroke, turns=desk.number(turns, 1)),
    )  # fmt: skip


def _stuck(desk: BuildDesk) -> Page:
    say = desk.say
    return Page(
        say("If the core does not move"),
        (
            Actions((
                say("Stop. Leave the load on and wait ten minutes: often it lets go late. Then an eighth of a turn "
                    "more."),
                say("Look for what still holds: a base bolt, paste over a notch or flange."),
                say("Tap the base plate over the core walls with a soft mallet, all round. Never the concrete, never "
                    "the "
                    "screw."),
                say("Let water or thin edible oil creep into the gap at the rim."),
                say("Blow air in behind the end plate gently, with a tyre pump only."),
                say("Young or cold concrete: wait some hours. Not for days: it shrinks on the core."),
                say("If the concrete lifts with the core, let down. Look at the corner bolts, tighten them, begin "
                    "again."),
                say("If the bridge bends, let down. Call whoever designed the mould.") if desk.dims.has_bridge
                else say("If the base plate bends, or the rim crumbles under a pad, turn back. Call whoever designed "
                         "the mould."),
            )),
            CautionBlock(say("Caution"), (
                say("The air of a compressor throws the core. It must not be used."),
                say("No hammer, crane or vehicle instead of the screw: the filter breaks, and people are hurt."),
            )),
            Prose(say("Afterwards, find the reason before the next cast: a bead or rust on the core, a core that is "
                     "wider at "
                     "its end plate, too little oil."),),
        ),
    )  # fmt: skip


def _opening(desk: BuildDesk) -> Page:
    say, mix = desk.say, desk.dims.spec.concrete
    lifted = rounded_up(max(mix.stripping_age, hours_until(mix.lifting_strength, mix)), 0)
    return Page(
        say("Opening the mould, finishing, curing"),
        (
            Actions((
                say("Take out the corner and lid bolts. Lift the lid off the tube first."),
                say("Take off the panels straight outwards: front, back, left, right. No bar between steel and "
                    "concrete: tap "
                    "the flange with a mallet."),
                say("The filter stays where it stands. Fill small holes with paste of cement and fine sand, rub it "
                    "smooth."),
                say("A hole through the wall, a crack, or the tube laid bare: the filter is scrap. Find the cause."),
                say("Pull the plugs. Blow through the tube: it must be free."),
                say("Keep it wet for {days} days: filled with water, wrapped in wet cloth, in the shade. Do not lift "
                    "it before it is {hours} hours old.", days=desk.number(FILLING_AGE), hours=desk.number(lifted)),
                say("Leak test: plug the tube, fill to the rim, mark the level, wait 24 hours. Damp spots may show; "
                    "drops may "
                    "not. (Common practice, no source.)"),
                say("A filter that drips: dry it, rub in paste of cement from inside, cure, test again. Then judge."),
            )),
            CautionBlock(say("Drinking water"), (
                say("A new filter does not yet clean: the sand must ripen for about a month. Disinfect the water "
                    "meanwhile, "
                    "and go on after."),
                say("Never push a hose on the outlet: it sucks the sand dry."),
                say("Local health rules decide whether the water may be drunk. Have it tested."),
            )),
        ),
    )  # fmt: skip
