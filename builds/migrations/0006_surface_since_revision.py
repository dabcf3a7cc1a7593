from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("builds", "0005_variant_packs_wiring"),
    ]

    operations = [
        migrations.AddField(
            model_name="controlsurface",
            name="since_revision",
            field=models.PositiveIntegerField(
                default=0,
                editable=False,
                help_text="Revision in which its linkage last changed",
            ),
        ),
    ]
