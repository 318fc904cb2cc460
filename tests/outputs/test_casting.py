"""Mould, concrete and tube in one frame, as another reader finds them in the STEP file, and as an assembly."""

from __future__ import annotations

import math
from pathlib import Path

import cadquery as cq
import pytest
from steputils import p21
from test_step import Instance, read_back

from mouldgeom.checks.clashes import OVERLAP_NOISE
from mouldgeom.drawing.colours import CONCRETE_COLOUR, GROUP_COLOURS, TUBE_COLOUR
from mouldgeom.identity import BOLTS, BOX, FRONT_PANEL, MOULD, NOSE, PieceId, Role
from mouldgeom.model.assembly import Mould
from mouldgeom.model.shapes import ConcreteFace, Plate
from mouldgeom.outputs import step
from mouldgeom.outputs.casting import UNMOVED, casting_assembly, numbered
from mouldgeom.outputs.job import Job, make_kind
from mouldgeom.outputs.kinds import SOLID
from mouldgeom.solids import SolidMould, common_volume, concrete_body

pytestmark = pytest.mark.slow


def made(solids: SolidMould) -> dict[str, bytes]:
    """Files of the kind by their paths."""
    job = Job(solids.mould, kinds=(SOLID,))
    job.__dict__["solids"] = solids
    return {file.path: file.content for file in make_kind(job, SOLID)}


@pytest.fixture(scope="module")
def content(hill_solids: SolidMould) -> bytes:
    return made(hill_solids)["solid/casting.step"]


@pytest.fixture(scope="module")
def found(content: bytes, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Instance]:
    """Every instance of the file by its name."""
    root, instances = read_back(content, tmp_path_factory.mktemp("casting"))
    assert root == "casting"
    assert len({one.name for one in instances}) == len(instances)
    return {one.name: one for one in instances}


def standing(one: Instance) -> cq.Shape:
    """The shape of an instance where the file puts it."""
    return one.shape.moved(cq.Location(step._location(one.placement)))


# ---------------------------------------------------------------- the file


def test_the_same_bytes_again(content: bytes, hill: Mould) -> None:
    """From solids made anew."""
    assert made(SolidMould(hill))["solid/casting.step"] == content


def test_another_parser_finds_every_name(content: bytes, hill: Mould) -> None:
    file = p21.loads(content.decode("ascii"))
    entities = [one.entity for one in file if not p21.is_complex_entity_instance(one)]
    products = [entity.params[0] for entity in entities if entity.name == "PRODUCT"]
    assert products == ["casting", *(part.mark for part in hill.parts), "concrete", "tube"]
    usages = [entity.params[1] for entity in entities if entity.name == "NEXT_ASSEMBLY_USAGE_OCCURRENCE"]
    assert usages == [*(name for name, _ in numbered(hill)), "concrete.1", "tube.1"]
    solids = [entity for entity in entities if entity.name == "MANIFOLD_SOLID_BREP"]
    assert len(solids) == len(hill.parts) + 2


def test_mould_and_concrete_are_those_of_the_other_files(hill_solids: SolidMould, found: dict[str, Instance]) -> None:
    for name, piece in numbered(hill_solids.mould):
        for row, expected in zip(found[name].placement, piece.placement.matrix, strict=True):
            assert row == pytest.approx(expected, abs=1e-9)
        assert found[name].colour == pytest.approx(GROUP_COLOURS[piece.part.group], abs=0.01)
    for name, colour in (("concrete.1", CONCRETE_COLOUR), ("tube.1", TUBE_COLOUR)):
        assert found[name].colour == pytest.approx(colour, abs=0.01)
        assert found[name].placement == UNMOVED
    assert found["concrete.1"].shape.Volume() == pytest.approx(hill_solids.upright_body.Volume(), rel=1e-9)


def test_concrete_fills_the_mould_and_cuts_into_no_steel(hill: Mould, found: dict[str, Instance]) -> None:
    """Every plate that touches concrete does touch it, and shares no volume with it; upside down it would."""
    concrete = standing(found["concrete.1"])
    upset = concrete.rotate(cq.Vector(0, 0, 0), cq.Vector(0, 1, 0), 180).translate(cq.Vector(0, 0, hill.dims.height))
    backing = [
        name
        for name, piece in numbered(hill)
        if isinstance(piece.part, Plate) and piece.part.concrete_face is not ConcreteFace.NONE
    ]
    assert len(backing) > 12
    for name in backing:
        plate = standing(found[name])
        assert common_volume(concrete, plate) <= OVERLAP_NOISE
        assert concrete.distance(plate) < 1e-3
    assert sum(common_volume(upset, standing(found[name])) for name in backing) > 1e5


def test_the_tube_fills_its_bore(example_solids: SolidMould, tmp_path: Path) -> None:
    """All of the bore but a wedge at the inlet, where the tube is cut square and the core wall has draft.

    The ring of the tube has the same axis as the rod that is left out of the concrete: by Pappus its share of the
    volume is that of their sections.  The wedge is as high in the mean as on the axis.
    """
    _, instances = read_back(made(example_solids)["solid/casting.step"], tmp_path)
    read = {one.name: standing(one) for one in instances}
    concrete, tube, dims = read["concrete.1"], read["tube.1"], example_solids.dims
    assert tube.isValid()
    whole = concrete_body(dims, tube_bore=False)
    section = math.pi / 4 * (dims.tube.outside**2 - dims.tube.bore**2)
    share = 1 - (dims.tube.bore / dims.tube.outside) ** 2
    wedge = section * dims.tube.outside / 2 * dims.taper
    filled = share * (whole.Volume() - concrete.Volume()) - wedge
    assert common_volume(whole, tube) == pytest.approx(filled, rel=1e-5)
    assert common_volume(concrete, tube) <= OVERLAP_NOISE
    assert tube.Volume() == pytest.approx(section * (dims.tube.length - dims.tube.outside / 2 * dims.taper), rel=1e-5)
    for name, piece in numbered(example_solids.mould):
        if piece.id.role in (Role.NOSE_LID, Role.CORE_WALL):
            assert common_volume(tube, read[name]) <= OVERLAP_NOISE


# ---------------------------------------------------------------- the assembly


@pytest.fixture(scope="module")
def assembly(hill_solids: SolidMould) -> cq.Assembly:
    return casting_assembly(hill_solids)


def test_the_assembly_is_all_that_is_in_the_file(assembly: cq.Assembly, hill_solids: SolidMould) -> None:
    shapes = [*(piece.shape for piece in hill_solids.pieces), hill_solids.body, hill_solids.hollow_tube]
    whole = assembly.toCompound()
    assert len(whole.Solids()) == len(shapes)
    assert whole.Volume() == pytest.approx(sum(shape.Volume() for shape in shapes), rel=1e-9)
    boxes = [shape.BoundingBox() for shape in shapes]
    box = whole.BoundingBox()
    for low, high in (("xmin", "xmax"), ("ymin", "ymax"), ("zmin", "zmax")):
        assert getattr(box, low) == pytest.approx(min(getattr(one, low) for one in boxes), abs=1e-3)
        assert getattr(box, high) == pytest.approx(max(getattr(one, high) for one in boxes), abs=1e-3)


def test_names_colours_and_shared_shapes(assembly: cq.Assembly, hill_solids: SolidMould) -> None:
    nodes = [node for _, node in assembly.traverse()]
    by_name = {node.name: node for node in nodes}
    assert len(by_name) == len(nodes) == len(assembly.objects)
    labels: dict[PieceId, str] = {}
    for name, piece in numbered(hill_solids.mould):
        node = by_name[name]
        labels[piece.id] = node.metadata["label"]
        assert node.obj is hill_solids.shapes[piece.mark]
        assert node.color is not None
        assert node.color.toTuple() == pytest.approx((*GROUP_COLOURS[piece.part.group], 1.0), abs=1e-6)
    assert labels == {piece.id: piece.name for piece in hill_solids.mould.pieces()}
    for name, colour in (("concrete", CONCRETE_COLOUR), ("tube", TUBE_COLOUR)):
        color = by_name[name].color
        assert color is not None
        assert color.toTuple() == pytest.approx((*colour, 1.0), abs=1e-6)


def test_the_tree_is_that_of_the_units(assembly: cq.Assembly, hill: Mould) -> None:
    def line(node: cq.Assembly) -> list[str]:
        return [node.name, *(line(node.parent) if node.parent else ())]

    parents = {node.name: line(node)[1:] for _, node in assembly.traverse()}
    for name, piece in numbered(hill):
        assert parents[name] == [*(unit.name for unit in piece.unit.line), "casting"]
    nose = next(name for name, piece in numbered(hill) if piece.id.role is Role.NOSE_FRONT)
    assert parents[nose] == [*(unit.name for unit in (NOSE, FRONT_PANEL, BOX, MOULD)), "casting"]
    assert parents[BOLTS.name] == [MOULD.name, "casting"]
    assert parents["concrete"] == parents["tube"] == ["casting"]
