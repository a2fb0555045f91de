from django.db import migrations, models

from gear.inventory.short_code import random_code

AT_ONCE = 2000


def give_codes(apps, schema_editor):
    """A code for every unit in the store; none that is the tag or the code of another."""
    unit_model = apps.get_model("inventory", "Unit")
    taken = set(unit_model.objects.values_list("tag", flat=True))
    units = list(unit_model.objects.only("id", "code").order_by("id"))
    for unit in units:
        while (code := random_code()) in taken:
            pass
        taken.add(code)
        unit.code = code
    unit_model.objects.bulk_update(units, ["code"], batch_size=AT_ONCE)


class Migration(migrations.Migration):
    dependencies = [
        ("catalogue", "0001_initial"),
        ("inventory", "0003_search_and_imports"),
    ]

    operations = [
        migrations.AddField(
            model_name="unit",
            name="code",
            field=models.CharField(
                blank=True,
                default="",
                editable=False,
                help_text="the short code on its label, given once and kept",
                max_length=6,
            ),
            preserve_default=False,
        ),
        migrations.RunPython(give_codes, migrations.RunPython.noop),
        migrations.AlterField(
            model_name="unit",
            name="code",
            field=models.CharField(
                blank=True,
                editable=False,
                help_text="the short code on its label, given once and kept",
                max_length=6,
                unique=True,
            ),
        ),
        migrations.AddConstraint(
            model_name="unit",
            constraint=models.CheckConstraint(
                condition=models.Q(("code__regex", "^[23456789CDFHJKMNPRTVWXY]{6}$")),
                name="inventory_code_form",
            ),
        ),
    ]
