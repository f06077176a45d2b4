from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("store", "0003_inspections"),
    ]

    operations = [
        migrations.AddField(
            model_name="plantrow",
            name="judged_by",
            field=models.CharField(blank=True, default="", max_length=120),
            preserve_default=False,
        ),
    ]
