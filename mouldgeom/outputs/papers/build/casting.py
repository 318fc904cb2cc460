"""Surface and release, dry fit, and casting one filter."""

from __future__ import annotations

import math
from typing import Final

from mouldgeom.filter.concrete import batch
from mouldgeom.filter.early_age import hours_until
from mouldgeom.model.turning_places import place_trestles
from mouldgeom.outputs.papers.build.blocks import (
    Actions,
    Block,
    Boxes,
    BuildChapter,
    Bullets,
    CautionBlock,
    CheckBlock,
    Page,
    Pictures,
    Prose,
    TableBlock,
)
from mouldgeom.outputs.papers.build.desk import BuildDesk
from mouldgeom.outputs.papers.build.picture import WIDE, At, StepPicture, Tag, labelled
from mouldgeom.outputs.papers.build.purpose import concrete_volume
from mouldgeom.outputs.papers.build.tube_page import tube_page
from mouldgeom.outputs.papers.build.views import Views
from mouldgeom.spec.fields import JointSeal
from mouldgeom.strength.hardening import TEMPERATURES
from mouldgeom.strength.overload import lever
from mouldgeom.strength.pull import rough
from mouldgeom.units import Celsius, Kg, KgPerM3, Litre, Mm, Ratio, rounded_up
from mouldgeom.words import joined

SPARE: Final[Ratio] = 1.1
"""Mixed beyond the volume of the filter, for what stays in buckets and on the ground (common practice, no source)."""
LAYER: Final[Mm] = 100.0
"""Height of one layer, at most (common practice, no source)."""
SAND_LOOSE: Final[KgPerM3] = 1600.0
"""Loose dry sand; a page on quantities of concrete."""
STONE_LOOSE: Final[KgPerM3] = 1450.0
"""Loose stone; the same page."""


def release(desk: BuildDesk) -> BuildChapter:
    """Surface, oil, rust."""
    say, stop = desk.say, lever(desk.mould)
    page = Page(
        say("Surface and release"),
        (
            Prose(say("Concrete copies every mark of the steel, and grips rust."), "lead"),
            Actions((
                say("Grind all welds on the concrete side level. Feel with your finger: no bead, no pit, no burr."),
                say("Fill small pits with weld and grind again. No putty, no paint on a concrete face."),
                say("Take off rust and scale with wire brush and fine paper, then wipe clean."),
                say("Paint the outside only: two thin coats. Keep paint off threads and concrete faces."),
                say("Paint large beside the nut that is turned: STOP {torque}, lever {lever}. Nothing breaks by hand "
                    "then.", torque=desk.torque(stop.torque), lever=desk.length(stop.length)),
                say("Rub edible oil on all concrete faces, thin, with a cloth. A film is enough; wipe off what runs."),
                say("Oil again before every cast, and at once when the mould is put away."),
            )),
            CautionBlock(say("Oil that touches the filter touches drinking water"), (
                say("Edible oil only: sunflower, palm, rape or the like. It parts concrete from steel as well as "
                    "mineral "
                    "oil or better."),
                say("Never old engine oil, diesel, or form oil with pentachlorophenol. They poison the water."),
                say("Oily rags can catch fire by themselves: hang them up to dry, or keep them under water."),
            )),
            CautionBlock(say("Paint and grinding"), (
                say("Mask against dust. Paint in the open air, away from sparks."),
            )),
        ),
    )  # fmt: skip
    return BuildChapter(say("Surface and release"), (page,))


def dry_fit(desk: BuildDesk) -> BuildChapter:
    """Assembly without concrete, and a trial of the extraction."""
    say, dims = desk.say, desk.dims
    turns = dims.stroke / rough(dims).thread.lead
    fit = Page(
        say("Dry fit"),
        (
            Prose(say("Put the whole mould together, empty, all bolts tight, on level ground."), "lead"),
            Boxes((
                say("Every bolt goes in by hand and comes out again."),
                say("The sticks pass, and do not pass, as they must: at the rim and at the end plate, on four sides."),
                say("No light shows at the joints. A strip of sheet of {leak} goes in nowhere.",
                    leak=desk.length(dims.spec.shop.allowed_leak, 2)),
                say("The tube slides through the hole of the lid and stands straight."),
                say("The upper edges of the four panels are level with each other."),
            )),
            CheckBlock(say("Check now"), tuple(desk.check(code) for code in (
                *(f"gap-{side}-{place}" for side in ("front", "back", "left", "right") for place in ("rim", "end")),
                "joint-corner", "joint-base", "joint-nose", "floor",
            ))),
        ),
    )  # fmt: skip
    trial = Page(
        say("Trial extraction, empty"),
        (
            Prose(say("Do once without concrete what will be done after every cast."), "lead"),
            Actions((
                say("Turn the empty mould ({mass}) upright, the end plate side down, as the pages on turning say.",
                    mass=desk.mass(desk.masses.empty.mass)),
                say("Take out the base bolts. Leave the corner bolts tight."),
                *_gear_on(desk),
                say("Turn the two locked nuts clockwise. The core must rise {stroke} ({turns} turns) straight, without "
                    "a rub or a scratch.",
                    stroke=desk.length(dims.stroke), turns=desk.number(turns, 1))
                if dims.has_bridge else
                say("Turn the screws in order, each by a quarter turn. The core must rise {stroke} ({turns} turns) "
                    "straight, without a rub or a scratch.",
                    stroke=desk.length(dims.stroke), turns=desk.number(turns, 1)),
                say("Lift the core off. Take off lid, front, back, left and right panel in this order."),
            )),
            Prose(say("This must be seen"), "lead"),
            Boxes((
                *((say("The screw turns by hand over the whole stroke."),
                   say("Both legs stand firm; the beams do not tilt."))
                  if dims.has_bridge else
                  (say("Every screw turns by hand over the whole stroke."),
                   say("Every pad stays on the rim while the base plate leaves it."))),
                say("The core rises evenly on all four sides."),
                say("Each panel comes straight off by hand. The front panel passes the tube end."),
                say("After it is bolted together again, the sticks still fit."),
            )),
            CautionBlock(say("Caution"), (
                say("The empty mould tips easily: hold it, or wedge it. Turn and lift with a hoist or enough people."),
                say("Never reach below a raised core. Keep fingers out of the joints."),
            )),
        ),
    )  # fmt: skip
    return BuildChapter(say("Dry fit and trial"), (fit, trial))


def _gear_on(desk: BuildDesk) -> tuple[str, ...]:
    """How the gear is set on the empty mould; without concrete its pads stand on packing."""
    say = desk.say
    if desk.dims.has_bridge:
        return (
            say("Set the bridge on: the legs pass the notches and stand on the side flanges, over the gussets."),
            say("Screw the jack screw through the bridge into the nut of the anchor plate. Washer and greased "
                "nuts above."),
        )  # fmt: skip
    return (
        say("Set four posts of wood under the pads, from the ground up: they stand for the concrete rim."),
        say("Screw the four greased screws into their nuts until they touch the pads."),
    )


# ---------------------------------------------------------------- casting


def casting(desk: BuildDesk, views: Views) -> BuildChapter:
    """Mix, placing, curing."""
    say = desk.say
    return BuildChapter(say("Casting"), (_mix(desk), tube_page(desk, views), _placing(desk, views), _hardening(desk)))


def cement_caution(desk: BuildDesk) -> CautionBlock:
    """Cautions of cement and dust.

    Source: HSE CIS26 (burns); OSHA 29 CFR 1926.1153 (silica).
    """
    say = desk.say
    return CautionBlock(say("Cement"), (
        say("Wet cement burns skin and eyes, and you feel it late. Gloves, boots, goggles. Wash at once with much "
            "water."),
        say("Do not kneel in it. Take off what is soaked."),
        say("Dust of cement, sand and stone harms the lungs: mask, and pour low and slowly."),
    ))  # fmt: skip


def _mix(desk: BuildDesk) -> Page:
    say, dims = desk.say, desk.dims
    mix = dims.spec.concrete
    volume: Litre = concrete_volume(desk) * SPARE
    made = batch(dims.spec, volume)
    cement, sand, stone = made.buckets

    def row(name: str, mass: Kg, litres: Litre, buckets: Ratio | None) -> tuple[str, ...]:
        shown = desk.number(buckets, 1) if buckets is not None else "–"
        cells = (desk.mass(mass, 1 if mass < 100 else 0), desk.volume(litres))
        return name, *(cell.replace(" / ", "\n") for cell in cells), shown

    bucket = say("Buckets of {size}", size=desk.volume(made.bucket)).replace(" / ", "\n")
    rows = (
        row(say("cement ({bags} bags of {bag})", bags=desk.number(made.bags, 2), bag=desk.mass(mix.cement_bag)),
            made.cement, made.cement_volume, cement),
        row(say("sand, dry, about"), made.sand * SAND_LOOSE / 1000, made.sand, sand),
        row(say("stone, about"), made.stone * STONE_LOOSE / 1000, made.stone, stone),
        row(say("water, at most"), made.water, made.water, None),
    )  # fmt: skip
    return Page(
        say("The concrete for one filter"),
        (
            TableBlock((say("What"), say("Mass"), say("Volume"), bucket),
                  rows, ("1", "auto", "auto", "auto"), (1, 2, 3)),
            Prose(say("For {volume}: one filter and a tenth more for what is lost. By loose volume, one part of "
                     "cement, {sand} of sand, {stone} of stone.", volume=desk.volume(volume),
                     sand=desk.number(mix.mix_sand, 1), stone=desk.number(mix.mix_stone, 1)), "note"),
            Actions((
                say("Sieve the stone: nothing larger than {stone}. A larger stone bridges the wall and leaves a hole.",
                    stone=desk.length(mix.largest_stone)),
                say("Clean sand and stone only: no soil, no salt, no leaves. Cement fresh and without lumps."),
                say("Fill the buckets level. Mix dry until the colour is even, then add water a little at a time."),
                say("Damp sand brings water along: add less. More water than the table makes weak, leaking walls."),
                say("Squeezed in a gloved hand, it keeps its shape and leaves the glove wet. Then it is right."),
                say("Mix everything before you begin to fill. Place all of it within an hour, in one go."),
            )),
            cement_caution(desk),
        ),
    )  # fmt: skip


def _sealed(desk: BuildDesk) -> tuple[str, ...]:
    """Where tape or clay goes before the mould is filled."""
    say, seams = desk.say, desk.sealed
    if not seams:
        return ()
    named = joined(seam.name for seam in seams)
    if desk.dims.spec.shop.joint_seal is JointSeal.TAPE:
        return (
            say("Before oiling, stick tape along these joints on the concrete side, smooth: {seams}.", seams=named),
        )
    return (say("Press clay into these joints from outside, all along: {seams}.", seams=named),)


def _set_up(desk: BuildDesk) -> tuple[str, ...]:
    """Where the mould stands while it is filled."""
    say, at = desk.say, desk.mould.trunnions
    if at.hoisted:
        return (say("Level the runners and wedge them."),)
    made = place_trestles(desk.dims, at)
    under = made.height - at.z - desk.dims.base - desk.dims.stock.tube.side_mm
    return (
        say("Put the mould together between the trestles of the stand, the base plate on blocks and pairs of wedges "
            "under the runners, {under} high in all: the pins lie in the saddles and bear nothing yet. Tie bolts "
            "tight, runners level, both lock rods in.", under=desk.length(under)),
    )  # fmt: skip


def _placing(desk: BuildDesk, views: Views) -> Page:
    say, dims = desk.say, desk.dims
    mix = dims.spec.concrete
    layers = math.ceil(dims.height / LAYER)
    rise = dims.height / layers

    def levels(picture: StepPicture, at: At) -> None:
        y = dims.depth / 2 + dims.shell + dims.stock.tube.side_mm + 25.0
        for number in range(1, layers):
            a, b = (views.mould.at((0.0, end, number * rise)) for end in (-dims.depth / 2, dims.depth / 2))
            picture.line((at(a), at(b)), dash=(1.6, 1.0), colour="#000", clear=False)
        for number in range(1, layers + 1):
            spot = at(views.mould.at((0.0, y, (number - 0.5) * rise)))
            picture.text((spot[0], spot[1] + 1.3), str(number), anchor="middle", bold=True)

    nose = dims.nose
    whole = labelled(
        views.mould, (), say("The mould filled in layers, from below."), width=72.0, height=92.0, draw=levels
    )
    box = (nose.tip_y - 25.0, nose.low_z - 25.0, dims.depth / -2 + 60.0, nose.lid_z + 70.0)
    spot = views.mould.at
    tags = [
        Tag(say("lid, put on last"), spot((0.0, (nose.tip_y + nose.root_y) / 2 - 12, nose.lid_z + 1.5))),
        Tag(say("end of the tube, plugged"), spot((0.0, dims.tube.leg_y, dims.tube.end_z))),
        Tag(say("here air is caught"), spot((0.0, nose.tip_y + 12, nose.lid_z - 4))),
        Tag(say("tube"), spot((0.0, dims.tube.riser_y, nose.lid_z - 30))),
        Tag(say("core"), spot((0.0, -dims.core_half_y(nose.lid_z + 30) + 1, nose.lid_z + 30))),
    ]
    x0, y0 = spot((0.0, box[0], box[1]))
    x1, y1 = spot((0.0, box[2], box[3]))

    def caught(picture: StepPicture, at: At) -> None:
        a, b = (at(spot((0.0, y, nose.lid_z - 3.0))) for y in (nose.tip_y + 4, nose.root_y - 4))
        picture.line((a, b), WIDE, dash=(1.0, 1.0), colour="#fff")

    near = labelled(
        views.mould, tags, say("Section of the nose in the mould."), width=98.0, height=92.0, room=30.0, side="right",
        draw=caught, box=(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)),
    )  # fmt: skip
    rate = (
        say("Fill it within {minutes} minutes: the mould is made for that.", minutes=60)
        if mix.pressure == "liquid head"
        else say("Let the concrete rise no faster than {rate} m an hour: the mould is made for no more.",
                 rate=desk.number(mix.rate_of_rise, 1))
    )  # fmt: skip
    blocks: tuple[Block, ...] = (
        Pictures(((whole, say("Filled in {count} layers of {rise}.", count=layers, rise=desk.length(rise))),
                  (near, say("The nose. Its lid is bolted on only when the nose is full.")))),
        Actions((
            *_sealed(desk),
            *_set_up(desk),
            say("Oil all concrete faces."),
            say("The tube is plugged at both ends and held by its blocks and wire, as the page before says; everywhere "
                "else it stays {cover} clear of steel. Leave the nose lid off.",
                cover=desk.length(dims.spec.tube.cover)),
            say("The outlet end of the tube must lie flush with the outside of the lid. If it stands out, the front "
                "panel catches it when it comes off. Push nothing on it afterwards: a longer spout draws the water "
                "down to its own end."),
            say("Fill on all four sides in turn, so that the core is not pushed over. Keep the tube straight."),
            say("Tamp each layer with a rod into the one below, some 25 times a side; tap the panels with a mallet. "
                "A small "
                "vibrator: a few seconds a place."),
            say("When the concrete stands in the nose, tamp it full to its edge. Only now bolt the lid on, over "
                "the tube. "
                "So no air is caught."),
            rate,
            say("Fill to the upper edge of the panels. Strike it off level: it is the underside of the filter."),
            say("Cover with wet cloth and sheet. Shade it. Do not move it for {hours} hours at {warmth}; when it is "
                "colder, as long as the next page says.", hours=desk.number(mix.stripping_age),
                warmth=_warmth(desk, mix.curing_temperature)),
        )),
        Bullets((say("Paste that runs out at a joint: press in clay or rag from outside. Note the place."),)),
        CautionBlock(say("Caution"), (
            say("Wet cement burns: gloves, boots, goggles. No ladder against the mould, stand on something firm."),
        )),
    )  # fmt: skip
    return Page(say("Filling the mould"), blocks)


def _warmth(desk: BuildDesk, temperature: Celsius) -> str:
    return f"{desk.number(temperature)}\N{NO-BREAK SPACE}°C"


def _hardening(desk: BuildDesk) -> Page:
    say, mix = desk.say, desk.dims.spec.concrete
    strengths = (mix.turning_strength, mix.drawing_strength, mix.lifting_strength)
    rows = tuple(
        (_warmth(desk, warmth), *(desk.number(rounded_up(hours_until(f, mix, warmth), 0)) for f in strengths))
        for warmth in TEMPERATURES
    )
    needed = (f"{desk.number(f, 0 if f.is_integer() else 1)}\N{NO-BREAK SPACE}MPa" for f in strengths)
    heads = (say("Turn the mould"), say("Draw the core"), say("Lift the filter"))
    return Page(
        say("How long the concrete hardens"),
        (
            Prose(say("Hours to wait once the mould is full, by the temperature of the concrete."), "lead"),
            TableBlock((say("Temperature"), *(f"{head}\n{f}" for head, f in zip(heads, needed, strict=True))),
                       rows, ("1", "1", "1", "1"), (1, 2, 3)),
            Prose(say("Reckoned for cement {cement}. Where no class is printed on the bag, it is taken as slow.",
                      cement=mix.cement)
                  if mix.cement != "any"
                  else say("Reckoned for slow cement, as its class was not given."), "note"),
            Actions((
                say("Hang a thermometer under the cover, in the shade. Where day and night differ, take the row of the "
                    "colder."),
                say("Keep it covered and wet all the while: concrete that dries out stops hardening."),
                say("Below 5 °C, do not cast. Concrete that freezes in its first days is scrap."),
                say("Fill three small cylinders of the same concrete and keep them beside the mould. Have one broken "
                    "before the first core is drawn."),
                say("Draw on the first day that the table allows: later the concrete grips the core harder."),
            )),
            CautionBlock(say("Young concrete"), (
                say("The table is reckoned. Concrete of one day may have half of that strength, or twice."),
                say("Scratch it with a nail: if it comes off in crumbs, wait another day. Too early, the walls tear or "
                    "the filter falls."),
            )),
        ),
    )  # fmt: skip
