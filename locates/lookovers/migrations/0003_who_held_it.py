from django.db import migrations

from locates.lookovers.guards import GUARDS
from records.ledger.triggers import guarded


class Migration(migrations.Migration):
    dependencies = [("lookovers", "0002_guards"), ("life", "0008_withdraw_for")]

    operations = [migrations.RunPython(*guarded(GUARDS))]
