"""A room's sound over the API: what was entered, and the figures that follow. The same forms, rules and services."""

from django.urls import path
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from layout.draft_api import DraftOut, from_the_draft, told_draft
from layout.queries import layout_now
from layout.sound.angles import angles_page
from layout.sound.background import background_page
from layout.sound.choose import choose_page
from layout.sound.following import with_places
from layout.sound.forms import MaterialRow, RoleRow, ScreenForm, SeatRow, SetupForm, SubRow, TakeChoiceForm
from layout.sound.gather import heard_of
from layout.sound.low import low_page
from layout.sound.models import MOST_MATERIALS, MOST_ROLES, MOST_SEATS, MOST_SUBS, Hears, SoundSetup
from layout.sound.services import COLUMNS, ROWS, SCREEN, Entered, change_sound, kept_of, one_main
from layout.sound.taking import take_choice
from projects.jobs.queries import room_of
from projects.platform.api.bodies import Body
from projects.platform.api.lengths import LengthOut, shown
from projects.platform.api.problems import Refused
from projects.platform.api.rows import Rows, unknown, wrong
from projects.platform.api.views import ApiView

ON_ONE_SURFACE = 2  # materials: what a page shows of it
SETUP = Body("SoundSetupBody", SetupForm)
SEAT = Body("SeatBody", SeatRow)
SCREEN_BODY = Body("ScreenBody", ScreenForm)
ROLE = Body("SpeakerRoleBody", RoleRow)
SUB = Body("SubPlaceBody", SubRow)
MATERIAL = Body("SurfaceMaterialBody", MaterialRow)
TAKE = Body("TakeSoundChoiceBody", TakeChoiceForm)
LISTS = {
    "seats": (SEAT, MOST_SEATS),
    "roles": (ROLE, MOST_ROLES),
    "subs": (SUB, MOST_SUBS),
    "materials": (MATERIAL, MOST_MATERIALS),
}


class SoundBody:
    """All of a room's sound: what is left out is not there, and of the setup is as it starts."""

    def fill(self, given, *, tape, version=None, start=None):
        """What is entered. Raises Refused."""
        del version, start
        if not isinstance(given, dict):
            raise Refused([{"pointer": "", "detail": "Send one JSON object.", "code": "invalid"}])
        rows = Rows(tape=tape)
        rows.errors += [unknown((name,)) for name in given if name not in ("setup", "screen", *LISTS)]
        setup = self._setup(rows, given.get("setup"), tape)
        screen = None if given.get("screen") is None else rows.form(SCREEN_BODY, given["screen"], ("screen",))
        filled = {name: rows.forms(body, given.get(name), (name,), most) for name, (body, most) in LISTS.items()}
        rows.errors += self._twice(filled["roles"], "roles", "mark")
        rows.errors += self._shares(filled["materials"])
        rows.refuse()
        values = {name: tuple(form.value for form in forms) for name, forms in filled.items()}
        values["seats"] = tuple(one_main(values["seats"]))
        return Entered(setup.changes, screen=screen.value if screen else None, **values)

    @staticmethod
    def _setup(rows, given, tape):
        usual = SoundSetup()
        start = {name: getattr(usual, name) for name in COLUMNS}
        try:
            return SETUP.fill({} if given is None else given, start=start, version=usual.version, tape=tape)
        except Refused as refused:
            rows.errors += [one | {"pointer": "/setup" + one.get("pointer", "")} for one in refused.more["errors"]]

    @staticmethod
    def _twice(forms, name, part):
        seen = set()
        for n, form in enumerate(forms):
            if form.cleaned_data[part] in seen:
                yield wrong((name, n), "It stands twice.", "twice")
            seen.add(form.cleaned_data[part])

    @staticmethod
    def _shares(forms):
        """A surface's parts make all of it together."""
        shares: dict[str, list[int]] = {}
        for form in forms:
            shares.setdefault(form.cleaned_data["surface"], []).append(form.cleaned_data["percent"])
        for surface, percents in shares.items():
            if len({form.cleaned_data["material"] for form in forms if form.cleaned_data["surface"] == surface}) < len(
                percents
            ):
                yield wrong(("materials",), f"{surface}: one material stands twice. Add its shares together.", "twice")
            elif len(percents) > ON_ONE_SURFACE:
                said = f"{surface}: at most {ON_ONE_SURFACE} materials on one surface."
                yield wrong(("materials",), said, "too_many")
            elif sum(percents) != 100:
                said = f"{surface}: its parts come to {sum(percents)} %. Make them 100."
                yield wrong(("materials",), said, "share")

    @staticmethod
    def schema():
        parts = {"setup": SETUP.schema(defaults=set(COLUMNS))(required=False)}
        parts["screen"] = SCREEN_BODY.schema()(required=False, allow_null=True)
        for name, (body, most) in LISTS.items():
            optional = {field for field, one in body.form.base_fields.items() if one.initial is not None}
            parts[name] = body.schema(defaults=optional)(many=True, required=False, max_length=most)
        return type("SoundBody", (serializers.Serializer,), parts)


SOUND = SoundBody()


# As it is read


class SoundSetupOut(serializers.Serializer):
    use = serializers.CharField()
    system = serializers.CharField(allow_blank=True)
    leeway_deg = serializers.IntegerField()
    ear_height = LengthOut()
    temperature_c = serializers.DecimalField(max_digits=3, decimal_places=1)
    band_hz = serializers.IntegerField()
    target_db = serializers.DecimalField(max_digits=4, decimal_places=1, allow_null=True)
    low_decay_s = serializers.DecimalField(max_digits=4, decimal_places=2, allow_null=True)


class SeatOut(serializers.Serializer):
    x = LengthOut(help_text="From the finished left wall")
    y = LengthOut(help_text="From the finished door wall")
    ear_height = LengthOut(allow_null=True, help_text="null: the room's")
    main = serializers.BooleanField()


class ScreenOut(serializers.Serializer):
    wall = serializers.CharField()
    center = LengthOut()
    width = LengthOut()
    height = LengthOut(allow_null=True)


class SpeakerRoleOut(serializers.Serializer):
    mark = serializers.CharField()
    channel = serializers.CharField()


class SubPlaceOut(serializers.Serializer):
    x = LengthOut()
    y = LengthOut()
    height = LengthOut()
    placed = serializers.BooleanField()


class SurfaceMaterialOut(serializers.Serializer):
    surface = serializers.ChoiceField(choices=Hears.choices)
    material = serializers.CharField()
    percent = serializers.IntegerField()


class SoundOut(serializers.Serializer):
    """What PUT takes is what GET gives."""

    setup = SoundSetupOut()
    seats = SeatOut(many=True)
    screen = ScreenOut(allow_null=True)
    roles = SpeakerRoleOut(many=True)
    subs = SubPlaceOut(many=True)
    materials = SurfaceMaterialOut(many=True)


class SeatAnglesOut(serializers.Serializer):
    seat = serializers.CharField()
    azimuth_deg = serializers.FloatField(help_text="Positive to the left")
    elevation_deg = serializers.FloatField()
    distance_m = serializers.FloatField()
    off_azimuth_deg = serializers.FloatField(help_text="Past the nearer end of the range, leeway counted in; 0 inside")
    off_elevation_deg = serializers.FloatField()


class SpeakerAnglesOut(serializers.Serializer):
    id = serializers.CharField()
    channel = serializers.CharField()
    move_m = serializers.ListField(child=serializers.FloatField(), allow_null=True, help_text="For the main seat")
    move_for_every_seat_m = serializers.ListField(child=serializers.FloatField(), allow_null=True)
    reachable = serializers.BooleanField(help_text="false: no place on this ceiling meets the elevation")
    seats = SeatAnglesOut(many=True, help_text="The main seat first")


class FiguresOut(serializers.Serializer):
    missing = serializers.ListField(child=serializers.CharField(), help_text="What can't be told, and what it takes")


class SoundAnglesOut(FiguresOut):
    notes = serializers.ListField(child=serializers.CharField())
    system = serializers.CharField(allow_null=True)
    leeway_deg = serializers.FloatField(allow_null=True)
    speakers = SpeakerAnglesOut(many=True)


class SoundCoverageOut(FiguresOut):
    """null: not known. Direct sound at ear height."""

    circle_m = serializers.FloatField(allow_null=True)
    plane_circle_m = serializers.FloatField(allow_null=True)
    in_circles = serializers.FloatField(allow_null=True)
    evenness_db = serializers.FloatField(allow_null=True)
    within_3_db = serializers.FloatField(allow_null=True)
    mean_db = serializers.FloatField(allow_null=True)
    maximum_db = serializers.FloatField(allow_null=True, help_text="Straight below one speaker as driven")
    headroom_db = serializers.FloatField(allow_null=True)
    pattern = serializers.CharField(allow_null=True)
    taps_w = serializers.FloatField(allow_null=True)
    taps_allowed_w = serializers.FloatField(allow_null=True, help_text="80 % of the amplifier; common practice")


class SoundChoiceOut(serializers.Serializer):
    choice = serializers.CharField(source="kind", help_text="Send it back to take this one")
    title = serializers.CharField()
    off_pattern = serializers.CharField()
    off_angle = serializers.CharField()
    move = serializers.CharField()
    here = serializers.BooleanField(help_text="It stands there now")
    found = serializers.ListField(child=serializers.CharField(), help_text="What the room says of the mark then")


class SpeakerOffOut(serializers.Serializer):
    mark = serializers.CharField()
    channel = serializers.CharField()
    off_kept = serializers.CharField(help_text="Off its angle where it is in line")
    off_met = serializers.CharField(help_text="Off the pattern where it meets its angle")
    away = serializers.CharField()


class SoundChoicesOut(FiguresOut):
    notes = serializers.ListField(child=serializers.CharField())
    rows = SpeakerOffOut(many=True)
    mark = serializers.CharField(allow_blank=True)
    channel = serializers.CharField(allow_blank=True)
    choices = SoundChoiceOut(many=True)


class RoomModeOut(serializers.Serializer):
    index = serializers.ListField(child=serializers.IntegerField())
    hz = serializers.FloatField()
    kind = serializers.CharField()


class BestSubsOut(serializers.Serializer):
    count = serializers.IntegerField()
    places = serializers.ListField(child=serializers.CharField())
    score_db = serializers.FloatField()
    roughness_db = serializers.FloatField()
    spread_db = serializers.FloatField()


class ReverberationOut(serializers.Serializer):
    hz = serializers.IntegerField()
    sabine_s = serializers.FloatField()
    eyring_s = serializers.FloatField()


class SoundLowOut(FiguresOut):
    t60_s = serializers.FloatField(allow_null=True)
    t60_from = serializers.CharField(allow_null=True)
    schroeder_hz = serializers.FloatField(allow_null=True)
    modes = RoomModeOut(many=True)
    best = BestSubsOut(many=True)
    times = ReverberationOut(many=True)


def show_sound(room):
    tape, kept = room.job.tape, heard_of(room).kept  # its speakers as they are numbered now

    def row(record, names):
        values = {name: getattr(record, name) for name in names}
        return {name: shown(one, tape) if hasattr(one, "nm") else one for name, one in values.items()}

    told = {
        name: [row(one, [column for column in columns if (name, column) not in HIDDEN]) for one in getattr(kept, name)]
        for name, (_model, columns) in ROWS.items()
    }
    setup = SoundSetupOut(kept.setup, context={"tape": tape}).data
    return {"setup": setup, "screen": row(kept.screen, SCREEN) if kept.screen else None, **told}


HIDDEN = {("roles", "x"), ("roles", "y")}


# Views


class Sound(ApiView):
    @extend_schema(operation_id="sound", responses=SoundOut)
    def get(self, request, room_id):
        """What was entered of a room's sound: its use, seats, screen, channels, subs, materials."""
        room = room_of(request.shop, room_id)
        return self.told(kept_of(room).setup, show_sound(room))

    @extend_schema(operation_id="set_sound", request=SOUND.schema(), responses=SoundOut)
    def put(self, request, room_id):
        """Set all of it at once: what is left out is not there."""
        room = room_of(request.shop, room_id)
        stored = self.change(
            kept_of(room).setup,
            SOUND,
            lambda _setup: show_sound(room),
            lambda entered, seen: change_sound(room, seen, with_places(entered, layout_now(room))),
            tape=room.job.tape,
        )
        return self.told(stored, show_sound(room))


def _missing(page):
    return [f"{one.cannot} {one.takes}" for one in page.missing]


class SoundAngles(ApiView):
    @extend_schema(operation_id="sound_angles", responses=SoundAnglesOut)
    def get(self, request, room_id):
        """Each speaker as each seat hears it against its channel's range, and the move that brings it there."""
        page = angles_page(heard_of(room_of(request.shop, room_id)))
        empty = {"system": None, "leeway_deg": None, "speakers": []}
        return Response(SoundAnglesOut({**empty, **page.figures, "missing": _missing(page), "notes": page.notes}).data)


class SoundCoverage(ApiView):
    @extend_schema(operation_id="sound_coverage", responses=SoundCoverageOut)
    def get(self, request, room_id):
        """Circles at ear height, level, evenness, headroom and the line's load."""
        page = background_page(heard_of(room_of(request.shop, room_id)))
        load = page.line.load if page.line else None
        more = {
            "pattern": page.overlap.name if page.overlap else None,
            "taps_w": load.total_w if load else None,
            "taps_allowed_w": load.allowed_w if load else None,
            "missing": _missing(page),
        }
        empty = dict.fromkeys(SoundCoverageOut().fields)
        return Response(SoundCoverageOut({**empty, **page.figures, **more}).data)


class SoundLow(ApiView):
    @extend_schema(operation_id="sound_low", responses=SoundLowOut)
    def get(self, request, room_id):
        """Room modes, the best places for one to four subs, reverberation by octave."""
        page = low_page(heard_of(room_of(request.shop, room_id)))
        empty = {"t60_s": None, "t60_from": None, "schroeder_hz": None, "modes": [], "best": [], "times": []}
        return Response(SoundLowOut({**empty, **page.figures, "missing": _missing(page)}).data)


class SoundChoices(ApiView):
    pagination_class = None
    questions = ("speaker",)

    @extend_schema(
        operation_id="sound_choices",
        parameters=[OpenApiParameter("speaker", str, description="Its mark; left out: the one farthest off")],
        responses=SoundChoicesOut,
    )
    def get(self, request, room_id):
        """Where looks and angle disagree: every speaker, and for one of them what each choice gives up."""
        self.refuse_unknown_questions(request.query_params)
        heard = heard_of(room_of(request.shop, room_id))
        page = choose_page(heard, request.query_params.get("speaker", ""))
        told = {name: getattr(page, name) for name in ("rows", "mark", "channel", "choices", "notes")}
        tape = heard.tape
        return Response(SoundChoicesOut(told | {"missing": _missing(page)}, context={"tape": tape}).data)

    @extend_schema(operation_id="take_sound_choice", request=TAKE.schema(), responses=DraftOut)
    def post(self, request, room_id):
        """Take a choice, worked out anew, onto its mark. If-Match: the draft's ETag."""
        room = room_of(request.shop, room_id)
        with from_the_draft(self, room) as (_draft, seen):
            said, heard = TAKE.fill(request.data, version=seen).cleaned_data, heard_of(room)
            page = choose_page(heard, said["speaker"])
            chosen = page.choice(said["choice"])
            if page.mark != said["speaker"] or chosen is None:
                raise Refused([wrong(("choice",), "That is not there: the room or its numbers changed. Read anew.")])
            take_choice(heard, page, chosen, seen, by=request.member)
        return told_draft(self, room)


ROOM = "rooms/<int:room_id>/sound/"

urlpatterns = [
    path(ROOM, Sound.as_view(), name="sound"),
    path(ROOM + "angles/", SoundAngles.as_view(), name="sound_angles"),
    path(ROOM + "coverage/", SoundCoverage.as_view(), name="sound_coverage"),
    path(ROOM + "choices/", SoundChoices.as_view(), name="sound_choices"),
    path(ROOM + "low/", SoundLow.as_view(), name="sound_low"),
]
