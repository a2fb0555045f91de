from django.urls import path

from studio.readiness import pages

app_name = "readiness"
urlpatterns = [
    path("<int:pk>/readiness", pages.shoot_readiness, name="shoot"),
    path("<int:pk>/readiness/check", pages.check_now, name="check-now"),
    path("<int:pk>/readiness/<int:position>/mend", pages.mend_finding, name="mend"),
    path("<int:pk>/readiness/<int:position>/light", pages.light_map, name="light-map"),
    path("checks/", pages.how_it_works, name="checks"),
    path("checks/<slug:name>", pages.how_one_works, name="check"),
]
