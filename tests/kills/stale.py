"""Prints the shoots whose readiness is not of today's inputs. Run as a program of its own on the machines' database."""

from __future__ import annotations


def main() -> None:
    import django

    django.setup()
    from studio.readiness.queries import readiness_of
    from studio.shoots.models import Shoot

    found = readiness_of(list(Shoot.objects.exclude(booking__state="cancelled")))
    print(sorted(pk for pk, states in found.items() if any(state.stale for state in states)))


if __name__ == "__main__":
    main()
