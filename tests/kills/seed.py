"""What there is before anybody is killed. Run as a program of its own on the machines' database; prints where it is."""

from __future__ import annotations

import json


def main() -> None:
    import django

    django.setup()
    from django.test import Client

    from tests.builders import a_person, a_recipe, a_room, a_unit
    from tests.gear.stock.counted import an_item

    people = [
        a_person(username=name, email=f"{name}@tram-depot.example")
        for name in ("runa", "odo", "tilda", "ben")
    ]
    room, recipe = a_room(), a_recipe(people[0])
    for number in range(1, 25):
        a_unit(tag=f"K-{number:02d}")
    sessions = []
    for person in people:
        browser = Client()
        browser.force_login(person)
        sessions.append(browser.cookies["sessionid"].value)
    found = {"room": room.pk, "recipe": recipe.pk, "item": an_item(1000).pk, "sessions": sessions}
    print(json.dumps(found))


if __name__ == "__main__":
    main()
