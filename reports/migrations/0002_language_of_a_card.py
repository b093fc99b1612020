from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('reports', '0001_initial'),
    ]

    operations = [
        migrations.AddField(
            model_name='cardcopy',
            name='language',
            field=models.CharField(blank=True, choices=[('en-us', 'English'), ('es-mx', 'Español'), ('both', 'both, side by side')], default='', max_length=5),
        ),
        migrations.AddConstraint(
            model_name='cardcopy',
            constraint=models.CheckConstraint(condition=models.Q(('language__in', ['', 'en-us', 'es-mx', 'both'])), name='card_copy_language_known'),
        ),
    ]
