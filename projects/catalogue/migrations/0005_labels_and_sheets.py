import django.db.models.deletion
import projects.platform.fields
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('accounts', '0004_people_without_an_e_mail'),
        ('catalogue', '0004_lighttarget'),
    ]

    operations = [
        migrations.CreateModel(
            name='InstallSheet',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('updated_at', models.DateTimeField(auto_now=True)),
                ('title', projects.platform.fields.NameField(max_length=120)),
                ('file', models.CharField(max_length=40, unique=True)),
                ('pages', models.PositiveSmallIntegerField()),
                ('bytes', models.PositiveIntegerField()),
                ('digest', models.CharField(max_length=64)),
                ('added_at', models.DateTimeField()),
                ('added_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.membership')),
                ('fixture_type', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='sheet', to='catalogue.fixturetype')),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.shop')),
            ],
            options={
                'ordering': ['pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('pages__isnull', True), models.Q(('pages__gte', 1), ('pages__lte', 60)), _connector='OR'), name='install_sheet_pages_bounds'), models.CheckConstraint(condition=models.Q(('bytes__isnull', True), models.Q(('bytes__gte', 1), ('bytes__lte', 50000000)), _connector='OR'), name='install_sheet_bytes_bounds'), models.CheckConstraint(condition=models.Q(('title__characters__lte', 120)), name='install_sheet_title_size'), models.CheckConstraint(condition=models.Q(('file__characters__lte', 40)), name='install_sheet_file_size'), models.CheckConstraint(condition=models.Q(('digest__characters__lte', 64)), name='install_sheet_digest_size')],
            },
        ),
        migrations.AddField(
            model_name='fixturetype',
            name='air_sealed',
            field=models.CharField(blank=True, choices=[('', 'Not known: the label was not read'), ('yes', 'Airtight by its label'), ('no', 'Not airtight by its label')], default='', max_length=3),
        ),
        migrations.AddField(
            model_name='fixturetype',
            name='label_read_by',
            field=models.CharField(blank=True, default='', max_length=80),
        ),
        migrations.AddField(
            model_name='fixturetype',
            name='label_read_on',
            field=models.DateField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='fixturetype',
            name='listing',
            field=models.CharField(blank=True, default='', max_length=120),
        ),
        migrations.AddField(
            model_name='fixturetype',
            name='place',
            field=models.CharField(blank=True, choices=[('', 'Not known: the label was not read'), ('dry', 'Dry places only'), ('damp', 'Damp places'), ('wet', 'Wet places')], default='', max_length=4),
        ),
        migrations.AddField(
            model_name='fixturetype',
            name='rated_ic',
            field=models.CharField(blank=True, choices=[('', 'Not known: the label was not read'), ('ic', 'Type IC: insulation may touch it'), ('not_ic', 'Not Type IC: keep insulation away, as the label says'), ('none', 'Not a recessed light')], default='', max_length=6),
        ),
        migrations.AddConstraint(
            model_name='fixturetype',
            constraint=models.CheckConstraint(condition=models.Q(('rated_ic__in', ['', 'ic', 'not_ic', 'none'])), name='fixture_type_rated_ic_known'),
        ),
        migrations.AddConstraint(
            model_name='fixturetype',
            constraint=models.CheckConstraint(condition=models.Q(('air_sealed__in', ['', 'yes', 'no'])), name='fixture_type_air_sealed_known'),
        ),
        migrations.AddConstraint(
            model_name='fixturetype',
            constraint=models.CheckConstraint(condition=models.Q(('place__in', ['', 'dry', 'damp', 'wet'])), name='fixture_type_place_known'),
        ),
        migrations.AddConstraint(
            model_name='fixturetype',
            constraint=models.CheckConstraint(condition=models.Q(('listing__characters__lte', 120)), name='fixture_type_listing_size'),
        ),
        migrations.AddConstraint(
            model_name='fixturetype',
            constraint=models.CheckConstraint(condition=models.Q(('label_read_by__characters__lte', 80)), name='fixture_type_label_read_by_size'),
        ),
    ]
