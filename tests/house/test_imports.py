"""Imports run down the house, and leftwards inside an app."""

import pytest

from tests.house.source import FILES, JOINTS, PACKAGES, STOREYS, Module, imported, is_migration, loops, modules, named, own_imports, packages, reached

HOUSE = [module for module in modules().values() if module.storey and module.name not in JOINTS]


def above(module: Module) -> list[str]:
    """Which imports of the module climb."""
    allowed = STOREYS[: STOREYS.index(module.storey) + 1]
    return [f"{module.name} → {other.name}" for other in own_imports(module) if other.storey not in allowed]


def rightwards(module: Module) -> list[str]:
    """What of its own app, however far round, it reaches to its right."""
    own_app = [other for other in reached(module) if other.storey == module.storey and other.place is not None]
    return [f"{module.name} → {other.name}" for other in own_app if other.place > module.place]


def test_imports_run_down_the_house() -> None:
    assert sum(map(above, HOUSE), []) == []


def test_inside_an_app_imports_run_leftwards() -> None:
    placed = [module for module in HOUSE if module.place is not None and not is_migration(module)]
    assert sum(map(rightwards, placed), []) == []


def test_a_file_knows_of_lower_apps_only_what_stands_no_further_right() -> None:
    placed = [(module, other) for module in HOUSE for other in own_imports(module) if None not in (module.place, other.place)]
    assert [f"{module.name} → {other.name}" for module, other in placed if other.place > module.place] == []


def test_no_module_reaches_itself() -> None:
    assert loops({name: {other.name for other in own_imports(module)} for name, module in modules().items()}) == []


def test_what_joins_the_apps_is_imported_by_nobody() -> None:
    assert [module.name for module in HOUSE for other in own_imports(module) if other.name in JOINTS] == []


def test_every_package_says_what_it_is_for_and_holds_nothing_else() -> None:
    trees = {name: modules()[name].tree.body for name in packages()}
    assert [name for name, body in trees.items() if len(body) != 1 or not modules()[name].path.read_text().startswith('"""')] == []


def test_the_code_never_imports_the_tests() -> None:
    assert [module.name for module in HOUSE for names in imported(module.tree) if names[-1].split(".")[0] == "tests"] == []


@pytest.mark.parametrize("file", ["rules", "models", "facts", "actions", "views", "management"])
def test_the_house_has_such_a_file(file: str) -> None:
    """Without it the tests above would hold of nothing."""
    assert file in FILES
    assert named(file)


def test_every_module_has_its_storey() -> None:
    assert {name.split(".")[0] for name in modules()} == set(PACKAGES)
    assert [module.name for module in modules().values() if not module.storey] == ["locates"]
