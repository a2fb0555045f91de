from django.urls import path

from recipes.records import api

app_name = "api-recipes"
urlpatterns = [
    path("recipes/", api.RecipeList.as_view(), name="list"),
    path("recipes/<int:pk>/", api.RecipeOne.as_view(), name="recipe"),
    path("recipes/<int:pk>/revisions/", api.RevisionList.as_view(), name="revisions"),
    path("recipes/<int:pk>/revisions/<int:number>/", api.RevisionOne.as_view(), name="revision"),
    path("recipes/<int:pk>/compare", api.Comparison.as_view(), name="compare"),
]
