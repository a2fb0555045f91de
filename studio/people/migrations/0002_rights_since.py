import django.db.models.functions.datetime
from django.db import migrations, models

SET = """
CREATE FUNCTION people_rights_since() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF (NEW.role, NEW.is_active, NEW.is_superuser) IS DISTINCT FROM (OLD.role, OLD.is_active, OLD.is_superuser) THEN
        NEW.rights_since := clock_timestamp();
    ELSE
        NEW.rights_since := OLD.rights_since;
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER people_rights_since BEFORE UPDATE ON people_person
    FOR EACH ROW EXECUTE FUNCTION people_rights_since();
"""
UNSET = "DROP TRIGGER people_rights_since ON people_person; DROP FUNCTION people_rights_since();"


class Migration(migrations.Migration):
    dependencies = [("people", "0001_initial")]

    operations = [
        migrations.AddField(
            model_name="person",
            name="rights_since",
            field=models.DateTimeField(
                db_default=django.db.models.functions.datetime.Now(),
                editable=False,
                help_text="when role or standing last changed; a trigger sets it, whoever makes the change",
            ),
        ),
        migrations.RunSQL(SET, UNSET),
    ]
