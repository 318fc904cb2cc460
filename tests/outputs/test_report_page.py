"""The report page without a browser: one file that loads nothing, its model, its colours, its words, its links."""

from __future__ import annotations

import ast
import base64
import gzip
import importlib.metadata
import io
import json
import re
from collections import Counter
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from conftest import ROOT, Run
from numpy.typing import NDArray

from mouldgeom.checks.case import Case
from mouldgeom.checks.walls import body_field, check_walls
from mouldgeom.errors import GeometryError, InputError, MouldError
from mouldgeom.fabrication.objective import RELATIVE, WholeCost
from mouldgeom.geometry.placement import add
from mouldgeom.identity import PieceId, Role
from mouldgeom.model.assembly import Mould
from mouldgeom.model.mesh import Mesh, make_mesh, triangle_normals
from mouldgeom.outputs.page import library
from mouldgeom.outputs.page.explode import moves
from mouldgeom.outputs.page.glb import glb_bytes
from mouldgeom.outputs.page.html import data_script, figures, size_words
from mouldgeom.outputs.page.page import page_bytes
from mouldgeom.outputs.page.scene import CONCRETE, Scene, page_scene
from mouldgeom.outputs.page.wall_colours import LONGEST, ramp, scale_of, subdivide, valued_faces, wall_values
from mouldgeom.solids import SolidMould, body_mesh
from mouldgeom.strength.steps import Chapter, ResultTable, Step
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import LANGUAGES, Words, _catalogue

pytestmark = pytest.mark.slow(seconds=20)

SHEET = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><rect width="9" height="9"/></svg>'
NASTY = "a < b & </script><script>document.title='taken'</script>"
CHAPTER = Chapter(
    "Pressure",
    ("The concrete stands as a liquid.",),
    (Step("pressure at the foot", "p = gamma h", NASTY, 22.15, "kPa", "rule of the trade"),),
    (ResultTable("Panels", ("panel", "moment, N mm/mm"), (("front", 1234.5), ("side", 0.0)), "by strips"),),
    (Verdict("12.1", "stress", 90.0, 80.0, Operator.AT_MOST, "MPa", "front panel", "a rule"),),
    ("Keep hands out.",),
)
RESULTS = (
    Verdict("1.1", "first", 50.0, 45.0, Operator.AT_LEAST, "mm", "here", "own rule"),
    Verdict("9.9", "second", float("inf"), 1.0, Operator.AT_MOST, "mm", "there", "own rule"),
)
FILES = {"spec.toml": b"a = 1\n", "flat/A1.dxf": b"0\n", "flat/A10.dxf": b"0\n", "flat/A2.dxf": b"0\n", "x y#.txt": b""}
VOID = {"meta", "link", "img", "input", "br", "hr"}


class Reader(HTMLParser):
    """Elements with their attributes; fails where tags do not match."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        assert len(set(names)) == len(names), f"<{tag}> has an attribute twice: {names}"
        self.elements.append((tag, {name: value or "" for name, value in attrs}))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag, f"</{tag}> at {self.getpos()}"

    def handle_data(self, data: str) -> None:
        if not {"script", "style"} & set(self.open):
            self.text.append(data)

    def all(self, tag: str) -> list[dict[str, str]]:
        return [attributes for name, attributes in self.elements if name == tag]


def read(page: bytes) -> Reader:
    reader = Reader()
    reader.feed(page.decode("utf-8"))
    reader.close()
    assert reader.open == []
    return reader


@pytest.fixture(scope="module")
def scene(hill_solids: SolidMould) -> Scene:
    return page_scene(hill_solids)


@pytest.fixture(scope="module")
def page(hill_solids: SolidMould) -> bytes:
    more: dict[str, Any] = {"chapters": (CHAPTER,), "cautions": ("Mind.",), "files": FILES}
    return page_bytes(hill_solids, RESULTS, Words(), drawings=[("A sheet", SHEET)] * 3, **more)


@pytest.fixture(scope="module")
def reader(page: bytes) -> Reader:
    return read(page)


# ---------------------------------------------------------------- one file


def test_same_bytes_in_another_process(hill_solids: SolidMould, run: Run, tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from mouldgeom import load\n"
        "from mouldgeom.model.assembly import build; from mouldgeom.words import Words\n"
        "from mouldgeom.outputs.page.page import page_bytes; from mouldgeom.solids import SolidMould\n"
        "page = page_bytes(SolidMould(build(load('hill-example'))), (), Words(), drawings=[('A', '<svg/>')])\n"
        "Path(sys.argv[1]).write_bytes(page)"
    )
    done = run("-c", code, tmp_path / "page.html", env={"PYTHONHASHSEED": "12345", "TZ": "Asia/Kathmandu"})
    assert done.returncode == 0, done.stderr
    here = page_bytes(hill_solids, (), Words(), drawings=[("A", "<svg/>")])
    assert here == (tmp_path / "page.html").read_bytes()


def test_loads_nothing_from_outside(reader: Reader) -> None:
    for tag, attributes in reader.elements:
        assert tag not in {"link", "iframe", "object", "embed", "base", "form"}
        assert tag != "script" or "src" not in attributes
        assert attributes.get("src", "data:").startswith("data:")
        assert not any(name.startswith("on") for name in attributes)
        link = attributes.get("href", "#")
        assert link.startswith(("#", "data:")) or link.replace("%20", " ").replace("%23", "#") in FILES
    (policy,) = [m["content"] for m in reader.all("meta") if "content" in m and "default-src" in m["content"]]
    assert policy.startswith("default-src 'none'; script-src 'sha256-")
    assert "http" not in policy


def test_size(page: bytes) -> None:
    assert len(page) < 1_500_000  # leaves 1.5 MB for drawings and the calculation


def test_drawings_are_packed(page: bytes) -> None:
    found = re.findall(rb'<script type="application/gzip">(.*?)</script>', page)
    assert [gzip.decompress(base64.b64decode(one)).decode() for one in found] == [SHEET] * 3


def test_the_library_and_its_licence(page: bytes) -> None:
    script = library.three_script()
    assert script.startswith("/**\n * @license")
    assert all(
        f"t.{name}=" in script for name in ("WebGLRenderer", "OrthographicCamera", "ShaderMaterial", "Raycaster")
    )
    assert re.findall(r'const \w+="(\d+)"', script)[:1] == [library.RELEASE]
    assert "</script" not in script.lower()
    text = page.decode("utf-8")
    assert script in text
    assert library.LICENCE in text
    assert library.LICENCE_TEXT in text
    assert "SIL Open Font License" in text


def test_the_package_of_the_library_is_the_one_declared() -> None:
    """Version, file and licence by what was installed; the version by the project file too, where it is exact."""
    name = library.PACKAGE.replace("_", "-")
    assert importlib.metadata.version(name) == library.RELEASE
    assert f'"{name}=={library.RELEASE}",' in (ROOT / "pyproject.toml").read_text("utf-8")
    listed = {str(file): file for file in importlib.metadata.files(name) or ()}
    sealed = listed[f"{library.PACKAGE}/{library.PATH}"].hash
    assert sealed is not None
    assert base64.urlsafe_b64decode(f"{sealed.value}=").hex() == library.SHA256
    (licence,) = (file.read_text() for path, file in listed.items() if path.endswith("LICENSE"))
    assert licence.startswith("The MIT License")
    assert "2010-2021 three.js authors" in licence
    assert library.LICENCE_TEXT in " ".join(licence.split())


def test_a_package_without_the_library_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(library, "PACKAGE", "jupyter_nothing")
    with pytest.raises(MouldError, match=r"needs three\.js from jupyter_nothing, which is not installed"):
        library.three_script.__wrapped__()


def test_another_script_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(library, "PATH", "static/r123/three.min.js")
    with pytest.raises(MouldError, match=r"is not the three\.js expected: its SHA-256 is [0-9a-f]{64}, not 52ced813"):
        library.three_script.__wrapped__()


# ---------------------------------------------------------------- what is read


def test_names_are_unique_and_references_resolve(reader: Reader) -> None:
    names = Counter(a["id"] for _, a in reader.elements if "id" in a)
    assert max(names.values()) == 1
    for _, a in reader.elements:
        assert a.get("href", "#summary")[1:] in names or not a.get("href", "#").startswith("#")
        for reference in ("aria-labelledby", "aria-describedby", "list"):
            assert a.get(reference, "summary") in names
    assert reader.all("html") == [{"lang": "en"}]
    assert all(a.get("alt") and a["width"] for a in reader.all("img"))
    assert all(a.get("aria-label") or a["type"] == "checkbox" or "filter" in a["class"] for a in reader.all("input"))


def test_failing_first(page: bytes) -> None:
    text = page.decode("utf-8")
    checks = text[text.index('id="checks"') : text.index('id="parts"')]
    assert checks.index("9.9") < checks.index("1.1")
    assert "1 of 2 checks fail." in text
    assert "without limit mm" in checks
    assert "&gt;" not in checks


def test_nothing_given_breaks_out(page: bytes) -> None:
    text = page.decode("utf-8")
    assert "document.title='taken'&lt;/script&gt;" in text
    assert "<script>document.title" not in text
    assert json.loads(re.sub(r"</?script[^>]*>", "", data_script("x", {"a": NASTY}))) == {"a": NASTY}


def test_the_calculation_is_shown(page: bytes, reader: Reader) -> None:
    text = "".join(reader.text)
    for shown in ("p = gamma h", "22.15 kPa", "rule of the trade", "1,234", "by strips", "≤ 80 MPa", "Keep hands out."):
        assert shown in text
    assert page.count(b'<details class="chapter">') == 1


def test_links_to_files(reader: Reader) -> None:
    beside = [a["href"] for a in reader.all("a") if "download" not in a and not a["href"].startswith("#")]
    assert beside == ["spec.toml", "x%20y%23.txt", "flat/A1.dxf", "flat/A2.dxf", "flat/A10.dxf"]
    (inside,) = [a for a in reader.all("a") if "download" in a]
    assert base64.b64decode(inside["href"].rpartition(",")[2]) == FILES[inside["download"]]


def test_every_part_can_be_shown(reader: Reader, hill: Mould) -> None:
    marks = [a["data-mark"] for a in reader.all("button") if "data-mark" in a]
    assert marks == [part.mark for part in hill.parts]
    assert {a["value"] for a in reader.all("option")} >= set(marks)


# ---------------------------------------------------------------- the model


def test_an_independent_reader_finds_the_mould(scene: Scene, hill: Mould) -> None:
    read_back: Any = trimesh.load(io.BytesIO(scene.glb), file_type="glb")
    dims = hill.dims
    solid = {name: g for name, g in read_back.geometry.items() if isinstance(g, trimesh.Trimesh)}
    assert len(solid) == len(hill.parts) + 2
    nodes = [n for n in read_back.graph.nodes_geometry if read_back.graph[n][1] in solid]
    assert len(nodes) == sum(part.quantity for part in hill.parts) + 2
    # metres, and up is y: the casting frame stands on its rim at 0
    (node,) = read_back.graph.geometry_nodes[CONCRETE]
    body = solid[CONCRETE].copy().apply_transform(read_back.graph[node][0])
    assert body.bounds[:, 1] == pytest.approx([0, dims.height / 1000], abs=1e-5)
    assert body.extents[0] == pytest.approx(dims.width / 1000, abs=1e-5)
    body.merge_vertices(merge_norm=True, merge_tex=True)
    assert body.is_watertight
    assert body.volume == pytest.approx(65.8e-3, rel=2e-3)  # litres of check 4.6


def test_masses_of_the_model_are_those_of_the_list(scene: Scene, hill: Mould) -> None:
    read_back: Any = trimesh.load(io.BytesIO(scene.glb), file_type="glb")
    density = hill.dims.stock.steel.density_kg_m3
    for plate in hill.plates:
        mesh = read_back.geometry[plate.mark].copy()
        mesh.merge_vertices(merge_norm=True, merge_tex=True)
        assert mesh.is_watertight
        assert mesh.volume * 1e-9 * density == pytest.approx(hill.mass(plate), rel=4e-3)  # chords of holes


def test_an_empty_scene_is_refused() -> None:
    with pytest.raises(InputError, match="at least one"):
        glb_bytes([], [], "nothing")


def test_taken_apart_nothing_stands_in_anything(hill: Mould) -> None:
    away, dims = moves(hill), hill.dims
    assert set(away) == {piece.id for piece in hill.pieces()}
    for piece in hill.pieces():
        x, y, z = add(piece.placement.origin, away[piece.id][0])
        family = str(piece.part.group)
        if family in ("core", "base", "extraction"):
            assert z < 0 or piece.name == "end plate"
        elif family in ("outer box", "nose"):
            assert max(abs(x) - dims.width / 2, abs(y) - dims.depth / 2) > 0
    for row in hill.rows:
        bolt, nut = (PieceId(role, row.id.place, 1, row=row.id) for role in (Role.BOLT, Role.NUT))
        assert away[bolt][0] == away[row.members[0]][0]
        assert away[nut][0] == away[row.members[-1]][0]


# ---------------------------------------------------------------- thickness as colour


def test_thickness_agrees_with_the_check(scene: Scene, hill_case: Case) -> None:
    """The thinnest corner of the mesh is the least cast wall of check 4.1: corners of faces are among its points."""
    by_code = {result.code: result for result in check_walls(hill_case)}
    assert scene.least == pytest.approx(by_code["4.1"].value, abs=0.01)
    low, high = scene.scale
    assert low == 45
    assert (high - low) % 4 == 0


def test_the_bulge_is_counted(hill_case: Case) -> None:
    """Where check 4.9 finds the greatest thickening, the page has it too; nowhere is the wall thinner than drawn."""
    field = body_field(hill_case)
    faces = list(map(id, hill_case.body_faces))
    face_of = np.array([faces.index(id(face)) for face in field.faces])[field.face_of.astype(int)]
    shown = wall_values(hill_case, field.points, face_of.astype(np.int32))
    more = (shown - field.thickness)[shown >= 0]
    (greatest,) = [result.value for result in check_walls(hill_case) if result.code == "4.9"]
    assert more.min() >= -1e-9
    assert more.max() == pytest.approx(greatest, abs=1e-6)


def test_a_cut_up_mesh_is_the_same_body(hill_solids: SolidMould) -> None:
    whole = body_mesh(hill_solids.body, 0.3)
    every = np.ones(len(whole.triangles), dtype=np.bool_)
    fine, owner = subdivide(whole, every)
    assert fine.volume == pytest.approx(whole.volume, rel=1e-12)
    assert _longest(fine, np.ones(len(fine.triangles), dtype=np.bool_)) <= LONGEST
    assert triangle_normals(fine.vertices, fine.triangles) == pytest.approx(
        triangle_normals(whole.vertices, whole.triangles)[owner], abs=1e-6
    )
    with pytest.raises(GeometryError):
        make_mesh(fine.vertices, fine.triangles[1:])


def test_only_what_has_values_is_cut_up(hill_solids: SolidMould, hill_case: Case) -> None:
    whole = body_mesh(hill_solids.body, 0.3)
    face_of, valued = valued_faces(hill_case, whole)
    assert {hill_case.body_faces[i].name.split(",")[0] for i in set(face_of[valued])} >= {"front wall", "floor"}
    fine, owner = subdivide(whole, valued)
    assert _longest(fine, valued[owner]) <= LONGEST
    assert _longest(fine, ~valued[owner]) > 2 * LONGEST
    assert fine.volume == pytest.approx(whole.volume, rel=1e-12)


def _longest(mesh: Mesh, chosen: NDArray[np.bool_]) -> float:
    at = mesh.vertices[mesh.triangles[chosen]]
    return float(np.linalg.norm(at - np.roll(at, 1, axis=1), axis=2).max())


@pytest.mark.parametrize(
    ("share", "published"),
    [
        (0.0, (0.267004, 0.004874, 0.329415)),
        (0.5, (0.127568, 0.566949, 0.550556)),
        (1.0, (0.993248, 0.906157, 0.143936)),
    ],
)
def test_colours_are_viridis(share: float, published: tuple[float, float, float]) -> None:
    """Van der Walt and Smith, viridis (2015), rows 0, 128 and 255 of its table (from memory); a fit of degree 6 is
    within 0.015."""
    assert ramp(share) == pytest.approx(published, abs=0.015)


def test_lightness_rises_all_the_way() -> None:
    """Relative luminance as IEC 61966-2-1 weighs the channels: what a grey copy, or an eye without colours, sees."""
    colours = np.array([ramp(i / 100) for i in range(101)])
    luminance = np.where(colours <= 0.04045, colours / 12.92, ((colours + 0.055) / 1.055) ** 2.4) @ (
        0.2126,
        0.7152,
        0.0722,
    )
    assert np.all(np.diff(luminance) > 0)
    assert ramp(-1) == ramp(0)
    assert ramp(2) == ramp(1)


def test_scale_of_even_walls_is_no_point() -> None:
    assert scale_of(np.array([50.0, 50.0, -1.0])) == (50.0, 54.0)


# ---------------------------------------------------------------- words


def sentences() -> set[str]:
    """Every sentence that the page's modules say: in ``words("...")``, and in the tables of controls and sections."""
    out = set()
    for path in (ROOT / "mouldgeom" / "outputs" / "page").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in {"words", "sheet"}:
                out |= {a.value for a in node.args if isinstance(a, ast.Constant) and isinstance(a.value, str)}
    return {text for text in out if text[0].isupper() or " " in text}


@pytest.mark.parametrize("language", [one for one in LANGUAGES if one in {"fr", "es"}])
def test_every_sentence_has_a_draft(language: str) -> None:
    assert len(sentences()) > 60
    assert sentences() - set(_catalogue(language)) == set()


def test_the_page_speaks_french(hill_solids: SolidMould) -> None:
    text = page_bytes(hill_solids, RESULTS, Words("fr")).decode("utf-8")
    assert '<html lang="fr">' in text
    assert "Résumé" in text
    assert "Traduction provisoire" in text
    assert "886,3 mm" in text
    assert ">Summary<" not in text
    assert ">tôle 3 mm<" in text
    assert ">rondelle M10<" in text
    assert ">sheet 3 mm<" not in text


def test_the_objective_is_told_in_its_unit_and_language(hill_solids: SolidMould) -> None:
    """Shares by hand: 140, 260, 900 and 60 of 1360."""
    objective = WholeCost("crowns", 2000, 140.0, 260.0, 900.0, 60.0, hours=45.0, seconds=2010.0, sets=2)
    priced = page_bytes(hill_solids, (), Words(), objective=objective).decode("utf-8")
    assert "<dt>Mould and use over 2,000 casts</dt><dd>1,360 crowns</dd>" in priced
    assert "<dd>material 10 %, build 19 %, use 66 %, wear 4 %</dd>" in priced
    assert "<dt>Spare sets of screw and nut</dt><dd>2</dd>" in priced
    relative = replace(objective, unit=RELATIVE, sets=0)
    french = page_bytes(hill_solids, (), Words("fr"), objective=relative).decode("utf-8")
    assert "<dd>1\u202f360 kg de tôle</dd>" in french
    assert "Jeux de rechange" not in french


def test_inches(hill_solids: SolidMould) -> None:
    text = page_bytes(hill_solids, (), Words("en", "inches")).decode("utf-8")
    assert "14 21/64 in × 14 21/64 in × 34 57/64 in<" in text
    assert "The mould was not checked." in text
    assert 'id="checks"' not in text


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [(0.0, "-", "0"), (1234.56, "mm", "1,235 mm"), (0.0174524, "-", "0.01745"), (float("nan"), "mm", "no number mm"),
     (-3.14159, "kN", "-3.142 kN")],
)  # fmt: skip
def test_four_figures(value: float, unit: str, shown: str) -> None:
    assert figures(Words(), value, unit) == shown


def test_sizes_of_files() -> None:
    assert [size_words(Words(), n) for n in (5, 12_345, 2_345_678)] == ["5 B", "12 kB", "2.3 MB"]
