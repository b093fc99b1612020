"""What stands overhead over the API: one record, read and written whole, each row by the rules of its page's form."""

from django import forms
from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers

from layout.engine.lengths import Length
from projects.ceilings import services
from projects.ceilings.forms import (
    CornerForm,
    GridForm,
    JoistForm,
    LookForm,
    MemberForm,
    RegionForm,
    SlopeForm,
    ThingForm,
)
from projects.ceilings.models import (
    MOST_CORNERS,
    MOST_MEMBERS,
    MOST_REGIONS,
    MOST_RUNS,
    MOST_THINGS,
    Framing,
)
from projects.ceilings.values import Entered, entered
from projects.jobs.queries import room_of
from projects.platform.api.bodies import Body
from projects.platform.api.lengths import LengthOut, shown
from projects.platform.api.problems import CannotBeDone, Refused
from projects.platform.api.rows import Rows, unknown, wrong
from projects.platform.api.views import ApiView, Stale, etag
from projects.platform.forms import LengthFormField
from projects.platform.permissions import may
from projects.platform.tenancy import StaleVersion

OVERRIDES = "lay out"  # as on the page: who may keep another distance than the table's

LOOK = Body("LookBody", LookForm)
GRID = Body("GridBody", GridForm, paths={name: (name.removeprefix("grid_"),) for name in GridForm.base_fields})
SLOPE = Body("SlopeBody", SlopeForm, paths={name: (name.removeprefix("slope_"),) for name in SlopeForm.base_fields})
# A list of the body: its form, and how many rows it takes.
LISTS = {
    "joists": (Body("JoistBody", JoistForm), MOST_RUNS),
    "members": (Body("MemberBody", MemberForm), MOST_MEMBERS),
    "things": (Body("ThingBody", ThingForm), MOST_THINGS),
    "outline": (Body("CornerBody", CornerForm), MOST_CORNERS),
}
REGION = Body("RegionBody", RegionForm)
CORNER = LISTS["outline"][0]
PARTS = {"grid": GRID, "slope": SLOPE}
ROWS = {"joists": "joists", "members": "members", "things": "things", "outline": "corners"}
STARTS = {
    name
    for form in (JoistForm, MemberForm, ThingForm, RegionForm)
    for name, field in form.base_fields.items()
    if field.initial
}
KNOWN = (*LookForm.base_fields, *PARTS, *LISTS, "regions")


def _row_shape(body, **extra):
    row = body.schema(defaults=STARTS)
    return type(row.__name__, (row,), extra)


CORNER_SHAPE = _row_shape(CORNER)


def _corners_shape():
    return CORNER_SHAPE(many=True, required=False, max_length=MOST_CORNERS)


def _ceiling_body(name):
    look = LOOK.schema()
    return type(
        name,
        (look,),
        {
            **{
                key: _row_shape(body)(many=True, required=False, max_length=most)
                for key, (body, most) in LISTS.items()
                if key != "outline"
            },
            "outline": _corners_shape(),
            "regions": _row_shape(REGION, corners=_corners_shape())(
                many=True, required=False, max_length=MOST_REGIONS
            ),
            "grid": GRID.schema(partial=True)(required=False, allow_null=True),
            "slope": SLOPE.schema(partial=True)(required=False, allow_null=True),
        },
    )


CEILING = _ceiling_body("CeilingBody")


def _told_shape(form_field):
    if isinstance(form_field, LengthFormField):
        return LengthOut(allow_null=not form_field.required)
    if isinstance(form_field, forms.BooleanField):
        return serializers.BooleanField(read_only=True)
    if isinstance(form_field, forms.DateField):
        return serializers.DateField(read_only=True, allow_null=True)
    return serializers.CharField(read_only=True, allow_blank=not form_field.required)


def _told_row(name, body, **extra):
    shapes = {body.paths.get(box, (box,))[0]: _told_shape(field) for box, field in body.form.base_fields.items()}
    return type(name, (serializers.Serializer,), shapes | extra)


CornerOut = _told_row("CornerOut", CORNER)
CeilingOut = type(
    "CeilingOut",
    (_told_row("LookOut", LOOK),),
    {
        "__doc__": "What PUT takes is what GET gives.",
        "grid": _told_row("GridOut", GRID)(allow_null=True),
        "slope": _told_row("SlopeOut", SLOPE)(allow_null=True),
        "joists": _told_row("JoistOut", LISTS["joists"][0])(many=True),
        "members": _told_row("MemberOut", LISTS["members"][0])(many=True),
        "things": _told_row("ThingOut", LISTS["things"][0])(many=True),
        "outline": CornerOut(many=True),
        "regions": _told_row("RegionOut", REGION, corners=CornerOut(many=True))(many=True),
    },
)


def show(entry: Entered, tape):
    """As it is read, and as it may be sent back."""

    def row(form, record):
        return {name: _told(value, tape) for name, value in form.start_from(record).items()}

    columns = entry.columns
    pitched, sloped = columns["grid_pitch_x"] is not None, bool(columns["slope_along"])
    return {
        **{name: _told(columns[name], tape) for name in LookForm.base_fields},
        "grid": _part(GRID, columns, tape) if pitched else None,
        "slope": _part(SLOPE, columns, tape) if sloped else None,
        **{name: [row(LISTS[name][0].form, one) for one in getattr(entry, ROWS[name])] for name in LISTS},
        "regions": [
            row(RegionForm, region) | {"corners": [{"x": shown(x, tape), "y": shown(y, tape)} for x, y in corners]}
            for region, corners in entry.regions
        ],
    }


def _part(body, columns, tape):
    return {body.paths[name][0]: _told(columns[name], tape) for name in body.form.base_fields}


def _told(value, tape):
    return shown(value, tape) if isinstance(value, Length) else value


def read(given, *, tape, member) -> Entered:
    """The body as values. Raises Refused, naming each row and field that is wrong."""
    if not isinstance(given, dict):
        raise Refused([wrong((), "Send one JSON object.")])
    rows = Rows(tape=tape)
    rows.errors += [unknown((name,)) for name in given if name not in KNOWN]
    look = rows.form(LOOK, {name: given[name] for name in LookForm.base_fields if name in given}, ())
    parts = [look] + [rows.form(body, given.get(name) or {}, (name,)) for name, body in PARTS.items()]
    lists = {}
    for name, (body, most) in LISTS.items():
        made = rows.forms(body, given.get(name), (name,), most, **_more(name, member))
        lists[ROWS[name]] = tuple(form.record for form in made)
    regions = _regions(rows, given.get("regions"))
    rows.refuse()
    columns = {name: value for part in parts for name, value in part.values.items()}
    _check_framing(columns, lists)
    return Entered(columns, regions=regions, **lists)


def _more(name, member):
    return {"may_override": may(member, OVERRIDES)} if name == "things" else {}


def _check_framing(columns, lists):
    there = lists["joists"] or lists["members"]
    if columns["framing"] == Framing.NONE and there:
        raise Refused([wrong(("framing",), "Joists are given. Leave them out, or say that they are there.")])
    if columns["framing"] == Framing.FOUND and not there:
        raise Refused([wrong(("framing",), "Give where the first joist is, or say that there is no framing.")])


def _regions(rows, given):
    found, names = [], set()
    for n, one in rows.listed(given, ("regions",), MOST_REGIONS):
        path, nested = ("regions", n), isinstance(one, dict)
        own = {name: value for name, value in one.items() if name != "corners"} if nested else one
        form = rows.form(REGION, own, path)
        corners = rows.forms(CORNER, one.get("corners") if nested else None, (*path, "corners"), MOST_CORNERS)
        if form and form.cleaned_data["name"] in names:
            rows.errors.append(wrong((*path, "name"), "Another part has this name. Give a different one."))
        elif form:
            names.add(form.cleaned_data["name"])
            found.append((form.record, tuple((c.cleaned_data["x"], c.cleaned_data["y"]) for c in corners)))
    return tuple(found)


class CeilingView(ApiView):
    @extend_schema(operation_id="ceiling", responses=CeilingOut)
    def get(self, request, room_id):
        """What stands overhead and what shape the ceiling has. Nothing entered yet: empty lists."""
        room = room_of(request.shop, room_id)
        ceiling = services.ceiling_of(room)
        return self.told(ceiling, show(entered(ceiling), room.job.tape))

    @extend_schema(operation_id="set_ceiling", request=CEILING, responses=CeilingOut)
    def put(self, request, room_id):
        """Set all of it at once: what is left out is not there. Framing counts as looked at once `framing` says so."""
        room = room_of(request.shop, room_id)
        tape = room.job.tape

        def stored():
            return services.ceiling_of(room_of(request.shop, room_id))

        def save(entry, seen):
            try:
                return services.change_ceiling(services.ceiling_of(room), seen, entry)
            except services.TooMany as error:
                raise CannotBeDone(str(error)) from error

        self.change(
            services.ceiling_of(room),
            _Whole(),
            lambda record: show(entered(stored() if record.pk else record), tape),
            save,
            tape=tape,
            member=request.member,
        )
        kept = stored()
        return self.told(kept, show(entered(kept), tape))


class PutBackCeiling(ApiView):
    @extend_schema(operation_id="put_back_ceiling", request=None, responses=CeilingOut)
    def post(self, request, room_id):
        """What stood before the last save; sent twice, what the last save made. If-Match: the ceiling's ETag."""
        room = room_of(request.shop, room_id)
        ceiling, tape = services.ceiling_of(room), room.job.tape
        seen = self.seen_version(ceiling, show(entered(ceiling), tape))
        try:
            services.put_back(ceiling, seen)
        except StaleVersion as stale:
            raise Stale({}, show(entered(services.ceiling_of(room)), tape), etag(stale.theirs)) from stale
        except services.NothingBefore as refused:
            raise CannotBeDone(str(refused)) from refused
        kept = services.ceiling_of(room_of(request.shop, room_id))
        return self.told(kept, show(entered(kept), tape))


class _Whole:
    """A Body of many forms: what `change` asks of one."""

    def fill(self, given, *, start=None, version=None, **told):
        return read(given, **told)


ROOM = "rooms/<int:room_id>/ceiling/"

urlpatterns = [
    path(ROOM, CeilingView.as_view(), name="ceiling"),
    path(ROOM + "put-back/", PutBackCeiling.as_view(), name="put_back_ceiling"),
]
