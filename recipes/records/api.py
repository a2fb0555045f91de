"""Recipes for other programs: read, write, save revisions, compare. Refusals have the one shape of the whole API."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema, extend_schema_field
from rest_framework import serializers, status
from rest_framework.generics import GenericAPIView, ListCreateAPIView, RetrieveAPIView
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from gear.access import declares
from gear.errors import FieldProblem, Gone, Invalid
from gear.etag import changed_from, etag
from recipes.look import MOST_CHARACTERS, Look, LookError, parse_look
from recipes.records.compare import compare, exposure_change, summary
from recipes.records.merge import Conflict
from recipes.records.models import Recipe, Revision
from recipes.records.queries import a_recipe, a_revision, recipes, revisions
from recipes.records.rules import require_change
from recipes.records.services import NeedsMerge, save_revision, stored, write_recipe
from recipes.records.words import values_in_words, where_in_words

__all__ = ["Comparison", "RecipeList", "RecipeOne", "RevisionList", "RevisionOne"]


class DocumentField(serializers.JSONField):
    """A recipe document; its schema is published at ``/recipes/schema.json``."""


extend_schema_field(OpenApiTypes.OBJECT)(DocumentField)


class RevisionRow(serializers.ModelSerializer[Revision]):
    """A revision without its document."""

    by = serializers.StringRelatedField[Any]()
    based_on = serializers.SerializerMethodField()

    class Meta:
        model = Revision
        fields = ["number", "note", "by", "based_on", "made_at"]

    def get_based_on(self, revision: Revision) -> int | None:
        """Number of the revision that it was made from."""
        return revision.based_on.number if revision.based_on else None


class RevisionWhole(RevisionRow):
    """A revision with its document."""

    document = serializers.SerializerMethodField()

    class Meta(RevisionRow.Meta):
        fields = [*RevisionRow.Meta.fields, "document"]

    @extend_schema_field(OpenApiTypes.OBJECT)
    def get_document(self, revision: Revision) -> dict[str, Any]:
        """In the order in which it is exported."""
        return stored(revision.look)


class RecipeRow(serializers.ModelSerializer[Recipe]):
    """A recipe without its document; ``head`` is the number of its newest revision."""

    owner = serializers.StringRelatedField[Any]()
    head = serializers.IntegerField(source="head.number")
    schema = serializers.SerializerMethodField()

    class Meta:
        model = Recipe
        fields = ["id", "title", "owner", "head", "archived", "created_at", "updated_at", "schema"]

    def get_schema(self, recipe: Recipe) -> str:
        """Where the schema of the document is published."""
        return str(reverse("recipes:schema", request=self.context.get("request")))


class RecipeWhole(RecipeRow):
    """A recipe with the document of its newest revision."""

    document = serializers.SerializerMethodField()

    class Meta(RecipeRow.Meta):
        fields = [*RecipeRow.Meta.fields, "document"]

    @extend_schema_field(OpenApiTypes.OBJECT)
    def get_document(self, recipe: Recipe) -> dict[str, Any]:
        """In the order in which it is exported."""
        return stored(recipe.head.look)


class NewRecipe(serializers.Serializer[Any]):
    document = DocumentField()
    note = serializers.CharField(max_length=300, required=False, allow_blank=True, default="")


class NewRevision(NewRecipe):
    based_on = serializers.IntegerField(min_value=1, help_text="number of the revision that you began from")


class ProblemRow(serializers.Serializer[Any]):
    where = serializers.CharField()
    expected = serializers.CharField()


class RefusalBody(serializers.Serializer[Any]):
    code = serializers.CharField()
    sentence = serializers.CharField()
    ways_out = serializers.ListField(child=serializers.CharField())
    problems = ProblemRow(many=True)


class ConflictRow(serializers.Serializer[Any]):
    path = serializers.CharField(help_text="JSON Pointer without its first slash; parts of lists by name")
    where = serializers.CharField()
    base = serializers.CharField()
    theirs = serializers.CharField()
    mine = serializers.CharField()


class DifferenceRow(serializers.Serializer[Any]):
    path = serializers.CharField(source="key")
    where = serializers.CharField()
    before = serializers.CharField()
    after = serializers.CharField()
    effect = serializers.CharField()


class MergeBody(RefusalBody):
    head = serializers.IntegerField(help_text="number of the revision to base the next save on")
    merged = DocumentField(help_text="both changes in one document; theirs where they conflict")
    conflicts = ConflictRow(many=True)
    theirs = DifferenceRow(many=True)


class ComparisonBody(serializers.Serializer[Any]):
    before = serializers.IntegerField()
    after = serializers.IntegerField()
    summary = serializers.CharField()
    ambient_stops = serializers.FloatField(help_text="how much brighter the camera records ambient light")
    flash_stops = serializers.FloatField(help_text="how much brighter the camera records flash within sync")
    differences = DifferenceRow(many=True)


REFUSED = {
    403: OpenApiResponse(RefusalBody, "Not yours to change"),
    422: OpenApiResponse(RefusalBody, "Not a recipe; the problems name the fields"),
}


@declares("recipe", "read", POST="create")
class RecipeList(ListCreateAPIView[Recipe]):
    """Recipes, and new ones."""

    serializer_class = RecipeRow

    def get_queryset(self) -> QuerySet[Recipe]:
        query = self.request.query_params
        owner = self.request.user if query.get("mine") in ("1", "true") else None
        archived = {"1": True, "true": True, "all": None}.get(query.get("archived", ""), False)
        return recipes(query.get("search", ""), owner, archived)

    @extend_schema(
        parameters=[
            OpenApiParameter("search", str, description="words in the title, the notes or the owner's name"),
            OpenApiParameter("mine", bool),
            OpenApiParameter("archived", str, enum=["false", "true", "all"]),
        ]
    )
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Recipes by title."""
        return super().get(request, *args, **kwargs)

    @extend_schema(request=NewRecipe, responses={201: RecipeWhole, **REFUSED})
    def post(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Write a recipe of your own."""
        sent = _sent(NewRecipe, request)
        made = write_recipe(_look(sent["document"]), request.user, sent["note"])
        body = RecipeWhole(made, context=self.get_serializer_context()).data
        return Response(
            body, status.HTTP_201_CREATED, headers={"Location": reverse("api-recipes:recipe", [made.pk])}
        )


@declares("recipe", "read", PUT="change")
class RecipeOne(RetrieveAPIView[Recipe]):
    """One recipe with the document of its newest revision. Its ETag is the number of that revision."""

    serializer_class = RecipeWhole

    def get_object(self) -> Recipe:
        return a_recipe(self.kwargs["pk"])

    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return self._answer(self.get_object())

    @extend_schema(
        request=NewRecipe,
        responses={
            200: RecipeWhole,
            **REFUSED,
            412: OpenApiResponse(MergeBody, "Somebody saved in between"),
            428: OpenApiResponse(RefusalBody, "The header If-Match is missing"),
        },
    )
    def put(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Save this document on top of the revision that If-Match names; the same document again changes nothing."""
        recipe = self.get_object()
        number = changed_from(request, recipe.head.number)
        sent = _sent(NewRecipe, request)
        look = _look(sent["document"])
        if number == recipe.head.number and stored(look) == stored(recipe.head.look):
            require_change(recipe, request.user)
            return self._answer(recipe)
        try:
            save_revision(recipe, look, number, request.user, sent["note"])
        except NeedsMerge as needs:
            return Response(MergeBody(_merge_body(needs)).data, needs.status)
        return self._answer(self.get_object())

    def _answer(self, recipe: Recipe) -> Response:
        body = RecipeWhole(recipe, context=self.get_serializer_context()).data
        return Response(body, headers=etag(recipe.head.number))


@declares("recipe", "read", POST="change")
class RevisionList(ListCreateAPIView[Revision]):
    """The revisions of a recipe, newest first, and new ones."""

    serializer_class = RevisionRow

    def get_queryset(self) -> QuerySet[Revision]:
        if getattr(self, "swagger_fake_view", False):
            return Revision.objects.none()
        return revisions(a_recipe(self.kwargs["pk"]))

    @extend_schema(
        request=NewRevision,
        responses={
            201: RevisionWhole,
            **REFUSED,
            412: OpenApiResponse(MergeBody, "Somebody saved in between"),
        },
    )
    def post(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Save a revision on top of ``based_on``.

        When that is no longer the newest, nothing is saved and the answer (412) holds both changes in one document:
        decide its conflicts and save it based on ``head``.
        """
        recipe = a_recipe(self.kwargs["pk"])
        sent = _sent(NewRevision, request)
        try:
            saved = save_revision(
                recipe, _look(sent["document"]), sent["based_on"], request.user, sent["note"]
            )
        except NeedsMerge as needs:
            return Response(MergeBody(_merge_body(needs)).data, needs.status)
        address = reverse("api-recipes:revision", [recipe.pk, saved.number])
        return Response(RevisionWhole(saved).data, status.HTTP_201_CREATED, headers={"Location": address})


@declares("recipe", "read")
class RevisionOne(RetrieveAPIView[Revision]):
    """One revision with its document."""

    serializer_class = RevisionWhole

    def get_object(self) -> Revision:
        return a_revision(self.kwargs["pk"], self.kwargs["number"])


@declares("recipe", "read")
class Comparison(GenericAPIView[Revision]):
    """What differs between two revisions."""

    serializer_class = ComparisonBody

    @extend_schema(
        parameters=[
            OpenApiParameter("from", int, description="the earlier revision; without it the last but one"),
            OpenApiParameter("to", int, description="the later revision; without it the newest"),
        ],
        responses=ComparisonBody,
    )
    def get(self, request: Request, pk: int) -> Response:
        """Differences in words, with what the camera's changes do in stops."""
        newest = a_recipe(pk).head.number
        before = a_revision(pk, _asked(request, "from", max(newest - 1, 1)))
        after = a_revision(pk, _asked(request, "to", newest))
        ambient, flash = exposure_change(before.look, after.look)
        body = {
            "before": before.number,
            "after": after.number,
            "summary": summary(before.look, after.look),
            "ambient_stops": ambient,
            "flash_stops": flash,
            "differences": compare(before.look, after.look),
        }
        return Response(ComparisonBody(body).data)


def _merge_body(needs: NeedsMerge) -> dict[str, Any]:
    return {
        "code": needs.code,
        "sentence": needs.sentence,
        "ways_out": needs.ways_out,
        "problems": [],
        "head": needs.head.number,
        "merged": needs.merge.document,
        "conflicts": [_conflict(conflict) for conflict in needs.merge.conflicts],
        "theirs": compare(needs.base.look, needs.head.look),
    }


def _conflict(conflict: Conflict) -> dict[str, str]:
    base, theirs, mine = values_in_words(conflict.path, conflict.base, conflict.theirs, conflict.mine)
    return {
        "path": conflict.key,
        "where": where_in_words(conflict.path),
        "base": base,
        "theirs": theirs,
        "mine": mine,
    }


def _sent(serializer: type[serializers.Serializer[Any]], request: Request) -> dict[str, Any]:
    """The body, or `Invalid` with the fields that are wrong."""
    if int(request.META.get("CONTENT_LENGTH") or 0) > 2 * MOST_CHARACTERS:
        raise Invalid(
            f"The request is too large; a recipe has at most {MOST_CHARACTERS // 1_000_000} million characters."
        )
    try:
        reader = serializer(data=request.data)
    except RecursionError:
        raise Invalid("Objects and lists are nested far deeper than a recipe needs.") from None
    if not reader.is_valid():
        problems = tuple(
            FieldProblem(
                name, " ".join(str(error) for error in errors) if isinstance(errors, list) else str(errors)
            )
            for name, errors in reader.errors.items()
        )
        raise Invalid("The request is not complete; see the problems.", problems)
    return dict(reader.validated_data)


def _look(document: Any) -> Look:
    try:
        return parse_look(document)
    except LookError as error:
        raise Invalid(
            "The document is not a recipe; the problems name the fields.",
            tuple(FieldProblem(problem.field or "document", problem.expected) for problem in error.problems),
        ) from None


def _asked(request: Request, name: str, usual: int) -> int:
    text = request.query_params.get(name) or str(usual)
    if not (text.isascii() and text.isdigit() and len(text) < 8):
        raise Gone(f"Revisions have whole numbers; “{text[:20]}” is none.")
    return int(text)
