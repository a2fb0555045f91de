from django.urls import path

from studio.calendar import feed_pages, pages

app_name = "calendar"
urlpatterns = [
    path("", pages.calendar, {"by": "units"}, name="units"),
    path("types", pages.calendar, {"by": "types"}, name="types"),
    path("rooms", pages.calendar, {"by": "rooms"}, name="rooms"),
    path("people", pages.calendar, {"by": "people"}, name="people"),
    path("feeds", feed_pages.feeds, name="feeds"),
    path("feeds/make", feed_pages.make, name="feed-make"),
    path("feeds/<int:pk>/revoke", feed_pages.revoke, name="feed-revoke"),
    path("feeds/<str:token>.ics", feed_pages.feed, name="feed"),
]
