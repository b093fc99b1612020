"""A draft over the API: its form's choices, and the rows beside them: what is held, what was moved, what zones have."""

from contextlib import contextmanager

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from layout import kept, services
from layout.engine.lengths import LengthError
from layout.engine.reading import AmbiguousLength, read_length
from layout.forms import MOST_TYPED, DraftForm, MovedForm, PinForm, SwitchedForm, ZoneForm
from layout.inputs import numbers
from layout.models import Draft
from projects.jobs.queries import room_of
from projects.platform.api import bodies, lengths
from projects.platform.api.bodies import Body, Unfit
from projects.platform.api.lengths import LengthOut
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import Rows
from projects.platform.api.views import Record, Stale, etag
from projects.platform.tenancy import StaleVersion

MOST_PINS, MOST_MOVED, MOST_ZONES = 80, 2000, 60


def _lengths(values, form):
    """Each read on its own, so that what is wrong with one names its place; then as the form's one box."""
    tape = form.fields["typed_along"].tape
    if not isinstance(values, list):
        raise Unfit("Give a list of lengths from the zero corner.")
    if len(values) > MOST_TYPED:
        raise Unfit(f"At most {MOST_TYPED} numbers.")
    return "; ".join(_length(value, at, tape) for at, value in enumerate(values))


def _length(value, at, tape):
    try:
        read = read_length(lengths.typed(value), unit=tape.unit, style=tape.style)
    except AmbiguousLength as error:
        raise Unfit(str(error), at=(at,), readings=[each.text for each in error.readings]) from error
    except (LengthError, lengths.NotALength) as error:
        raise Unfit(str(error), at=(at,)) from error
    return lengths.in_millimeters(int(read))


def _places(values, form):
    if not isinstance(values, list) or not all(type(value) is int and 0 <= value <= 999 for value in values):
        raise Unfit("Give a list of whole numbers counted from the zero corner, like [1, 3].")
    return ", ".join(map(str, values))


LENGTHS = bodies.Kind(
    _lengths, lambda box, options: serializers.ListField(child=lengths.LengthIn(), max_length=MOST_TYPED, **options)
)
PLACES = bodies.Kind(
    _places,
    lambda box, options: serializers.ListField(
        child=serializers.IntegerField(min_value=1), help_text=str(box.help_text), **options
    ),
)
COUNTED = ("speaker_gaps", "speaker_columns", "speaker_rows", "speakers_between")
OWN_KINDS = {"typed_along": LENGTHS, "typed_across": LENGTHS} | dict.fromkeys(COUNTED, PLACES)
CHOICES = Body("DraftBody", DraftForm, kinds=OWN_KINDS)
# The lists beside the choices: each row's form, and how many there may be. One that isn't given stays as it is.
LISTS = {
    "pins": (Body("PinBody", PinForm), MOST_PINS),
    "moved": (Body("MovedBody", MovedForm), MOST_MOVED),
    "zones": (Body("ZoneBody", ZoneForm), MOST_ZONES),
    "switched": (Body("SwitchedBody", SwitchedForm), MOST_MOVED),
}
ROWS_IN = {name: body.schema() for name, (body, _most) in LISTS.items()}
# What makes two rows of a list the same one.
SAME = {
    "pins": ("line", "number"),
    "moved": ("kind", "row", "number"),
    "zones": ("name",),
    "switched": ("row", "number"),
}


class DraftBody:
    """A Body of a form and its lists: what `change` and `preview` ask of one."""

    def fill(self, given, *, tape, **form_kwargs):
        """The draft's form, with .lists. Raises Refused."""
        if not isinstance(given, dict):
            raise Refused([{"pointer": "", "detail": "Send one JSON object.", "code": "invalid"}])
        rows = Rows(tape=tape)
        lists = {name: self._list(rows, name, given[name]) for name in LISTS if name in given}
        try:
            choices = {name: value for name, value in given.items() if name not in LISTS}
            form = CHOICES.fill(choices, tape=tape, **form_kwargs)
        except Refused as refused:
            rows.errors += refused.more["errors"]
        rows.refuse()
        form.lists = lists
        return form

    @staticmethod
    def _list(rows, name, given):
        body, most = LISTS[name]
        forms_ = rows.forms(body, given, (name,), most)
        seen = set()
        for n, form in enumerate(forms_):
            same = tuple(form.cleaned_data[part] for part in SAME[name])
            if same in seen:
                rows.errors.append({"pointer": f"/{name}/{n}", "detail": "It stands twice.", "code": "twice"})
            seen.add(same)
        return tuple(form.value for form in forms_)

    @staticmethod
    def schema():
        lists = {name: row(many=True, required=False, max_length=LISTS[name][1]) for name, row in ROWS_IN.items()}
        return type("ChangedDraftBody", (CHOICES.schema(partial=True),), lists)


DRAFT = DraftBody()
CHANGED_DRAFT = DRAFT.schema()


class PinOut(serializers.Serializer):
    line = serializers.CharField()
    number = serializers.IntegerField()
    at = LengthOut()


class MovedOut(serializers.Serializer):
    kind = serializers.CharField()
    row = serializers.IntegerField()
    number = serializers.IntegerField()
    along = LengthOut()
    across = LengthOut()


class ZoneOut(serializers.Serializer):
    name = serializers.CharField()
    rows = serializers.IntegerField(allow_null=True)
    columns = serializers.IntegerField(allow_null=True)


class SwitchedOut(serializers.Serializer):
    row = serializers.IntegerField()
    number = serializers.IntegerField()
    zone = serializers.CharField()


class DraftOut(Record):
    speaker_gaps = serializers.SerializerMethodField()
    speaker_columns = serializers.SerializerMethodField()
    speaker_rows = serializers.SerializerMethodField()
    speakers_between = serializers.SerializerMethodField()
    typed_along = serializers.SerializerMethodField()
    typed_across = serializers.SerializerMethodField()
    pins = serializers.SerializerMethodField()
    moved = serializers.SerializerMethodField()
    zones = serializers.SerializerMethodField()
    switched = serializers.SerializerMethodField()

    class Meta:
        model = Draft
        fields = (
            "rows", "lights_per_row", "mode_along", "mode_across", "end_setback", "row_setback", "spacing_limit",
            "light_type", "speaker_type", "subwoofer_type", "speaker_gaps", "speaker_columns", "rows_of",
            "speaker_rows", "speakers_between", "typed_along", "typed_across", "pins", "moved", "zones",
            "switched", "columns_may_move", "rows_may_move", "version", "updated_at",
        )  # fmt: skip
        read_only_fields = fields

    def get_speaker_gaps(self, draft) -> list[int]:
        return list(numbers(draft.speaker_gaps))

    def get_speaker_columns(self, draft) -> list[int]:
        return list(numbers(draft.speaker_columns))

    def get_speaker_rows(self, draft) -> list[int]:
        return list(numbers(draft.speaker_rows))

    def get_speakers_between(self, draft) -> list[int]:
        return list(numbers(draft.speakers_between))

    def _typed(self, draft, axis):
        return [lengths.shown(at, self.context["tape"]) for at in draft.typed(axis)]

    @extend_schema_field(serializers.ListField(child=LengthOut()))
    def get_typed_along(self, draft):
        return self._typed(draft, "along")

    @extend_schema_field(serializers.ListField(child=LengthOut()))
    def get_typed_across(self, draft):
        return self._typed(draft, "across")

    @extend_schema_field(PinOut(many=True))
    def get_pins(self, draft):
        return PinOut(draft.held()[0], many=True, context=self.context).data

    @extend_schema_field(MovedOut(many=True))
    def get_moved(self, draft):
        return MovedOut(draft.held()[1], many=True, context=self.context).data

    @extend_schema_field(ZoneOut(many=True))
    def get_zones(self, draft):
        return ZoneOut(draft.zone_numbers(), many=True).data

    @extend_schema_field(SwitchedOut(many=True))
    def get_switched(self, draft):
        return SwitchedOut(draft.switched(), many=True).data


def draft_of(room):
    try:
        return services.draft_of(room)
    except services.NoLightType as error:
        raise CannotBeDone(str(error)) from error


def show_draft(draft, tape):
    return DraftOut(draft, context={"tape": tape}).data


@contextmanager
def from_the_draft(view, room):
    """(the draft, the version that was seen), for what is taken into it. Raises PreconditionRequired, Stale."""
    draft, tape = draft_of(room), room.job.tape
    seen = view.seen_version(draft, show_draft(draft, tape))
    try:
        yield draft, seen
    except StaleVersion as stale:
        theirs = draft_of(room_of(view.request.shop, room.pk))
        raise Stale(view.request.data, show_draft(theirs, tape), etag(theirs)) from stale


def told_draft(view, room):
    """The answer to what was taken into the draft: as it is stored now."""
    stored = draft_of(room_of(view.request.shop, room.pk))
    return view.told(stored, show_draft(stored, room.job.tape))


def filled(request, room, draft):
    """What a draft's form takes beside the body."""
    tape = room.job.tape
    start = DraftForm.start_from(draft, tape)
    for axis in ("along", "across"):  # to the nanometer, not to the tape's mark
        start[f"typed_{axis}"] = "; ".join(lengths.in_millimeters(int(at)) for at in draft.typed(axis))
    return {"start": start, "shop": request.shop, "draft": draft, "tape": tape}


def save_draft(draft, form, seen):
    return services.change_draft(draft, seen, form.changes, form.typed, **form.lists)


def try_on(draft, form):
    """The form's choices on a draft that is not to be kept."""
    now = kept.numbers_of(draft)
    rows = {"pins": now.pins, "moved": now.moved, "zones": now.zones, "switched": now.switched} | form.lists
    kept.try_on(draft, kept.Numbers(form.changes, form.typed, **rows))
