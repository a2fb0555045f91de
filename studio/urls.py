"""Every address of the service; an area lists its own in ``urls`` and ``api_urls``."""

from __future__ import annotations

from django.urls import include, path
from drf_spectacular.views import SpectacularAPIView

from gear.access import everyone

handler404, handler500 = "studio.web.failures.not_found", "studio.web.failures.failed"
urlpatterns = [
    path("", include("studio.web.urls")),
    path("", include("studio.people.urls")),
    path("", include("studio.outbox.urls")),
    path("gear/stock/", include("gear.stock.urls")),
    path("gear/kits/", include("gear.kits.urls")),
    path("gear/sub-hire/", include("gear.subhire.urls")),
    path("gear/shortages/", include("gear.shortages.urls")),
    path("gear/", include("gear.booking.urls")),
    path("gear/", include("gear.inventory.urls")),
    path("gear/types/", include("gear.catalogue.urls")),
    path("recipes/", include("recipes.records.urls")),
    path("places/", include("studio.places.urls")),
    path("shoots/", include("studio.shoots.urls")),
    path("shoots/", include("studio.readiness.urls")),
    path("shoots/", include("studio.packing.urls")),
    path("", include("studio.phones.urls")),
    path("calendar/", include("studio.calendar.urls")),
    path("api/schema", everyone(SpectacularAPIView.as_view()), name="api-schema"),
    path("api/", include("gear.catalogue.api_urls")),
    path("api/", include("gear.inventory.api_urls")),
    path("api/", include("gear.booking.api_urls")),
    path("api/", include("gear.shortages.api_urls")),
    path("api/", include("gear.subhire.api_urls")),
    path("api/", include("gear.kits.api_urls")),
    path("api/", include("gear.stock.api_urls")),
    path("api/", include("recipes.records.api_urls")),
    path("api/", include("studio.people.api_urls")),
    path("api/", include("studio.places.api_urls")),
    path("api/", include("studio.shoots.api_urls")),
    path("api/", include("studio.readiness.api_urls")),
    path("api/", include("studio.packing.api_urls")),
    path("api/", include("studio.phones.api_urls")),
]
