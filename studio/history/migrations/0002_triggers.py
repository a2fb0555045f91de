"""The triggers that keep the history: once a statement, however many rows it touches, whoever sends it."""

from django.db import migrations

# Table, and the column that names the row it is shown with.
WATCHED = {
    "catalogue_geartype": "",
    "inventory_unit": "",
    "booking_booking": "",
    "booking_allocation": "booking_id",
    "records_recipe": "",
    "places_room": "",
    "shoots_shoot": "",
    "shoots_shootrecipe": "shoot_id",
    "shoots_assignment": "shoot_recipe_id",
    "packing_packingline": "shoot_id",
}

# Columns that change with every change and say nothing by themselves.
QUIET = "version,created_at,updated_at"

KEEP = """
CREATE OR REPLACE FUNCTION history_keep() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    parent text := TG_ARGV[0];
    quiet text[] := string_to_array(TG_ARGV[1], ',');
    who bigint := nullif(current_setting('pghistory.context_metadata', true), '')::jsonb ->> 'user';
BEGIN
    IF TG_OP = 'INSERT' THEN
        INSERT INTO history_event (at, act, "table", row_id, parent_id, person_id, row_after)
        SELECT now(), 'made', TG_TABLE_NAME, (r ->> 'id')::bigint, (r ->> parent)::bigint, who, r - quiet
        FROM (SELECT to_jsonb(new_rows) AS r FROM new_rows) AS made;
    ELSIF TG_OP = 'DELETE' THEN
        INSERT INTO history_event (at, act, "table", row_id, parent_id, person_id, row_before)
        SELECT now(), 'deleted', TG_TABLE_NAME, (r ->> 'id')::bigint, (r ->> parent)::bigint, who, r - quiet
        FROM (SELECT to_jsonb(old_rows) AS r FROM old_rows) AS gone;
    ELSE
        INSERT INTO history_event (at, act, "table", row_id, parent_id, person_id, row_before, row_after)
        SELECT now(), 'changed', TG_TABLE_NAME, id, (after ->> parent)::bigint, who, before, after
        FROM (
            SELECT id, to_jsonb(old_rows) - quiet AS before, to_jsonb(new_rows) - quiet AS after
            FROM old_rows JOIN new_rows USING (id)
        ) AS pairs
        WHERE before <> after;
    END IF;
    RETURN NULL;
END $$;
"""

STAYS = """
CREATE OR REPLACE FUNCTION history_stays() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'history is only added to' USING ERRCODE = 'check_violation', CONSTRAINT = 'history_stays';
END $$;
CREATE TRIGGER history_stays BEFORE UPDATE OR DELETE ON history_event
    FOR EACH STATEMENT EXECUTE FUNCTION history_stays();
"""

ROWS = {
    "insert": "NEW TABLE AS new_rows",
    "update": "OLD TABLE AS old_rows NEW TABLE AS new_rows",
    "delete": "OLD TABLE AS old_rows",
}

WATCH = "".join(
    f"CREATE TRIGGER history_{act} AFTER {act} ON {table} REFERENCING {rows} "
    f"FOR EACH STATEMENT EXECUTE FUNCTION history_keep('{parent}', '{QUIET}');\n"
    for table, parent in WATCHED.items()
    for act, rows in ROWS.items()
)
UNWATCH = "".join(f"DROP TRIGGER history_{act} ON {table};\n" for table in WATCHED for act in ROWS)


class Migration(migrations.Migration):
    dependencies = [
        ("history", "0001_initial"),
        ("catalogue", "0001_initial"),
        ("inventory", "0001_initial"),
        ("booking", "0001_initial"),
        ("records", "0001_initial"),
        ("places", "0001_initial"),
        ("shoots", "0001_initial"),
        ("packing", "0001_initial"),
    ]

    operations = [
        migrations.RunSQL(KEEP, "DROP FUNCTION history_keep();"),
        migrations.RunSQL(
            STAYS, "DROP TRIGGER history_stays ON history_event; DROP FUNCTION history_stays();"
        ),
        migrations.RunSQL(WATCH, UNWATCH),
    ]
