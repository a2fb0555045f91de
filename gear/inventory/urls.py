from django.urls import path, register_converter

from gear.inventory import casing_pages, import_pages, label_pages, pages


class TagInAddress:
    """A tag: capital letters, digits and dashes, so that it never meets a word of an address."""

    regex = "[A-Z0-9][A-Z0-9-]{0,18}[A-Z0-9]"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


register_converter(TagInAddress, "tag")

app_name = "inventory"
urlpatterns = [
    path("", pages.units, name="units"),
    path("new/", pages.unit_new, name="unit-new"),
    path("export/", pages.export, name="export"),
    path("labels/", label_pages.labels, name="labels"),
    path("inspections/", pages.inspections, name="inspections"),
    path("import/", import_pages.choose, name="import"),
    path("import/template/", import_pages.template, name="import-template"),
    path("import/<int:pk>/", import_pages.draft, name="import-draft"),
    path("<tag:tag>/", pages.unit, name="unit"),
    path("<tag:tag>/edit/", pages.unit_edit, name="unit-edit"),
    path("<tag:tag>/fault/", pages.fault, name="fault"),
    path("<tag:tag>/contents/", casing_pages.into_case, name="into-case"),
    path("<tag:tag>/photos/<int:pk>", pages.photo, name="photo"),
    path("<tag:tag>/condition/", pages.condition, name="condition"),
    path("<tag:tag>/care/", pages.care, name="care"),
]
