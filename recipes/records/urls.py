from django.urls import path

from recipes.records import edit_pages, merge_pages, pages, text_pages

app_name = "recipes"
urlpatterns = [
    path("", pages.recipe_list, name="list"),
    path("schema.json", pages.schema, name="schema"),
    path("import", pages.import_recipe, name="import"),
    path("new", edit_pages.new_step, name="new"),
    path("new/text", text_pages.new_text, name="new-text"),
    path("new/discard", edit_pages.new_discard, name="new-discard"),
    path("new/<slug:slug>", edit_pages.new_step, name="new-step"),
    path("<int:pk>", pages.recipe, name="recipe"),
    path("<int:pk>/edit", edit_pages.edit_step, name="edit"),
    path("<int:pk>/edit/text", text_pages.edit_text, name="edit-text"),
    path("<int:pk>/edit/discard", edit_pages.edit_discard, name="edit-discard"),
    path("<int:pk>/edit/merge", merge_pages.merge_page, name="merge"),
    path("<int:pk>/edit/<slug:slug>", edit_pages.edit_step, name="edit-step"),
    path("<int:pk>/revisions/<int:number>", pages.revision, name="revision"),
    path("<int:pk>/compare", pages.compare_page, name="compare"),
    path("<int:pk>/export", pages.export, name="export"),
    path("<int:pk>/archive", pages.archive_recipe, name="archive"),
    path("<int:pk>/copy", pages.copy, name="copy"),
    path("<int:pk>/owner", pages.change_owner, name="owner"),
]
