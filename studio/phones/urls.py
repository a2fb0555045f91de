from django.urls import path

from studio.phones import pages, shell

app_name = "phones"
urlpatterns = [
    path("phone/", shell.shell, name="shell"),
    path("phone/worker.js", shell.worker, name="worker"),
    path("phone/manifest.webmanifest", shell.manifest, name="manifest"),
    path("phones/", pages.phones, name="phones"),
    path("phones/open", pages.still_open, name="open"),
    path("phones/acts/<int:pk>/accept", pages.accept, name="accept"),
    path("phones/acts/<int:pk>/drop", pages.drop, name="drop"),
    path("phones/found/<int:pk>", pages.found, name="found"),
    path("phones/<uuid:device>/", pages.phone, name="phone"),
    path("phones/<uuid:device>/give-up", pages.give_up, name="give-up"),
]
