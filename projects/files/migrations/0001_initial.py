import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('accounts', '0003_currency_and_quotes'),
    ]

    operations = [
        migrations.CreateModel(
            name='KeptBytes',
            fields=[
                ('shop', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='+', serialize=False, to='accounts.shop')),
                ('used', models.BigIntegerField(default=0)),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('used__isnull', True), models.Q(('used__gte', 0), ('used__lte', 1125899906842624)), _connector='OR'), name='kept_bytes_used_bounds')],
            },
        ),
    ]
