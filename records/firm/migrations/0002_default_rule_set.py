from datetime import UTC, datetime

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

BEFORE_ALL_RECORDS = datetime(1900, 1, 1, tzinfo=UTC)


def reserve(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    rule_sets = apps.get_model("firm", "RuleSet").objects.using(schema_editor.connection.alias)
    rule_sets.get_or_create(rule_set="default", defaults={"recorded_at": BEFORE_ALL_RECORDS})


class Migration(migrations.Migration):
    dependencies = [("firm", "0001_initial")]

    operations = [migrations.RunPython(reserve, migrations.RunPython.noop)]
