"""A layout as the API tells it: marks, gaps, what it breaks. Nothing is worked out here."""

from rest_framework import serializers

from layout.engine.findings import Code
from layout.engine.marks import Axis, Kind
from layout.engine.rows.arrange import say
from layout.sums import counts_against_wanted
from projects.catalogue.tables import ceiling_systems
from projects.platform.api.lengths import LengthOut


class MarkOut(serializers.Serializer):
    """A hole's center, from the ceiling's edge at the zero corner."""

    id = serializers.CharField()
    kind = serializers.ChoiceField(choices=[kind.value for kind in Kind])
    along = LengthOut()
    across = LengthOut()
    row = serializers.IntegerField()
    zone = serializers.CharField(allow_blank=True)


class FindingOut(serializers.Serializer):
    code = serializers.ChoiceField(choices=[code.value for code in Code])
    subject = serializers.CharField(help_text="Marks, or along or across for all of them")
    words = serializers.SerializerMethodField()
    short_by = LengthOut(allow_null=True)
    limit = LengthOut(allow_null=True)
    more = serializers.IntegerField(help_text="Other places like it")
    near = serializers.CharField(help_text="What is in the way; empty where nothing is")
    fixed = serializers.BooleanField(help_text="Framing, alarm, rated or hot: nothing may be taken from it")
    source = serializers.CharField(help_text="Whose number the limit is")

    def get_words(self, finding) -> str:
        return say(finding, self.context["tape"])


class LayoutOut(serializers.Serializer):
    """What the choices give. A limit that is broken stands in findings; nothing was moved to hide it."""

    rows_run = serializers.ChoiceField(source="along.axis", choices=[axis.value for axis in Axis])
    ceiling_along = LengthOut(source="along.datums.ceiling")
    ceiling_across = LengthOut(source="across.datums.ceiling")
    fits = serializers.BooleanField(source="arrangement.fits")
    marks = MarkOut(source="arrangement.marks", many=True)
    along_gaps = serializers.ListField(source="arrangement.along_gaps", child=LengthOut())
    across_gaps = serializers.ListField(source="arrangement.across_gaps", child=LengthOut())
    findings = FindingOut(source="arrangement.findings", many=True)
    notes = serializers.SerializerMethodField()
    cautions = serializers.SerializerMethodField()

    def get_notes(self, layout) -> list[str]:
        return list(counts_against_wanted(layout, self.context["room"]))

    def get_cautions(self, layout) -> list[str]:
        return list(ceiling_systems()[self.context["room"].ceiling_system].cautions)
