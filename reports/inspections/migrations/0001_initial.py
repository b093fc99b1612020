import datetime
import django.db.models.deletion
import projects.platform.fields
from decimal import Decimal
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('accounts', '0004_people_without_an_e_mail'),
        ('jobs', '0007_what_lies_in_the_trash'),
        ('photos', '0001_initial'),
    ]

    operations = [
        migrations.CreateModel(
            name='Visit',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('updated_at', models.DateTimeField(auto_now=True)),
                ('kind', models.CharField(choices=[('power', 'rough-in, power'), ('low_voltage', 'rough-in, low voltage'), ('final', 'final')], max_length=11)),
                ('on', models.DateField()),
                ('inspector', projects.platform.fields.NameField(max_length=120)),
                ('tag', models.CharField(blank=True, default='', max_length=60)),
                ('fee', models.DecimalField(blank=True, decimal_places=2, max_digits=8, null=True)),
                ('again_on', models.DateField(blank=True, null=True)),
                ('note', projects.platform.fields.NoteField(blank=True, default='', max_length=1000)),
                ('by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.membership')),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='inspections', to='jobs.job')),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.shop')),
            ],
            options={
                'ordering': ['-on', '-pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('kind__in', ['power', 'low_voltage', 'final'])), name='inspection_kind_known'), models.CheckConstraint(condition=models.Q(('fee__isnull', True), models.Q(('fee__gte', 0), ('fee__lte', Decimal('100000'))), _connector='OR'), name='inspection_fee_bounds'), models.CheckConstraint(condition=models.Q(('on__gte', datetime.date(2000, 1, 1)), ('on__lte', datetime.date(2100, 12, 31))), name='inspection_on_bounds'), models.CheckConstraint(condition=models.Q(('again_on', None), models.Q(('again_on__gte', models.F('on')), ('again_on__lte', datetime.date(2100, 12, 31))), _connector='OR'), name='inspection_again_later'), models.CheckConstraint(condition=models.Q(('inspector__characters__lte', 120)), name='inspection_inspector_size'), models.CheckConstraint(condition=models.Q(('tag__characters__lte', 60)), name='inspection_tag_size'), models.CheckConstraint(condition=models.Q(('note__characters__lte', 1000)), name='inspection_note_size')],
                'indexes': [models.Index(fields=['shop', 'on'], name='inspections_shop_id_81e9f8_idx')],
            },
        ),
        migrations.CreateModel(
            name='RoomResult',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('outcome', models.CharField(choices=[('pass', 'passed'), ('partial', 'passed in part'), ('fail', 'failed')], max_length=7)),
                ('room', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='inspection_results', to='jobs.room')),
                ('visit', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='results', to='inspections.visit')),
            ],
            options={
                'ordering': ['pk'],
                'constraints': [models.UniqueConstraint(fields=('visit', 'room'), name='inspection_result_once'), models.CheckConstraint(condition=models.Q(('outcome__in', ['pass', 'partial', 'fail'])), name='inspection_result_outcome_known')],
            },
        ),
        migrations.CreateModel(
            name='Correction',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('updated_at', models.DateTimeField(auto_now=True)),
                ('words', models.CharField(max_length=400)),
                ('answer', models.CharField(blank=True, default='', max_length=400)),
                ('answered_at', models.DateTimeField(blank=True, null=True)),
                ('answered_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.membership')),
                ('photo', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='photos.photo')),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.shop')),
                ('result', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='corrections', to='inspections.roomresult')),
            ],
            options={
                'ordering': ['pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('words', ''), _negated=True), name='correction_says_what'), models.CheckConstraint(condition=models.Q(models.Q(('answer', ''), ('answered_at', None), ('photo', None)), models.Q(models.Q(('answer', ''), _negated=True), ('answered_at__isnull', False)), _connector='OR'), name='correction_answered_with_words'), models.CheckConstraint(condition=models.Q(('words__characters__lte', 400)), name='correction_words_size'), models.CheckConstraint(condition=models.Q(('answer__characters__lte', 400)), name='correction_answer_size')],
            },
        ),
    ]
