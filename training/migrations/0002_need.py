
import django.core.validators
import records.base
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('training', '0001_initial'),
    ]

    operations = [
        migrations.CreateModel(
            name='Need',
            fields=[
                ('recorded_at', models.DateTimeField(editable=False)),
                ('need', records.base.IdentifierField(max_length=40, primary_key=True, serialize=False, validators=[django.core.validators.RegexValidator('\\A[A-Za-z0-9._-]{1,40}\\Z', '1 to 40 letters, digits, dots, underscores or hyphens were expected')])),
                ('role', models.CharField(choices=[('operator', 'operator'), ('supervisor', 'supervisor'), ('crew', 'crew')], max_length=20)),
                ('effective_from', models.DateField()),
                ('authorises', records.base.ListField()),
                ('source', models.TextField(blank=True, max_length=2000)),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('role__in', ('operator', 'supervisor', 'crew'))), name='training_need_role_word'), models.UniqueConstraint(fields=('role', 'effective_from'), name='training_need_once')],
            },
        ),
    ]
