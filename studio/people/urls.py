from django.urls import path

from studio.people import pages

app_name = "people"
urlpatterns = [
    path("sign-in", pages.sign_in, name="sign-in"),
    path("sign-out", pages.sign_out, name="sign-out"),
    path("password", pages.change_password, name="password"),
    path("password/<str:uidb64>/<str:token>", pages.choose_password, name="choose-password"),
    path("people/", pages.people, name="people"),
    path("people/new", pages.person_new, name="new"),
    path("people/<int:pk>", pages.person, name="person"),
    path("people/<int:pk>/link", pages.new_link, name="link"),
]
