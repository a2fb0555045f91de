"""What only frees time of a promise that stands is never refused, though its owner wants the unit back before its end."""

import importlib

from django.db import migrations

_first = importlib.import_module("gear.booking.migrations.0005_unit_window")

BEFORE = _first.INSIDE.partition("CREATE TRIGGER")[0].replace("CREATE FUNCTION", "CREATE OR REPLACE FUNCTION")
AFTER = BEFORE.replace(
    "    IF NEW.active THEN\n",
    """    IF TG_OP = 'UPDATE' THEN
        IF OLD.active AND OLD.unit_id = NEW.unit_id AND OLD.blocked @> NEW.blocked THEN
            RETURN NEW;
        END IF;
    END IF;
    IF NEW.active THEN
""",
)


class Migration(migrations.Migration):
    dependencies = [("booking", "0011_no_return_date")]

    operations = [migrations.RunSQL(AFTER, BEFORE)]
