"""What a light map may be asked for."""

from __future__ import annotations

from django import forms

from studio.readiness.light_maps import MapAsked, MapSeen

__all__ = ["MapForm"]


class MapForm(forms.Form):
    """Height, facing and tolerance; what is left empty the recipe's own first zone says."""

    height = forms.FloatField(required=False, min_value=0, max_value=30, label="Height, m")
    facing = forms.FloatField(
        required=False, min_value=-360, max_value=360, label="Facing, ° from the camera"
    )
    tolerance = forms.FloatField(required=False, min_value=0.05, max_value=5, label="Tolerance, stops")
    spacing = forms.FloatField(required=False, min_value=0.05, max_value=1, label="A point every, m")

    def asked(self) -> MapAsked:
        """The same as a value."""
        said = self.cleaned_data
        return MapAsked(said["height"], said["facing"], said["spacing"] or 0.25, said["tolerance"])

    @classmethod
    def showing(cls, seen: MapSeen) -> MapForm:
        """The form with what a map was drawn for."""
        return cls(
            initial={
                "height": round(seen.height_m, 2),
                "facing": round(seen.facing_deg, 1),
                "tolerance": round(seen.tolerance_stops, 2),
                "spacing": MapAsked.spacing_m,
            }
        )
