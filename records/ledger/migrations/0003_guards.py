from django.db import migrations

from records.ledger.guards import GUARDS
from records.ledger.triggers import guarded


class Migration(migrations.Migration):
    dependencies = [("ledger", "0002_head")]

    operations = [migrations.RunPython(*guarded(GUARDS))]
