"""What only frees time of a promise that stands is never refused, though its owner wants the unit back before its end."""

from django.db import migrations

BEFORE = """
CREATE OR REPLACE FUNCTION booking_inside_the_window() RETURNS trigger LANGUAGE plpgsql AS $$
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
"""
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
