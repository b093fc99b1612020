import django.db.models.deletion
import projects.platform.fields
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('accounts', '0003_currency_and_quotes'),
        ('jobs', '0006_runs_as_and_held_up'),
    ]

    operations = [
        migrations.CreateModel(
            name='Photo',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('updated_at', models.DateTimeField(auto_now=True)),
                ('purpose', models.CharField(blank=True, choices=[('', 'Anything else'), ('wall', 'A wall, before work'), ('ceiling', 'The ceiling, before work'), ('panel', 'The panel, its door open'), ('tape', 'With a tape in it, for scale'), ('cover', 'A bay before it is covered, tape showing'), ('clearance', 'The space kept around a light that is not IC'), ('hole', 'A hole, or what came out of it'), ('correction', 'A correction, done'), ('punch', 'A punch item'), ('as_built', 'Finished'), ('card', 'A marked-up card')], default='', max_length=12)),
                ('mark', models.CharField(blank=True, default='', max_length=12)),
                ('bay', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('caption', models.CharField(blank=True, default='', max_length=200)),
                ('file', models.CharField(max_length=40)),
                ('small', models.CharField(max_length=40)),
                ('wide', models.PositiveSmallIntegerField()),
                ('high', models.PositiveSmallIntegerField()),
                ('bytes', models.PositiveIntegerField()),
                ('taken_at', models.DateTimeField()),
                ('key', models.CharField(blank=True, default='', max_length=64)),
                ('trashed_at', models.DateTimeField(blank=True, null=True)),
                ('room', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='photos', to='jobs.room')),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.shop')),
                ('taken_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.membership')),
                ('trashed_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.membership')),
            ],
            options={
                'ordering': ['pk'],
                'indexes': [models.Index(fields=['room', 'purpose'], name='photos_phot_room_id_b37ae0_idx')],
                'constraints': [models.UniqueConstraint(condition=models.Q(('key', ''), _negated=True), fields=('shop', 'key'), name='photo_once_per_key'), models.UniqueConstraint(fields=('file',), name='photo_file_once'), models.CheckConstraint(condition=models.Q(('purpose__in', ['', 'wall', 'ceiling', 'panel', 'tape', 'cover', 'clearance', 'hole', 'correction', 'punch', 'as_built', 'card'])), name='photo_purpose_known'), models.CheckConstraint(condition=models.Q(('bay__isnull', True), models.Q(('bay__gte', 1), ('bay__lte', 400)), _connector='OR'), name='photo_bay_bounds'), models.CheckConstraint(condition=models.Q(('wide__isnull', True), models.Q(('wide__gte', 1), ('wide__lte', 1600)), _connector='OR'), name='photo_wide_bounds'), models.CheckConstraint(condition=models.Q(('high__isnull', True), models.Q(('high__gte', 1), ('high__lte', 1600)), _connector='OR'), name='photo_high_bounds'), models.CheckConstraint(condition=models.Q(('bytes__isnull', True), models.Q(('bytes__gte', 1), ('bytes__lte', 50000000)), _connector='OR'), name='photo_bytes_bounds'), models.CheckConstraint(condition=models.Q(('mark__characters__lte', 12)), name='photo_mark_size'), models.CheckConstraint(condition=models.Q(('caption__characters__lte', 200)), name='photo_caption_size'), models.CheckConstraint(condition=models.Q(('file__characters__lte', 40)), name='photo_file_size'), models.CheckConstraint(condition=models.Q(('small__characters__lte', 40)), name='photo_small_size'), models.CheckConstraint(condition=models.Q(('key__characters__lte', 64)), name='photo_key_size')],
            },
        ),
        migrations.CreateModel(
            name='PunchItem',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('updated_at', models.DateTimeField(auto_now=True)),
                ('words', models.CharField(max_length=200)),
                ('mark', models.CharField(blank=True, default='', max_length=12)),
                ('found_at', models.DateTimeField()),
                ('closed_at', models.DateTimeField(blank=True, null=True)),
                ('closed_words', projects.platform.fields.NoteField(blank=True, default='', max_length=400)),
                ('closed_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.membership')),
                ('closed_with', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='photos.photo')),
                ('found_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.membership')),
                ('room', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='punch_items', to='jobs.room')),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.shop')),
            ],
            options={
                'ordering': ['pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(models.Q(('closed_at', None), ('closed_with', None)), models.Q(('closed_at__isnull', False), models.Q(('closed_with__isnull', False), models.Q(('closed_words', ''), _negated=True), _connector='OR')), _connector='OR'), name='punch_item_closed_with_something'), models.CheckConstraint(condition=models.Q(('words__characters__lte', 200)), name='punch_item_words_size'), models.CheckConstraint(condition=models.Q(('mark__characters__lte', 12)), name='punch_item_mark_size'), models.CheckConstraint(condition=models.Q(('closed_words__characters__lte', 400)), name='punch_item_closed_words_size')],
            },
        ),
    ]
