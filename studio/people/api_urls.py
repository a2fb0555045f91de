from django.urls import path

from studio.people.api import OnePerson, People

app_name = "api-people"
urlpatterns = [
    path("people/", People.as_view(), name="people"),
    path("people/<int:pk>/", OnePerson.as_view(), name="person"),
]
