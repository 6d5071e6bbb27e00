"""No act without an entry: walks the code and finds every write to the database that does not stand inside an errand."""

import ast

import pytest

from tests.house.source import Module, is_migration, modules

WRITES = {"save", "create", "acreate", "bulk_create", "bulk_update", "get_or_create", "update_or_create", "delete"}
ON_A_QUERY = {"update"}
ON_A_RELATION = {"add", "set", "remove", "clear"}

# What writes outside the history, and why.
APART = {
    "records.ledger.actions": "writes the history itself",
    "records.ledger.triggers": "makes the guards",
    "records.firm.throttle": "tries at a password are no record and go after an hour",
    "records.firm.factor": "which time steps were used is no record and goes after an hour",
    "records.firm.visits": "where people are signed in is no record and goes after a month",
    "records.letters.sending": "what became of a letter stands in its own row, which stays; the act that it tells of is the entry",
    "locates.fieldwork.receiving": "what phones were answered is no record and goes after a month",
    "locates.grids.raster": "a picture is written into memory",
    "records.exchange.scratch": "a scratch file of its own, gone after the load",
}


def is_write(node: ast.AST) -> bool:
    """A call of a method that writes to the database. `update` of a plain name is a dict's; `add` and its like count on a record's relation."""
    if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute):
        return False
    method, on = node.func.attr, node.func.value
    if method in ON_A_RELATION:
        return isinstance(on, ast.Attribute) and not (isinstance(on.value, ast.Name) and on.value.id in ("self", "row"))
    return method in WRITES or (method in ON_A_QUERY and not isinstance(on, ast.Name))


def opens_errand(node: ast.AST) -> bool:
    return isinstance(node, ast.With) and any(called(item.context_expr) == "errand" for item in node.items)


def called(node: ast.AST) -> str:
    return node.func.id if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) else ""


def given_an_errand(node: ast.FunctionDef) -> bool:
    return any(isinstance(one.annotation, ast.Name) and one.annotation.id == "Errand" for one in (*node.args.args, *node.args.kwonlyargs))


def outside(node: ast.AST):
    """The node and all in it that stands in no errand."""
    yield node
    for child in ast.iter_child_nodes(node):
        if not opens_errand(child):
            yield from outside(child)


def units(tree: ast.Module) -> dict[str, ast.AST]:
    """What can be called by name: functions and classes. A class that is made with an errand writes inside it."""
    return {node.name: node for node in tree.body if isinstance(node, ast.FunctionDef | ast.ClassDef)}


def covered(unit: ast.AST) -> bool:
    if isinstance(unit, ast.FunctionDef):
        return given_an_errand(unit)
    return any(isinstance(node, ast.FunctionDef) and node.name == "__init__" and given_an_errand(node) for node in unit.body)


def bare_writers(tree: ast.Module) -> set[str]:
    """The names that write, themselves or through others of the module, without an errand around it."""
    known = {name: unit for name, unit in units(tree).items() if not covered(unit)}
    bare = {name for name, unit in known.items() if any(map(is_write, outside(unit)))}
    while True:
        through = {name for name, unit in known.items() if any(called(node) in bare for node in outside(unit))}
        if through <= bare:
            return bare
        bare |= through


def idle_errands(tree: ast.Module) -> list[int]:
    """The lines of errands whose body never mentions the errand."""
    opened = [node for node in ast.walk(tree) if opens_errand(node)]
    return [node.lineno for node in opened if not any(isinstance(one, ast.Name) and one.id == name_of(node) for part in node.body for one in ast.walk(part))]


def name_of(node: ast.With) -> str:
    given = next(item.optional_vars for item in node.items if called(item.context_expr) == "errand")
    return given.id if isinstance(given, ast.Name) else ""


def walked() -> list[Module]:
    """What may know of the database."""
    return [module for module in modules().values() if not is_migration(module) and module.file not in ("rules", "chain", "sheet", "paper")]


def test_every_public_act_writes_inside_an_errand():
    bare = {module.name: bare_writers(module.tree) for module in walked() if module.name not in APART}
    assert [f"{module}.{name}" for module, names in bare.items() for name in names if not name.startswith("_")] == []


def test_no_errand_goes_without_an_entry():
    assert [f"{module.name}:{line}" for module in walked() for line in idle_errands(module.tree)] == []


def test_only_acts_and_loads_write():
    writers = {module.name for module in walked() if any(map(is_write, ast.walk(module.tree)))} - set(APART)
    assert writers
    assert [name for name in writers if not name.endswith(".actions") and not name.startswith("records.exchange.")] == []


def test_what_writes_outside_the_history_does_so():
    assert [
        name for name in APART if name in modules() and not any("execute(" in ast.unparse(node) or is_write(node) for node in ast.walk(modules()[name].tree))
    ] == []


@pytest.mark.parametrize(
    ("code", "bare"),
    [
        ("def act():\n    with errand(by, at) as one:\n        row.save()\n        one.write()", set()),
        ("def act():\n    row.save()", {"act"}),
        ("def act():\n    with errand(by, at) as one:\n        one.write()\n    row.save()", {"act"}),
        ("def act():\n    _does()\ndef _does():\n    Row.objects.create()", {"act", "_does"}),
        ("def act():\n    with errand(by, at) as one:\n        _does()\ndef _does():\n    Row.objects.create()", {"_does"}),
        ("def act():\n    Row.objects.filter(a=1).update(a=2)", {"act"}),
        ("def act():\n    found.update({})", set()),
        ("def act():\n    permit.crew.add(person)", {"act"}),
        ("def act(underway: Errand):\n    row.delete()", set()),
        ("def act():\n    _Load().run()\nclass _Load:\n    def run(self):\n        row.save()", {"act", "_Load"}),
        ("class Load:\n    def __init__(self, underway: Errand):\n        pass\n    def run(self):\n        row.save()", set()),
    ],
)
def test_the_walk_knows_a_bare_write_when_it_sees_one(code, bare):
    assert bare_writers(ast.parse(code)) == bare


@pytest.mark.parametrize(("body", "idle"), [("one.write()", []), ("_does(one)", []), ("row.save()", [1])])
def test_the_walk_knows_an_idle_errand_when_it_sees_one(body, idle):
    assert idle_errands(ast.parse(f"with errand(by, at) as one:\n    {body}")) == idle
