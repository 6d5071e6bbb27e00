from django.db import migrations

from records.ledger.triggers import guarded
from records.letters.guards import GUARDS


class Migration(migrations.Migration):
    dependencies = [("letters", "0001_initial"), ("ledger", "0003_guards")]

    operations = [migrations.RunPython(*guarded(GUARDS))]
