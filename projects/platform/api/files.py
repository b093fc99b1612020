"""Kept files and drawings over the API: given as they are, in their own media type; and parts of an upload."""

from django.utils.http import content_disposition_header
from rest_framework import serializers
from rest_framework.renderers import JSONRenderer

from projects.platform.api.bodies import Kind, Unfit
from projects.platform.api.views import ApiView


def _comes_as_a_file(value, form):
    raise Unfit("Send it as a part of multipart/form-data.")


# How a form's boxes for files are described; what comes in is read by uploads.uploaded.
FILE = Kind(_comes_as_a_file, lambda box, options: serializers.FileField(help_text=str(box.label), **options))
FILES = Kind(
    _comes_as_a_file,
    lambda box, options: serializers.ListField(
        child=serializers.FileField(), max_length=box.most, help_text=str(box.label), **options
    ),
)


class AsItIs(JSONRenderer):
    """Lets an asker accept anything: a file's answer is made already. What isn't one is JSON all the same."""

    media_type = "*/*"
    format = "file"

    def render(self, data, accepted_media_type=None, renderer_context=None):
        (renderer_context or {})["response"]["Content-Type"] = "application/json"
        return super().render(data, "application/json", renderer_context)


class FileView(ApiView):
    """Answers with a file; what is wrong is told as a problem all the same."""

    renderer_classes = [JSONRenderer, AsItIs]
    pagination_class = None


def saved_as(response, name):
    """The answer as a file to be saved under this name."""
    response["Content-Disposition"] = content_disposition_header(True, name)
    return response
