"""The history of what repeats, of who was asked to decide, of working hours, of people's rights, of what was packed
twice or found, and of what somebody decided about an act of a phone."""

import importlib

from django.db import migrations

_before = importlib.import_module("studio.history.migrations.0002_triggers")

# Table: the column that names the row it is shown with, its own key, and more columns that are not kept.
WATCHED = {
    "booking_series": ("", "id", "made_to"),
    "booking_occurrence": ("series_id", "id", ""),
    "booking_challenge": ("unit_id", "id", ""),
    "shoots_seriespattern": ("series_id", "id", ""),
    "places_workinghours": ("place_id", "place_id", ""),
    "people_person": ("", "id", "password,last_login,rights_since"),
    "packing_dispute": ("unit_id", "id", ""),
    "packing_foundthing": ("shoot_id", "id", ""),
    "phones_operation": ("shoot_id", "id", "document,photo"),
}

# A key of another name is a third argument; such tables are small, so that their rows are matched as documents.
KEEP = """
CREATE OR REPLACE FUNCTION history_keep() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    parent text := TG_ARGV[0];
    quiet text[] := string_to_array(TG_ARGV[1], ',');
    own text := coalesce(TG_ARGV[2], 'id');
    who bigint := nullif(current_setting('pghistory.context_metadata', true), '')::jsonb ->> 'user';
BEGIN
    IF TG_OP = 'INSERT' THEN
        INSERT INTO history_event (at, act, "table", row_id, parent_id, person_id, row_after)
        SELECT now(), 'made', TG_TABLE_NAME, (r ->> own)::bigint, (r ->> parent)::bigint, who, r - quiet
        FROM (SELECT to_jsonb(new_rows) AS r FROM new_rows) AS made;
    ELSIF TG_OP = 'DELETE' THEN
        INSERT INTO history_event (at, act, "table", row_id, parent_id, person_id, row_before)
        SELECT now(), 'deleted', TG_TABLE_NAME, (r ->> own)::bigint, (r ->> parent)::bigint, who, r - quiet
        FROM (SELECT to_jsonb(old_rows) AS r FROM old_rows) AS gone;
    ELSIF own <> 'id' THEN
        INSERT INTO history_event (at, act, "table", row_id, parent_id, person_id, row_before, row_after)
        SELECT now(), 'changed', TG_TABLE_NAME, (after ->> own)::bigint, (after ->> parent)::bigint, who, before, after
        FROM (
            SELECT before - quiet AS before, after - quiet AS after
            FROM (SELECT to_jsonb(old_rows) AS before FROM old_rows) AS was
            JOIN (SELECT to_jsonb(new_rows) AS after FROM new_rows) AS has ON before ->> own = after ->> own
        ) AS pairs
        WHERE before <> after;
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

WATCH = "".join(
    f"CREATE TRIGGER history_{act} AFTER {act} ON {table} REFERENCING {rows} FOR EACH STATEMENT "
    f"EXECUTE FUNCTION history_keep('{parent}', '{','.join(filter(None, (_before.QUIET, quiet)))}', '{own}');\n"
    for table, (parent, own, quiet) in WATCHED.items()
    for act, rows in _before.ROWS.items()
)
UNWATCH = "".join(f"DROP TRIGGER history_{act} ON {table};\n" for table in WATCHED for act in _before.ROWS)


class Migration(migrations.Migration):
    dependencies = [
        ("history", "0003_more_tables"),
        ("booking", "0008_line_and_challenges"),
        ("people", "0002_rights_since"),
        ("places", "0003_working_hours"),
        ("shoots", "0005_panels"),
        ("packing", "0003_disputes_and_found"),
        ("phones", "0001_initial"),
    ]

    operations = [migrations.RunSQL(KEEP, _before.KEEP), migrations.RunSQL(WATCH, UNWATCH)]
