from django.db import migrations

from locates.life.guards import GUARDS
from records.ledger.triggers import guarded


class Migration(migrations.Migration):
    dependencies = [("life", "0001_initial"), ("permits", "0002_guards"), ("ledger", "0003_guards")]

    operations = [migrations.RunPython(*guarded(GUARDS))]
