import django.db.models.deletion
import projects.platform.fields
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('accounts', '0003_currency_and_quotes'),
        ('jobs', '0007_what_lies_in_the_trash'),
        ('photos', '0001_initial'),
    ]

    operations = [
        migrations.CreateModel(
            name='RoomKnown',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('updated_at', models.DateTimeField(auto_now=True)),
                ('fire_rated', models.BooleanField(blank=True, null=True)),
                ('insulated', models.BooleanField(blank=True, null=True)),
                ('wet', models.BooleanField(blank=True, null=True)),
                ('attic', models.BooleanField(blank=True, null=True)),
                ('sawn_joists', models.BooleanField(blank=True, null=True)),
                ('engineered_lumber', models.BooleanField(blank=True, null=True)),
                ('by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.membership')),
                ('room', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='checks_known', to='jobs.room')),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.shop')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Run',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('updated_at', models.DateTimeField(auto_now=True)),
                ('once_per', models.CharField(choices=[('job', 'once for the job'), ('floor', 'once for the floor'), ('room', 'for each room')], max_length=5)),
                ('level', models.CharField(blank=True, default='', max_length=40)),
                ('list_version', models.CharField(max_length=20)),
                ('closing', models.CharField(blank=True, default='', max_length=400)),
                ('contents', models.TextField()),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='check_runs', to='jobs.job')),
                ('room', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='check_run', to='jobs.room')),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.shop')),
            ],
            options={
                'ordering': ['pk'],
                'constraints': [models.UniqueConstraint(condition=models.Q(('room', None)), fields=('job', 'once_per', 'level'), name='check_run_once_per_floor'), models.CheckConstraint(condition=models.Q(('once_per__in', ['job', 'floor', 'room'])), name='check_run_once_per_known'), models.CheckConstraint(condition=models.Q(models.Q(('level', ''), ('once_per', 'room'), ('room__isnull', False)), models.Q(('once_per', 'floor'), ('room', None)), models.Q(('level', ''), ('once_per', 'job'), ('room', None)), _connector='OR'), name='check_run_of_one_thing'), models.CheckConstraint(condition=models.Q(('level__characters__lte', 40)), name='check_run_level_size'), models.CheckConstraint(condition=models.Q(('list_version__characters__lte', 20)), name='check_run_list_version_size'), models.CheckConstraint(condition=models.Q(('closing__characters__lte', 400)), name='check_run_closing_size'), models.CheckConstraint(condition=models.Q(('contents__characters__lte', 100000)), name='check_run_contents_size')],
            },
        ),
        migrations.CreateModel(
            name='Answer',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveSmallIntegerField()),
                ('version', models.PositiveIntegerField(default=1)),
                ('current', models.BooleanField(default=True)),
                ('outcome', models.CharField(choices=[('pass', 'pass'), ('fail', 'fail'), ('n-a', 'n/a')], max_length=4)),
                ('reason', projects.platform.fields.NoteField(blank=True, default='', max_length=1000)),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.membership')),
                ('photo', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='photos.photo')),
                ('run', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='answers', to='checks.run')),
            ],
            options={
                'ordering': ['number', 'version'],
                'constraints': [models.UniqueConstraint(fields=('run', 'number', 'version'), name='check_answer_version_once'), models.UniqueConstraint(condition=models.Q(('current', True)), fields=('run', 'number'), name='check_answer_one_current'), models.CheckConstraint(condition=models.Q(('number__isnull', True), models.Q(('number__gte', 1), ('number__lte', 400)), _connector='OR'), name='check_answer_number_bounds'), models.CheckConstraint(condition=models.Q(('outcome__in', ['pass', 'fail', 'n-a'])), name='check_answer_outcome_known'), models.CheckConstraint(condition=models.Q(('outcome', 'pass'), models.Q(('reason', ''), _negated=True), _connector='OR'), name='check_answer_says_why'), models.CheckConstraint(condition=models.Q(('reason__characters__lte', 1000)), name='check_answer_reason_size')],
            },
        ),
    ]
