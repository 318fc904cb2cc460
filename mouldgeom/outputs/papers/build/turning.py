"""Turning the filled mould, drawing the core, taking the panels off, finishing, curing, testing, keeping."""

from __future__ import annotations

from mouldgeom.drawing.looking import CONCRETE, Key
from mouldgeom.filter.concrete import FILLING_AGE
from mouldgeom.filter.early_age import hours_until
from mouldgeom.identity import BOLTS, BRIDGE, FOOT, FORCING, PANELS, PieceId, Role, Side
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
from mouldgeom.strength.pull import Sticking, latest_age, pull, release, rough, slick
from mouldgeom.strength.thrust import lead_allowed
from mouldgeom.strength.turning import PUSH, Turning, turning
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
                say("Jack screw: change rod and nut when the play is a quarter of the pitch ({play}).",
                    play=desk.length(rough(desk.dims).thread.pitch / 4, 2)),
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
        for load, item in found.items() if load in (*PANELS.values(), FOOT, BRIDGE, FORCING, BOLTS)
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
    say, dims = desk.say, desk.dims
    found: Turning = turning(desk.mould, desk.masses.filled)
    hoist = dims.spec.handling.hoist_capacity
    edge = found.edge
    over = say("over the ends of the runners") if edge.side.crosswise else say("over the back runner")
    enough = found.governing.use <= 1
    actions = [
        say("Turn it when the concrete is {hours} hours old, all bolts tight, the ground level and clear.",
            hours=desk.number(dims.spec.concrete.stripping_age)),
        say("Tip it {over}, never to the front, where the nose is. Block that edge: it must not slide.", over=over),
        say("It balances at {angle} degrees. From there it falls by itself: hold it back with ropes before you get "
            "there.",
            angle=desk.number(edge.angle)),
        say("Lay it down on planks and old tyres. Check the bolts."),
        say("Raise it from its side by the end with the runners, until it stands on the filter's underside, runners "
            "up. Hold "
            "it back before it stands."),
    ]  # fmt: skip
    if enough:
        who = say(
            "{people} people can do it, each with no more than {push}, with ropes.",
            people=found.people,
            push=desk.force(PUSH),
        )
    elif hoist >= desk.masses.filled.mass:
        who = say(
            "It is too much for people alone: use a hoist for {mass} or more, with slings.",
            mass=desk.mass(desk.masses.filled.mass * 1.3),
        )
    elif not hoist:
        who = say("It is too much for people alone, and there is no hoist. Get one for {mass} or more.",
                  mass=desk.mass(desk.masses.filled.mass * 1.3))  # fmt: skip
    else:
        who = say("It is too much for people alone, and for the hoist on site. Get one for {mass} or more.",
                  mass=desk.mass(desk.masses.filled.mass * 1.3))  # fmt: skip
    stages = TableBlock(
        (say("Moment"), say("Force, all together"), say("What {people} people may give", people=found.people)),
        tuple(
            (words, desk.force(s.force), desk.force(s.limit))
            for words, s in zip(
                (say("start: push at the upper edge"), say("greatest push on the way"), say("held back before it lies"),
                 say("raised from its side"), say("held back before it stands")), found.stages, strict=True,
            )
        ), ("1", "auto", "auto"), (1, 2),
    )  # fmt: skip
    return Page(
        say("Turning the filled mould"),
        (
            Prose(say("The filled mould weighs {mass}. Turning it is a lifting operation, not a push.",
                     mass=desk.mass(desk.masses.filled.mass)), "lead"),
            Pictures(((turning_sketch(desk, found),
                       say("The ring is the centre of gravity: {height} over the ground, {offset} from the edge.",
                           height=desk.length(edge.height), offset=desk.length(edge.offset))),)),
            Prose(who, "lead"),
            Actions(tuple(actions)),
            stages,
            CautionBlock(say("Turning"), (
                say("Nobody below it, in front of it or downhill of it. One person gives the word."),
                say("With a hoist: slings round the box under a line of stiffeners, choked, corners padded, never "
                    "through "
                    "the handles. A trained person slings."),
            )),
        ),
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
        width=150.0, height=98.0, room=34.0, draw=up,
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
