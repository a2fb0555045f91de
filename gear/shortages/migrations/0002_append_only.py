from django.db import migrations

APPEND_ONLY = """
CREATE FUNCTION shortages_trail_is_append_only() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'the trail of a shortage is only added to' USING ERRCODE = 'restrict_violation';
END $$;
CREATE TRIGGER shortages_trail_is_append_only
    BEFORE UPDATE OR DELETE ON shortages_shortagenote
    FOR EACH ROW EXECUTE FUNCTION shortages_trail_is_append_only();
"""
OUT = """
DROP TRIGGER shortages_trail_is_append_only ON shortages_shortagenote;
DROP FUNCTION shortages_trail_is_append_only();
"""


class Migration(migrations.Migration):
    dependencies = [("shortages", "0001_initial")]

    operations = [migrations.RunSQL(APPEND_ONLY, OUT)]
