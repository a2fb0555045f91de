import django.contrib.postgres.fields.ranges
import django.db.models.deletion
from django.db import migrations, models

INSIDE = """
CREATE FUNCTION booking_inside_the_window() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    here tstzrange;
BEGIN
    IF NEW.active THEN
        SELECT during INTO here FROM booking_unitwindow WHERE unit_id = NEW.unit_id FOR SHARE;
        IF FOUND AND NOT here @> NEW.blocked THEN
            RAISE EXCEPTION 'the unit is not here for the whole of the time'
                USING ERRCODE = 'check_violation', CONSTRAINT = 'booking_inside_the_window',
                      TABLE = 'booking_allocation';
        END IF;
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER booking_inside_the_window
    BEFORE INSERT OR UPDATE OF unit_id, blocked, active ON booking_allocation
    FOR EACH ROW EXECUTE FUNCTION booking_inside_the_window();
"""
OUT = """
DROP TRIGGER booking_inside_the_window ON booking_allocation;
DROP FUNCTION booking_inside_the_window();
"""


class Migration(migrations.Migration):
    dependencies = [
        ("booking", "0004_promised_by"),
        ("inventory", "0003_search_and_imports"),
    ]

    operations = [
        migrations.CreateModel(
            name="UnitWindow",
            fields=[
                (
                    "unit",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        related_name="window",
                        serialize=False,
                        to="inventory.unit",
                    ),
                ),
                (
                    "during",
                    django.contrib.postgres.fields.ranges.DateTimeRangeField(default_bounds="[)"),
                ),
                ("owner", models.CharField(max_length=120)),
                ("goes_back_at", models.DateTimeField()),
            ],
        ),
        migrations.RunSQL(INSIDE, OUT),
    ]
