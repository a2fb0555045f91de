"""What came back, was used up or reported is not out any more: its promise is not held fast for that."""

from django.db import migrations

LET_GO = """
UPDATE booking_allocation a SET pinned = false
  FROM packing_packingline l JOIN shoots_shoot s ON s.id = l.shoot_id
 WHERE a.booking_id = s.booking_id AND a.unit_id = l.unit_id AND a.pinned AND l.outcome <> ''
"""


class Migration(migrations.Migration):
    dependencies = [
        ("packing", "0004_for_many"),
        ("booking", "0011_no_return_date"),
        ("shoots", "0006_for_many"),
    ]

    operations = [migrations.RunSQL(LET_GO, migrations.RunSQL.noop)]
