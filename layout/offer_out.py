"""One change that a person may take, as the API tells it."""

from rest_framework import serializers


class OfferOut(serializers.Serializer):
    key = serializers.CharField(help_text="Send it back to take this one")
    kind = serializers.CharField()
    title = serializers.CharField()
    words = serializers.CharField()
    lines = serializers.ListField(child=serializers.CharField(), help_text="Its numbers")
    gives_up = serializers.ListField(source="costs", child=serializers.CharField())
    still = serializers.ListField(child=serializers.CharField(), help_text="What does not fit after it")
