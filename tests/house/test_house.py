"""The house rules: which way imports look, where the kernel may be, units in signatures, sources, words and names."""

from __future__ import annotations

import ast
import doctest
import re
import sys
import tomllib
from collections.abc import Iterator
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path
from types import ModuleType

import pytest
from conftest import ROOT, Run

import mouldgeom
import mouldgeom.rich
from mouldgeom.spec import groups

ORDER = [
    *("edition", "units", "errors", "letters", "reading", "writing", "words", "rich", "verdict", "identity"),
    *("designations", "tables", "strength_classes", "rules", "spec", "geometry", "filter", "design", "model"),
    *("fabrication", "nesting", "strength", "inspection", "solids", "checks", "drawing", "outputs", "extend", "front"),
    *("mouldgeom", "cli"),
    "__main__",
]
"""Layers from first to last.  The package itself stands where the last module that it imports is behind it."""
PACKAGE = ROOT / "mouldgeom"
MODULES = {
    ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): path
    for path in sorted(PACKAGE.rglob("*.py"))
    if path.parent.name != "data"
}
TREES = {name: ast.parse(path.read_text("utf-8")) for name, path in MODULES.items()}
KERNEL = {"solids", "checks", "drawing", "outputs", "front"}
EACH = pytest.mark.parametrize("name", MODULES)


def layer(module: str) -> str:
    return module.split(".")[1] if "." in module else module


def imports(name: str) -> Iterator[tuple[int, str]]:
    """Line and dotted name of everything that a module imports, inside functions and for type checkers too."""
    for node in ast.walk(TREES[name]):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{name}:{node.lineno} imports by dots"
            for alias in node.names:
                inner = f"{node.module}.{alias.name}"
                yield node.lineno, inner if inner in MODULES else str(node.module)


# ---------------------------------------------------------------- imports


def test_every_layer_is_listed_and_real() -> None:
    assert {layer(name) for name in MODULES} <= set(ORDER)
    assert len(set(ORDER)) == len(ORDER)


@EACH
def test_a_module_imports_only_what_stands_before_it(name: str) -> None:
    for line, imported in imports(name):
        if imported.split(".")[0] == "mouldgeom" and name != "mouldgeom":
            here, there = ORDER.index(layer(name)), ORDER.index(layer(imported))
            same_folder = here == there and "." in name and name != imported
            assert there < here or same_folder, f"{name}:{line} imports {imported}, which stands after it"
        elif name == "mouldgeom" and imported.startswith("mouldgeom."):
            assert ORDER.index(layer(imported)) < ORDER.index("mouldgeom"), f"{name}:{line} imports {imported}"


def rooms() -> dict[str, list[str]]:
    """Modules of each room in the order that DEVELOPERS.md gives them."""
    section = developers().partition("## Ten seconds")[0]
    listed = re.findall(r"^- `([a-z.]+)`: ((?:[a-z_0-9]+,?\s+)+)", section, re.MULTILINE)
    return {f"mouldgeom.{room}": re.split(r",?\s+", names.strip()) for room, names in listed}


def test_tests_stand_in_the_rooms_of_what_they_test() -> None:
    tests = {path.parent.name for path in (ROOT / "tests").rglob("test_*.py")}
    assert tests <= {layer(name) for name in MODULES} | {"ground", "house", "validation"}
    assert not [*(ROOT / "tests").glob("test_*.py")]


def test_every_module_of_a_room_is_listed_once() -> None:
    folders = {name for name, path in MODULES.items() if path.name == "__init__.py" and name != "mouldgeom"}
    files = [name for name in MODULES if name not in folders]
    there = {room: sorted(n.rpartition(".")[2] for n in files if n.rpartition(".")[0] == room) for room in folders}
    assert {room: sorted(names) for room, names in rooms().items()} == there


@pytest.mark.parametrize("room", sorted({name.rpartition(".")[0] for name in MODULES} - {"", "mouldgeom"}))
def test_inside_a_room_too_a_module_imports_only_what_stands_before_it(room: str) -> None:
    order = rooms()[room]
    for name in order:
        for line, imported in imports(f"{room}.{name}"):
            above, _, other = imported.rpartition(".")
            if above == room and other in order:
                assert order.index(other) < order.index(name), f"{room}.{name}:{line} imports {other}, after it"


def test_no_two_modules_import_each_other() -> None:
    graph = {name: {i for _, i in imports(name) if i in MODULES and i != "mouldgeom"} for name in MODULES}
    assert len(list(TopologicalSorter(graph).static_order())) >= len(MODULES) - 1


@EACH
def test_the_kernel_stays_behind_solids(name: str) -> None:
    used = {imported.split(".")[0] for _, imported in imports(name)} & {"cadquery", "OCP"}
    assert not used or layer(name) in KERNEL


@pytest.mark.parametrize(
    "module",
    [name for name in MODULES if layer(name) not in KERNEL and name != "mouldgeom.__main__"]
    + [f"mouldgeom.outputs.{name}" for name in ("dxf", "package", "records", "export", "page.view")],
)
def test_listed_as_cheap(module: str) -> None:
    """Whatever these import at module level is cheap too: followed through the imports outside of functions."""
    seen: set[str] = set()
    todo = [module]
    while todo:
        here = todo.pop()
        seen.add(here)
        top = {n for node in TREES[here].body if isinstance(node, ast.Import | ast.ImportFrom) for n in ast.walk(node)}
        for node in top:
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                names = [str(node.module), *(f"{node.module}.{alias.name}" for alias in node.names)]
            else:
                continue
            assert not any(n.split(".")[0] in {"cadquery", "OCP"} for n in names), f"{module} by way of {here}"
            parents = {".".join(n.split(".")[:i]) for n in names for i in range(1, n.count(".") + 2)}
            todo += [n for n in parents if n in MODULES and n not in seen]


def test_importing_the_cheap_half_does_not_load_the_kernel(run: Run) -> None:
    code = (
        "import sys, mouldgeom, mouldgeom.cli, mouldgeom.model.assembly\n"
        "import mouldgeom.outputs.dxf, mouldgeom.outputs.package\n"
        "mouldgeom.build(mouldgeom.load('hill-example'))\n"
        "print([m for m in sys.modules if m.split('.')[0] in ('cadquery', 'OCP', 'vtkmodules')])"
    )
    done = run("-c", code)
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == "[]"


# ---------------------------------------------------------------- signatures and docstrings


def public(name: str) -> Iterator[tuple[str, ast.FunctionDef | ast.ClassDef]]:
    """Public functions, classes and methods of a module, each with its dotted name."""

    def inside(body: list[ast.stmt], prefix: str) -> Iterator[tuple[str, ast.FunctionDef | ast.ClassDef]]:
        for node in body:
            if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
                yield f"{prefix}.{node.name}", node
                if isinstance(node, ast.ClassDef):
                    yield from inside(node.body, f"{prefix}.{node.name}")

    yield from inside(TREES[name].body, name)


def annotations(node: ast.FunctionDef | ast.ClassDef) -> Iterator[tuple[str, ast.expr]]:
    if isinstance(node, ast.ClassDef):
        for field in node.body:
            if isinstance(field, ast.AnnAssign) and not ast.unparse(field.target).startswith("_"):
                yield ast.unparse(field.target), field.annotation
        return
    given = node.args
    for arg in (*given.posonlyargs, *given.args, *given.kwonlyargs, given.vararg, given.kwarg):
        if arg is not None and arg.annotation is not None:
            yield arg.arg, arg.annotation
    if node.returns is not None:
        yield "return", node.returns


@EACH
def test_no_bare_float_in_a_public_signature(name: str) -> None:
    """A length, force or angle says its unit by an alias of ``units``; there is no exception."""
    for where, node in public(name):
        for what, annotation in annotations(node):
            names = {n.id for n in ast.walk(annotation) if isinstance(n, ast.Name)}
            assert "float" not in names, f"{where}, {what}: {ast.unparse(annotation)}"


LENGTHS = re.compile(r"(.*_)?(length|width|depth|height|thickness|diameter|radius|gap|pitch|distance|mm|x|y|z|angle)")
PICTURES = {"mouldgeom.drawing.picture", "mouldgeom.front.mould", "mouldgeom.outputs.page.view"}


@EACH
def test_no_length_is_a_whole_number(name: str) -> None:
    """An ``int`` is a count, an index or a pixel; only pictures have a width in pixels."""
    for where, node in public(name):
        for what, annotation in annotations(node):
            if any(isinstance(n, ast.Name) and n.id == "int" for n in ast.walk(annotation)):
                assert name in PICTURES or not LENGTHS.fullmatch(what), f"{where}, {what}"


@EACH
def test_docstrings(name: str) -> None:
    assert ast.get_docstring(TREES[name]), f"{name} has no docstring"
    for where, node in public(name):
        assert ast.get_docstring(node), f"{where} has no docstring"


def test_every_rule_names_its_source() -> None:
    rules = [(where, node) for where, node in public("mouldgeom.rules.shop") if isinstance(node, ast.FunctionDef)]
    assert len(rules) > 20
    for where, node in rules:
        lines = [line for line in (ast.get_docstring(node) or "").splitlines() if line.startswith("Source:")]
        assert len(lines) == 1, f"{where} has {len(lines)} lines that begin with Source:"
        assert len(lines[0]) > len("Source: ") + 8, where


def test_every_error_is_also_what_it_resembles() -> None:
    from mouldgeom import errors

    classes = [c for c in vars(errors).values() if isinstance(c, type) and issubclass(c, errors.MouldError)]
    drawn = errors.__doc__ or ""
    for error in classes:
        assert error.__name__ in drawn, f"{error.__name__} is not in the tree"
        builtin = [
            b for b in error.__mro__ if b.__module__ == "builtins" and b not in (Exception, BaseException, object)
        ]
        assert builtin or error is errors.MouldError


def test_no_two_public_classes_share_a_name() -> None:
    """One word for one thing, in code as on paper."""
    names = [node.name for tree in TREES.values() for node in tree.body if isinstance(node, ast.ClassDef)]
    assert [name for name in names if names.count(name) > 1 and not name.startswith("_")] == []


@EACH
def test_files_are_short(name: str) -> None:
    assert len(MODULES[name].read_text("utf-8").splitlines()) < 500


@EACH
def test_nothing_is_printed_outside_the_commands(name: str) -> None:
    if layer(name) != "cli":
        calls = [n for n in ast.walk(TREES[name]) if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)]
        assert not [f"{name}:{n.lineno}" for n in calls if isinstance(n.func, ast.Name) and n.func.id == "print"]


# ---------------------------------------------------------------- used

ENTRIES = {
    "mouldgeom.inspection.measured.read_measured": "a list of measured values that a user has as text",
    "mouldgeom.outputs.papers.fixing.fixed": "proof, for who changes a drawing, that its dimensions fix the plate",
    "mouldgeom.drawing.layout.clashes": "proof, for who changes a sheet, that its texts can be read",
    "mouldgeom.drawing.sheet_svg.png_bytes": "a sheet as a picture, for a notebook",
    "mouldgeom.drawing.picture.write_png": "a picture of a mould as a file",
    "mouldgeom.outputs.step.write_step": "a shape as a file",
    "mouldgeom.fabrication.rates.parse_prices": "prices that a user has as text",
    "mouldgeom.fabrication.stocklist.parse_stock": "a stock list that a user has as text",
    "mouldgeom.nesting.two_units.read_list": "a list in two units that a user has as text",
}
"""What only a user of the library calls, and why it is there."""


def uses(name: str) -> Iterator[str]:
    """Dotted names that a module uses or imports, those left out that a function or class has of itself."""
    known = {
        alias.asname or alias.name: f"{node.module}.{alias.name}"
        for node in ast.walk(TREES[name])
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    yield from known.values()
    for top in TREES[name].body:
        own = top.name if isinstance(top, ast.FunctionDef | ast.ClassDef) else None
        for node in ast.walk(top):
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
                yield f"{known.get(node.value.id)}.{node.attr}"
            elif isinstance(node, ast.Name) and node.id != own:
                yield f"{name}.{node.id}"


def test_what_only_tests_use_stands_among_the_tests() -> None:
    """Every public function and class of a module is used in the package, or a user of the library calls it."""
    used = {what for name in MODULES for what in uses(name)}
    there = {where for name in MODULES for where, _ in public(name) if where.rpartition(".")[0] == name}
    commands = {f"{name}.add" for name in MODULES if layer(name) == "cli"}
    assert there - used - commands == set(ENTRIES)


# ---------------------------------------------------------------- labels

PARSING = {"startswith", "endswith", "partition", "rpartition", "split", "rsplit", "removeprefix", "removesuffix"}
PARSING |= {"match", "fullmatch", "search", "findall"}
LABELS = {"name", "names", "label", "called", "edge", "line", "where"}
NO_LABELS = {
    "mouldgeom.outputs.extension": {
        "found.name != name": "an extension, by the name that it is asked for",
        "one.name in (other.name for other in found)": "the same of two",
        "kind.name in (has.name for has in other.kinds)": "kinds of file by the names that they are asked for",
    },
    "mouldgeom.strength.finite": {"one.name in fast": "whether a plate was reckoned the quick way too"},
    "mouldgeom.strength.panel_steps": {"line.line == name": "a line of support, whose name is a constant"},
    "mouldgeom.outputs.package": {
        "Path(stranger).name.startswith(_OPENED)": "a file",
        "path.name.split('.')": "a file",
        "os.name != 'posix'": "the machine",
    },
    "mouldgeom.outputs.page.sections": {"name.endswith('.json')": "a file", "name.rpartition('/')": "a file"},
    "mouldgeom.outputs.papers.naming": {
        "name.removeprefix(kind)": "what is asked for in a shop, by its kind and size",
        "name.removeprefix(kind).partition(', ')": "what is asked for in a shop, by its kind and size",
        "re.match(f'{kind} M?\\\\d', name)": "what is asked for in a shop, by its kind and size",
    },
    "mouldgeom.outputs.papers.part_sheets": {"names.count(block.name) == 1": "the mark of what is drawn"},
}
"""What is called a name and is none of a piece, unit or part: it may be looked into."""


def looked_into(tree: ast.AST) -> Iterator[str]:
    """Expressions that look into a label, or decide by one, to find out what a thing is."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in PARSING:
            read = [node.func.value, *(node.args if ast.unparse(node.func.value) == "re" else ())]
            named = (
                n.attr if isinstance(n, ast.Attribute) else getattr(n, "id", "") for r in read for n in ast.walk(r)
            )
        elif isinstance(node, ast.Compare) and isinstance(node.ops[0], ast.In | ast.NotIn | ast.Eq | ast.NotEq):
            sides = (node.left, *node.comparators)
            named = (n.attr for side in sides for n in ast.walk(side) if isinstance(n, ast.Attribute))
        else:
            continue
        if LABELS & set(named):
            yield ast.unparse(node)


@pytest.mark.parametrize(
    ("code", "found"),
    [
        ("p.name.startswith('bridge')", True),
        ("name.partition(', ')", True),
        ("'left' in p.name", True),
        ("piece.name == 'nose lid'", True),
        ("re.match('a', piece.name)", True),
        ("{p.name: p for p in pieces}", False),
        ("p.id.role is Role.NOSE_LID", False),
    ],
)
def test_a_look_into_a_label_is_seen(code: str, found: bool) -> None:
    assert bool(list(looked_into(ast.parse(code)))) == found


@pytest.mark.parametrize("name", [name for name in MODULES if layer(name) in {"checks", "strength", "outputs"}])
def test_no_label_is_looked_into(name: str) -> None:
    """What a piece is, ``PieceId`` and ``Unit`` say; a label is for people, in whatever language."""
    assert set(looked_into(TREES[name])) == set(NO_LABELS.get(name, {}))


# ---------------------------------------------------------------- names and words


def test_version_is_that_of_the_project() -> None:
    declared = re.search(r'^version = "(.+)"$', (ROOT / "pyproject.toml").read_text("utf-8"), re.MULTILINE)
    assert declared is not None
    assert declared[1] == mouldgeom.__version__


@pytest.mark.parametrize(
    ("module", "least"),
    [(mouldgeom, 3), (mouldgeom.errors, 8), (mouldgeom.rich, 1), (mouldgeom.spec.specification, 12)],
)
def test_the_examples_in_the_docstrings_run(module: ModuleType, least: int) -> None:
    done = doctest.testmod(module)
    assert done.attempted >= least
    assert done.failed == 0


def developers() -> str:
    return (ROOT / "DEVELOPERS.md").read_text("utf-8")


def test_the_ten_second_table_names_real_files() -> None:
    table = developers().split("| I want to change | open |", 1)[1].split("\n\n", 1)[0]
    rows = [line.strip("| ").split(" | ") for line in table.splitlines() if line.startswith("| ") and "---" not in line]
    assert len(rows) >= 7
    for row in rows:
        assert len(row) == 2, row
        names = [n for n in re.findall(r"`([^`]+)`", row[1]) if "/" in n or re.fullmatch(r"\w+\.\w+", n)]
        assert names, row
        for name in names:
            assert (ROOT / name).exists() or (PACKAGE / name).exists(), f"{row[0]}: there is no {name}"


def test_the_order_of_imports_is_written_down() -> None:
    written = re.search(r"`(edition, units, errors, [^`]+)`", developers())
    assert written is not None
    listed = re.split(r",\s+", written[1])
    assert listed == [name for name in ORDER if name not in {"mouldgeom", "__main__"}]


@pytest.mark.parametrize(("group", "field"), [(g, f) for g, model in groups() for f in model.model_fields])
def test_each_field_stands_among_the_words(group: str, field: str) -> None:
    words = re.split(r"^## ", developers(), flags=re.MULTILINE)
    (section,) = [part for part in words if part.startswith("Words\n")]
    named = set(re.findall(r"`([^`]+)`", section))
    assert {f"{group}.{field}", field} & named, f"{group}.{field} is missing under Words in DEVELOPERS.md"


def commands() -> list[str]:
    """Commands of this program in the fenced blocks and tables of README and DEVELOPERS."""
    out = []
    for path in ("README.md", "DEVELOPERS.md"):
        for block in re.findall(r"```\w*\n(.*?)```", (ROOT / path).read_text("utf-8"), re.DOTALL):
            out += re.findall(r"(?:^|[\s/])mouldgeom ((?:new|size|check|make|asbuilt)\b[^|&#\n]*)", block)
    return out


@pytest.mark.parametrize("command", commands())
def test_commands_shown_are_commands_known(command: str) -> None:
    import shlex

    from mouldgeom.cli.program import parser

    assert parser().parse_args(shlex.split(command)).run


def test_no_absolute_paths_in_the_package() -> None:
    for path in (p for p in PACKAGE.rglob("*") if p.suffix in {".py", ".toml", ".csv"}):
        assert not re.search(r"(?<![\w.])/(home|root|opt|work|tmp|Users)/", path.read_text("utf-8")), Path(path).name


# ---------------------------------------------------------------- libraries

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
IMPORTED_AS = {
    "font-source-sans-pro": {"font_source_sans_pro"},
    "fonttools": {"fontTools"},
    "jupyter-threejs-sage": {"jupyter_threejs_sage"},
    "pillow": {"PIL"},
    "scikit-fem": {"skfem"},
    "XlsxWriter": {"xlsxwriter"},
    "cadquery": {"cadquery", "OCP"},
    "pydantic": {"pydantic", "pydantic_core"},
}
"""Where a library is imported by another name than it is installed by, or brings along what is imported too."""
NEEDED, DEVELOPING = (
    {re.split(r"[<>=]", line)[0] for line in lines}
    for lines in (PROJECT["dependencies"], PROJECT["optional-dependencies"]["dev"])
)


def libraries() -> dict[str, list[str]]:
    """Each library of the table, and the files that it names."""
    table = developers().split("| library | for | licence | where |\n", 1)[1].split("\n\n", 1)[0]
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in table.splitlines()[1:]]
    assert all(len(row) == 4 and all(row) for row in rows)
    return {row[0]: re.findall(r"`([^`]+)`", row[3]) for row in rows}


OPTIONAL = {"pandas"}
"""What the package uses where it is there, and says so where it is not."""


@cache
def used(path: Path) -> set[str]:
    """Top names of what a file imports, or reads a resource of."""
    tree = ast.parse(path.read_text("utf-8"))
    names = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    names |= {str(node.module) for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    resources = re.findall(r'^PACKAGE: Final = "(\w+)"$', path.read_text("utf-8"), re.MULTILINE)
    return {name.split(".")[0] for name in (*names, *resources)}


def test_the_table_of_libraries_is_that_of_the_project() -> None:
    assert set(libraries()) == NEEDED | DEVELOPING
    assert not NEEDED & DEVELOPING


@pytest.mark.parametrize(("library", "paths"), libraries().items())
def test_a_library_is_used_where_the_table_says(library: str, paths: list[str]) -> None:
    """A library of the package in the package; one without a place is a tool that nothing imports."""
    names = IMPORTED_AS.get(library, {library})
    assert all(used(ROOT / path) & names for path in paths)
    assert all(path.startswith("mouldgeom/") for path in paths) if library in NEEDED else True
    files = [*MODULES.values(), *(ROOT / "tests").rglob("*.py")]
    assert bool(paths) == any(used(path) & names for path in files)


def test_whatever_is_imported_is_declared() -> None:
    known = {*sys.stdlib_module_names, "mouldgeom", *OPTIONAL} | {
        n for lib in NEEDED for n in IMPORTED_AS.get(lib, {lib})
    }
    for path in MODULES.values():
        assert used(path) <= known, path.name
