"""The layers, read from the imports: nothing imports from a layer below it, and there are no cycles."""

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import networkx as nx
import pytest

PACKAGE = Path(__file__).parent.parent / "diagnose"
LAYERS = (
    "errors",
    "trade",
    "knowledge",
    "facts",
    "chaining",
    "ranking",
    "next_step",
    "explanation",
    "training",
    "strengths",
    "simulator",
    "interfaces",
)
FILES = sorted(PACKAGE.rglob("*.py"))


class Import(NamedTuple):
    """One import: what is imported, where, and whether it happens as the module loads."""

    target: str
    line: int
    at_load: bool


def module_name(path: Path) -> str:
    """Name a file as Python imports it."""
    return ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts).removesuffix(".__init__")


def read_imports(source: str) -> list[Import]:
    """List every import of a module, those inside functions and for types only included."""
    return list(walk_imports(ast.parse(source), at_load=True))


def walk_imports(node: ast.AST, *, at_load: bool) -> Iterator[Import]:
    """Walk the tree, remembering whether the code runs while the module loads."""
    if isinstance(node, ast.Import):
        yield from (Import(alias.name, node.lineno, at_load) for alias in node.names)
    elif isinstance(node, ast.ImportFrom):
        assert node.level == 0, f"line {node.lineno}: relative imports hide the layer"
        yield from (Import(f"{node.module}.{alias.name}", node.lineno, at_load) for alias in node.names)
    elif isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
        for child in node.body:
            yield from walk_imports(child, at_load=False)
        for child in node.orelse:
            yield from walk_imports(child, at_load=at_load)
    else:
        inside = at_load and not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
        for child in ast.iter_child_nodes(node):
            yield from walk_imports(child, at_load=inside)


def layer_of(module: str) -> str | None:
    """Give the layer of one of our modules; the bare package and foreign modules have none.

    `python -m` runs the command line, so its file belongs to the interfaces.
    """
    parts = module.replace("__main__", "interfaces").split(".")
    return parts[1] if parts[0] == "diagnose" and len(parts) > 1 and parts[1] != "__version__" else None


def find_upward(module: str, source: str) -> list[str]:
    """List the imports of a module that come from a layer below its own."""
    own = LAYERS.index(layer_of(module) or LAYERS[0])
    return [
        f"{module}:{found.line} imports {found.target}"
        for found in read_imports(source)
        if (layer := layer_of(found.target)) is not None and LAYERS.index(layer) > own
    ]


def users_of(library: str, *, at_load: bool | None = None) -> set[str]:
    """Name the files that import a library, anywhere or only as they load."""
    return {
        path.relative_to(PACKAGE).as_posix()
        for path in FILES
        for found in read_imports(path.read_text("utf-8"))
        if found.target.split(".")[0] == library and (at_load is None or found.at_load is at_load)
    }


def test_every_module_belongs_to_a_layer():
    """Each file and folder of the package is one of the layers."""
    layers = {layer_of(module_name(path)) for path in FILES} - {None}

    assert set() == layers - set(LAYERS)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_imports_come_from_layers_above(path):
    """No module imports from a layer below its own, late or for types."""
    assert [] == find_upward(module_name(path), path.read_text("utf-8"))


def test_an_upward_import_is_found():
    """The reading of imports sees one that is hidden in a function."""
    source = "def late():\n    from diagnose.ranking.rank import rank\n"

    assert ["diagnose.knowledge.base:2 imports diagnose.ranking.rank.rank"] == find_upward(
        "diagnose.knowledge.base", source
    )


def test_modules_have_no_import_cycle():
    """The imports that run as modules load form no cycle."""
    modules = {module_name(path): path for path in FILES}
    graph = nx.DiGraph()
    for module, path in modules.items():
        for found in read_imports(path.read_text("utf-8")):
            target = found.target if found.target in modules else found.target.rpartition(".")[0]
            if found.at_load and target in modules and target != "diagnose":
                graph.add_edge(module, target)

    assert graph.number_of_edges() > 10
    assert [] == list(nx.simple_cycles(graph))


def test_one_module_imports_the_chaining_library():
    """Only the engine wrapper knows the forward-chaining library."""
    assert users_of("durable") <= {"chaining/engine.py"}


def test_graph_library_is_imported_late():
    """The graph library is slow to import: only inside functions, in the modules that need it."""
    assert users_of("networkx") <= {"knowledge/graph.py", "knowledge/surroundings.py", "chaining/compile.py"}
    assert users_of("networkx", at_load=True) <= {"knowledge/graph.py"}


def test_only_interfaces_print():
    """Nothing outside the interfaces writes to the terminal."""
    printing = [
        f"{path.relative_to(PACKAGE).as_posix()}:{node.lineno}"
        for path in FILES
        if path.relative_to(PACKAGE).parts[0] != "interfaces"
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Call)
        and ast.unparse(node.func) in {"print", "sys.stdout.write", "sys.stderr.write"}
    ]

    assert [] == printing
