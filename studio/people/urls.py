from django.urls import path

from studio.people import pages

app_name = "people"
urlpatterns = [
    path("sign-in", pages.sign_in, name="sign-in"),
    path("sign-out", pages.sign_out, name="sign-out"),
    path("password", pages.change_password, name="password"),
]
