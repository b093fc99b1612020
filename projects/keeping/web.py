"""Pages for a shop's owner: the shop as one file, and how the installation it is on is backed up."""

from django.http import FileResponse, Http404
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.utils.translation import gettext as _

from projects.files import store
from projects.keeping import queries, services


def shop_keeping(request):
    """Making the file is long work: it shows how far it is, and goes on after the worker ended."""
    if request.method == "POST":
        work = services.ask_for(request.shop, request.member, _("The whole shop as one file"))
        return redirect("work", work.pk)
    drill = queries.last_drill()
    context = {
        "taken_out": queries.taken_out(request.shop),
        "backup": queries.last_backup(),
        "drill": drill,
        "drill_is_old": drill is not None and queries.age_days(drill.at) > queries.DRILL_DAYS,
    }
    return render(request, "keeping/shop_keeping.html", context)


def shop_file(request):
    made = queries.taken_out(request.shop)
    if made is None:
        raise Http404
    try:
        content = store.path_of(made.shop_id, made.file).open("rb")
    except FileNotFoundError as gone:
        raise Http404 from gone
    name = f"{slugify(request.shop.name) or 'shop'}-{made.made_at:%Y-%m-%d}.zip"
    return FileResponse(content, as_attachment=True, filename=name, content_type="application/zip")
