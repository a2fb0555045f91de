from django.urls import path

from gear.subhire import pages

app_name = "subhire"
urlpatterns = [
    path("", pages.sub_hires, name="list"),
    path("new/", pages.borrow, name="new"),
    path("<int:pk>/", pages.sub_hire, name="one"),
    path("<int:pk>/agree/", pages.agree, name="agree"),
    path("<int:pk>/end/", pages.end, name="end"),
]
