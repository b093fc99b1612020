"""Files over the API: multipart/form-data, held to a page's form. Knows nothing of what is in them."""

from rest_framework.parsers import MultiPartParser

from projects.platform.api.bodies import form_errors
from projects.platform.api.problems import Refused
from projects.platform.api.rows import unknown
from projects.platform.api.strict_json import StrictJSONParser
from projects.platform.api.views import ApiView


class UploadView(ApiView):
    """POST takes multipart/form-data, as a page's form sends it; nothing else. Other methods take JSON."""

    parser_classes = [MultiPartParser]

    def get_parsers(self):
        posts = getattr(self.request, "method", "POST") == "POST"
        return super().get_parsers() if posts else [StrictJSONParser()]


def uploaded(request, form_class, **form_kwargs):
    """The form, valid, from an upload. Raises Refused naming each part that is unknown, sent twice or wrong."""
    given = request.data  # read first: a body that can't be parsed is told of here
    form = form_class(request.POST, request.FILES, **form_kwargs)
    errors = [unknown((name,)) for name in given if name not in form.fields or name == "version"]
    errors += [
        {"pointer": f"/{name}", "detail": "Sent twice. Send it once.", "code": "twice"}
        for name, values in request.POST.lists()
        if len(values) > 1 and name in form.fields
    ]
    errors += form_errors(form)
    if errors:
        raise Refused(errors)
    return form
