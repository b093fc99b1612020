"""What people type about a job and its rooms."""

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import feet
from projects.accounts.models import StyleChoice
from projects.catalogue.tables import ceiling_systems
from projects.jobs.models import (
    Job,
    JobRuns,
    RowsRun,
    SideChoice,
    SurveyKind,
)
from projects.jobs.services import MOST_COPIES
from projects.platform.fields import HEIGHT, WALL
from projects.platform.forms import DayFormField, LengthFormField, NameFormField, NoteFormField, TapeForm, VersionedForm

DAY = forms.DateInput(attrs={"type": "date"})
LONGEST_ID = 18  # digits: any record's number has fewer


def line(label, most, **kwargs):
    return NameFormField(label=label, max_length=most, required=False, **kwargs)


class JobForm(TapeForm):
    number = NameFormField(label=_("Job number"), max_length=20)
    name = NameFormField(label=_("Name"), max_length=120)
    client = line(_("Client"), 120)
    site = line(_("Site"), 200)
    style = forms.ChoiceField(
        label=_("Lengths are written in"),
        required=False,
        choices=[("", _("as the shop writes them")), *StyleChoice.choices],
    )
    runs_as = forms.TypedChoiceField(
        label=_("The job runs as"),
        choices=JobRuns.choices,
        required=False,
        empty_value=JobRuns.NEW_WORK.value,
        initial=JobRuns.NEW_WORK.value,
        help_text=_("Which stages its rooms go through, and in what order."),
    )
    year_built = forms.IntegerField(
        label=_("Year the building was built"),
        required=False,
        min_value=1600,
        max_value=2200,
        help_text=_("To 1980, surfaces may hold asbestos; before 1978, lead paint. Test before anything is cut."),
    )
    crew_may_move = LengthFormField(
        label=_("A crew may move a mark without asking"),
        required=False,
        allow_zero=True,
        high=feet(5),
        help_text=_("Along the joists, with the mirror row. Zero: always ask."),
    )
    closed_on = DayFormField(label=_("Closed"), required=False, widget=DAY, help_text=_("Empty: under way."))
    code_edition = line(
        _("Code edition the site works to"),
        120,
        help_text=_("A note for people. Local code and the licensed trade decide."),
    )
    survey_on = DayFormField(label=_("Survey"), required=False, widget=DAY)
    rough_in_on = DayFormField(label=_("Rough-in"), required=False, widget=DAY)
    inspection_on = DayFormField(label=_("Inspection"), required=False, widget=DAY)
    drywall_on = DayFormField(label=_("Drywall"), required=False, widget=DAY)
    trim_on = DayFormField(label=_("Trim"), required=False, widget=DAY)
    note = NoteFormField(label=_("Note"), max_length=4000, required=False)

    def clean_crew_may_move(self):
        """Left empty it is as it was, or as usual."""
        typed = self.cleaned_data["crew_may_move"]
        kept = self.initial.get("crew_may_move") or Job._meta.get_field("crew_may_move").default
        return kept if typed is None else typed


class ChangeJobForm(JobForm, VersionedForm):
    pass


def ceiling_choices():
    return [(system.key, gettext(system.label)) for system in ceiling_systems().values()]


def held_choices(allowed):
    return [(held.value, held.label) for held in allowed]


class NewRoomForm(TapeForm):
    """Two numbers off the tape are enough; all else has a default and can be added later."""

    left_right = LengthFormField(
        label=_("Left to right"),
        low=WALL[0],
        high=WALL[1],
        help_text=_("Back to the door, facing in: along the door wall."),
    )
    door_far = LengthFormField(
        label=_("Door to far wall"), low=WALL[0], high=WALL[1], help_text=_("From the door wall straight in.")
    )
    kind = forms.ChoiceField(label=_("Taped"), choices=SurveyKind.choices, initial=SurveyKind.FRAMING)
    ceiling_system = forms.ChoiceField(label=_("Ceiling"), choices=ceiling_choices, initial="board")
    name = line(_("Room's name"), 80, help_text=_("Can wait."))
    height = LengthFormField(label=_("Height, floor to framing"), required=False, low=HEIGHT[0], high=HEIGHT[1])
    job = forms.ModelChoiceField(label=_("Job"), queryset=None, required=False, empty_label=_("a new job"))

    def __init__(self, data=None, *args, shop, **kwargs):
        jobs = Job.objects.of(shop).select_related("shop").order_by("-updated_at", "-pk")
        chosen = data.get("job") if data else kwargs.get("initial", {}).get("job")
        if not isinstance(chosen, Job):
            typed = str(chosen or "")
            known = typed.isascii() and typed.isdecimal() and len(typed) <= LONGEST_ID
            chosen = jobs.filter(pk=int(typed)).first() if known else None
        # A job may be in millimeters where the shop writes inches: its rooms are read as the job writes.
        super().__init__(data, *args, tape=chosen.tape if chosen else shop.tape, **kwargs)
        self.fields["job"].queryset = jobs


class RoomForm(VersionedForm):
    name = NameFormField(label=_("Room's name"), max_length=80)
    level = line(_("Level"), 40)
    door_name = line(_("The door, in the crew's words"), 60, help_text=_("For example: hall door."))
    door_wall = line(_("Door wall is called"), 60)
    left_wall = line(_("Left wall is called"), 60, help_text=_("For example: window wall."))
    far_wall = line(_("Far wall is called"), 60)
    right_wall = line(_("Right wall is called"), 60)
    north = forms.ChoiceField(
        label=_("North is toward"), required=False, choices=[("", _("not known")), *SideChoice.choices]
    )
    zero_x = forms.ChoiceField(
        label=_("Zero corner, left or right"),
        choices=[(SideChoice.LEFT, _("left")), (SideChoice.RIGHT, _("right"))],
    )
    zero_y = forms.ChoiceField(
        label=_("Zero corner, at the door wall or the far wall"),
        choices=[(SideChoice.DOOR, _("door wall")), (SideChoice.FAR, _("far wall"))],
    )
    rows_run = forms.ChoiceField(
        label=_("Rows run"), required=False, choices=[("", _("the longer way")), *RowsRun.choices]
    )
    note = NoteFormField(label=_("Note"), max_length=4000, required=False)


class CopyForm(forms.Form):
    times = forms.IntegerField(label=_("How many copies"), min_value=1, max_value=MOST_COPIES, initial=1)
