from django.db import migrations

from locates.permits.guards import GUARDS
from records.ledger.triggers import guarded


class Migration(migrations.Migration):
    dependencies = [("permits", "0001_initial"), ("surveys", "0001_initial"), ("ledger", "0003_guards")]

    operations = [migrations.RunPython(*guarded(GUARDS))]
