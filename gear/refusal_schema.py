"""The one shape in which the API refuses, for the published schema."""

from __future__ import annotations

from rest_framework import serializers

__all__ = ["ProblemSerializer", "RefusalSerializer"]


class ProblemSerializer(serializers.Serializer):
    """One field of the input and what it expects."""

    where = serializers.CharField(help_text="field name or dotted path")
    expected = serializers.CharField()


class RefusalSerializer(serializers.Serializer):
    """What was asked cannot be done: a stable code, a sentence for people, ways out, and the fields at fault."""

    code = serializers.CharField()
    sentence = serializers.CharField()
    ways_out = serializers.ListField(child=serializers.CharField())
    problems = ProblemSerializer(many=True)
