from django.db import migrations

from locates.lookovers.guards import GUARDS
from records.ledger.triggers import guarded


class Migration(migrations.Migration):
    dependencies = [("lookovers", "0001_initial"), ("life", "0004_halt"), ("permits", "0002_guards"), ("ledger", "0003_guards")]

    operations = [migrations.RunPython(*guarded(GUARDS))]
