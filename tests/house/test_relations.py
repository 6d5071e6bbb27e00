"""A foreign key is an import: it points down."""

from django.apps import apps
from django.db.models import Field, Model

from tests.house.source import STOREYS

OURS = [model for model in apps.get_models() if model._meta.app_config.name in STOREYS]


def storey(model: type[Model]) -> int:
    return STOREYS.index(model._meta.app_config.name)


def relations(model: type[Model]) -> list[Field]:
    return [field for field in (*model._meta.fields, *model._meta.many_to_many) if field.is_relation]


def test_relations_point_down_the_house_or_stay_in_their_app() -> None:
    pairs = [(model, field.related_model) for model in OURS for field in relations(model)]
    assert [f"{one.__name__} → {other.__name__}" for one, other in pairs if other not in OURS or storey(other) > storey(one)] == []


def test_the_history_points_at_nobody() -> None:
    history = [model for model in OURS if model._meta.app_label == "ledger"]
    assert history
    assert [str(field) for model in history for field in relations(model)] == []


def test_no_record_goes_when_another_is_deleted() -> None:
    keys = [field for model in OURS for field in model._meta.fields if field.is_relation]
    assert {field.remote_field.on_delete.__name__ for field in keys} == {"PROTECT"}


def test_every_model_says_what_it_is() -> None:
    assert [model.__name__ for model in OURS if model.__doc__ is None or model.__doc__.startswith(f"{model.__name__}(")] == []
