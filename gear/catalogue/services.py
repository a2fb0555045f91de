"""What can be done to the catalogue; each is one transaction."""

from __future__ import annotations

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import IntegrityError, transaction

from gear.catalogue.differences import ChangedMeanwhile, differences
from gear.catalogue.entry import GearTypeEntry
from gear.catalogue.importing import import_gear_types
from gear.catalogue.models import GearType
from gear.catalogue.queries import entry_fields, gear_type_named
from gear.catalogue.rules import keeps_its_kind
from gear.changes import announce
from gear.errors import Conflict

__all__ = ["change_gear_type", "create_gear_type", "import_gear_types"]


def create_gear_type(entry: GearTypeEntry, by: AbstractBaseUser | None) -> GearType:
    """Put a new entry into the catalogue. Raises `Conflict` when its slug or its maker and name are taken."""
    gear_type = GearType(**entry.model_dump())
    with transaction.atomic():
        _save(gear_type, entry)
        announce("gear-type", [gear_type.pk])
    return gear_type


def change_gear_type(slug: str, entry: GearTypeEntry, version: int, by: AbstractBaseUser | None) -> GearType:
    """Make an entry say what ``entry`` says. ``version`` is the one the edit started from.

    Raises `Gone`, `ChangedMeanwhile` when somebody saved in between, `Conflict` when the new slug or name is taken
    or the kind is another.
    """
    with transaction.atomic():
        gear_type_named(slug)
        gear_type = GearType.objects.select_for_update(no_key=True).get(slug=slug)
        saved, typed = entry_fields(gear_type), entry.model_dump()
        if gear_type.version != version:
            raise ChangedMeanwhile(str(gear_type), differences(saved, typed), gear_type.version)
        keeps_its_kind(slug, gear_type.kind, entry.kind)
        if saved == typed:
            return gear_type
        for field, value in typed.items():
            setattr(gear_type, field, value)
        gear_type.version += 1
        _save(gear_type, entry)
        announce("gear-type", [gear_type.pk])
    return gear_type


def _save(gear_type: GearType, entry: GearTypeEntry) -> None:
    """Save, and turn the database's word about a taken name into a sentence."""
    try:
        with transaction.atomic():
            gear_type.save()
    except IntegrityError as error:
        if "catalogue_one_entry_a_type" in str(error):
            raise Conflict(
                f"There is already a gear type “{entry.maker} {entry.name}”.",
                ways_out=("Open that one and change it, or give this one another name.",),
            ) from None
        if "slug" in str(error):
            raise Conflict(
                f"The address “{entry.slug}” belongs to another gear type.",
                ways_out=("Choose another short name for the address.",),
            ) from None
        raise
