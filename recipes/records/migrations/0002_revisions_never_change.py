from django.db import migrations

FORWARD = """
create function records_revision_never_changes() returns trigger language plpgsql as $$
begin
    raise exception 'revision % of recipe % never changes; save a new revision instead', old.number, old.recipe_id
        using errcode = 'integrity_constraint_violation', constraint = 'records_revision_never_changes';
end $$;
create trigger records_revision_never_changes before update or delete on records_revision
    for each row execute function records_revision_never_changes();
"""
BACKWARD = """
drop trigger records_revision_never_changes on records_revision;
drop function records_revision_never_changes();
"""


class Migration(migrations.Migration):
    dependencies = [("records", "0001_initial")]

    operations = [migrations.RunSQL(FORWARD, BACKWARD)]
