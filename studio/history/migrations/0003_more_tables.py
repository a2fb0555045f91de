"""The history of what is counted, of kits, of what is borrowed and short, of places and of what is in rooms."""

import importlib

from django.db import migrations

_before = importlib.import_module("studio.history.migrations.0002_triggers")

# Table, and the column that names the row it is shown with.
WATCHED = {
    "stock_stockitem": "",
    "stock_stockpromise": "booking_id",
    "kits_kit": "",
    "kits_kitpart": "kit_id",
    "kits_kitoption": "part_id",
    "kits_kitpromise": "booking_id",
    "subhire_subhire": "unit_id",
    "shortages_shortage": "booking_id",
    "shortages_latereturn": "unit_id",
    "places_place": "",
    "places_roomwindow": "room_id",
    "places_roomcircuit": "room_id",
    "packing_packingclosure": "shoot_id",
}

WATCH = "".join(
    f"CREATE TRIGGER history_{act} AFTER {act} ON {table} REFERENCING {rows} "
    f"FOR EACH STATEMENT EXECUTE FUNCTION history_keep('{parent}', '{_before.QUIET}');\n"
    for table, parent in WATCHED.items()
    for act, rows in _before.ROWS.items()
)
UNWATCH = "".join(f"DROP TRIGGER history_{act} ON {table};\n" for table in WATCHED for act in _before.ROWS)


class Migration(migrations.Migration):
    dependencies = [
        ("history", "0002_triggers"),
        ("stock", "0001_initial"),
        ("kits", "0001_initial"),
        ("subhire", "0001_initial"),
        ("shortages", "0001_initial"),
        ("places", "0001_initial"),
        ("packing", "0001_initial"),
    ]

    operations = [migrations.RunSQL(WATCH, UNWATCH)]
