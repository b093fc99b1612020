"""The page of the shop's numbers: what a light takes, how long rooms stand, each as bars and as a table."""

from django.shortcuts import render
from django.utils.translation import gettext as _

from layout.engine.lengths import Unit
from projects.catalogue.tables import stages, takeoff_rules
from projects.platform.templatetags.words import number
from reports.prices.models import PhaseChoice
from reports.rooms.charts import Bar, bars
from reports.rooms.numbers import numbers_of

FEET_IN_A_METER = 1000 / 304.8


def shop_numbers(request):
    told = numbers_of(request.shop)
    metric = request.shop.tape.unit is Unit.MM
    pictures = [
        picture
        for picture in (
            passed_chart(told.passed), hours_chart(told.hours), feet_chart(told.feet, metric), stays_chart(told.stays),
        )
        if picture
    ]
    return render(request, "overview/numbers.html", {"pictures": pictures})


def passed_chart(rate):
    """Rooms passed at their first inspection, and not."""
    if not rate.looked_at:
        return None
    counted = ((_("passed the first time"), rate.passed), (_("not the first time"), rate.looked_at - rate.passed))
    rows = [Bar(name, count, f"{round(100 * count / rate.looked_at)} %", (str(count),)) for name, count in counted]
    return bars(
        rows,
        key="first-time",
        title=_("Inspections passed the first time"),
        words_for=_("Each room once for each kind of inspection, at its first visit; passed in part is not passed."),
        heads=(_("First visit"), _("Share"), _("Rooms")),
    )


def hours_chart(averages):
    """Hours a light by phase."""
    if not averages:
        return None
    rows = [
        Bar(
            str(PhaseChoice(each.key).label),
            float(each.plain),
            _("%(n)s h") % {"n": number(each.plain)},
            (number(each.value), str(each.lights), str(each.rooms)),
        )
        for each in averages
    ]
    return bars(
        rows,
        key="hours-a-light",
        title=_("Hours a light"),
        words_for=_(
            "As they were logged, over rooms past each phase. Without conditions: height, plaster and so on taken out."
        ),
        heads=(_("Phase"), _("Hours a light"), _("Without conditions"), _("Lights"), _("Rooms")),
    )


def feet_chart(averages, metric):
    """Feet (meters) a light by cable."""
    if not averages:
        return None
    names = {cable.key: cable.name for cable in takeoff_rules().cables.values()}
    unit = _("m") if metric else _("ft")
    rows = []
    for each in averages:
        amount = float(each.value) / FEET_IN_A_METER if metric else float(each.value)
        said = f"{number(round(amount, 1), 1)} {unit}"
        rows.append(Bar(_(names.get(each.key, each.key)), amount, said, (str(each.lights), str(each.rooms))))
    return bars(
        rows,
        key="feet-a-light",
        title=_("Meters of cable a light") if metric else _("Feet of cable a light"),
        words_for=_("As it was pulled, over rooms past rough-in."),
        heads=(_("Cable"), _("A light"), _("Lights"), _("Rooms")),
    )


def stays_chart(stays):
    """Days at each stage."""
    if not stays:
        return None
    rows = [
        Bar(
            f"{stay.stage} {_(stages()[stay.stage].name)}",
            stay.middle,
            _("%(n)s d") % {"n": number(round(stay.middle, 1), 1)},
            (number(round(stay.average, 1), 1), str(stay.rooms)),
        )
        for stay in stays
    ]
    return bars(
        rows,
        key="days-a-stage",
        title=_("Days at each stage"),
        words_for=_("Half of the rooms stood shorter, half longer, before they moved on or back."),
        heads=(_("Stage"), _("Middle of them"), _("Average"), _("Stays")),
    )
