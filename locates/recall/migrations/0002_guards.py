from django.db import migrations

from locates.recall.guards import GUARDS
from records.ledger.triggers import guarded


class Migration(migrations.Migration):
    dependencies = [("recall", "0001_initial"), ("ledger", "0003_guards")]

    operations = [migrations.RunPython(*guarded(GUARDS))]
