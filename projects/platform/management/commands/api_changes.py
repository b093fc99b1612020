"""manage.py api_changes: what of the API changed since the last release and breaks programs."""

import json
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.utils import translation
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiJsonRenderer

from projects.platform.api.changes import METHODS, breaking, without_words

HERE = Path(__file__).resolve().parents[2] / "api"
KEPT, RELEASED = HERE / "openapi.json", HERE / "openapi_released.json"


def written() -> str:
    """The description as it is kept: for somebody who may do everything, in English, one line a key."""
    with translation.override("en-us"):
        found = SchemaGenerator().get_schema(request=None, public=True)
        plain = json.loads(OpenApiJsonRenderer().render(found, renderer_context={}))
    return json.dumps(plain, indent=1, sort_keys=True, ensure_ascii=False) + "\n"


class Command(BaseCommand):
    help = "Compare the API with the one last released; ends with 1 where a program written to that one would break."

    def add_arguments(self, parser):
        parser.add_argument("--keep", action="store_true", help="write openapi.json anew")
        parser.add_argument("--release", action="store_true", help="from now on compare with what is now")
        parser.add_argument("--json", action="store_true", help="answer as JSON")

    def handle(self, *args, keep, release, **options):
        now = written()
        if keep or release:
            KEPT.write_text(now)
        if release:
            plain = without_words(json.loads(now))
            RELEASED.write_text(json.dumps(plain, separators=(",", ":"), sort_keys=True) + "\n")
        before = json.loads(RELEASED.read_text())
        broken, current = breaking(before, json.loads(now)), KEPT.exists() and KEPT.read_text() == now
        if options["json"]:
            self.stdout.write(json.dumps({"breaking": broken, "kept_is_current": current}, ensure_ascii=False))
        else:
            operations = sum(method in METHODS for methods in json.loads(now)["paths"].values() for method in methods)
            self.stdout.write(f"{operations} operations. {KEPT.name} is {'current' if current else 'not current'}.")
            for said in broken:
                self.stdout.write(said)
        if broken:
            raise CommandError(f"{len(broken)} changes break programs written to the last release.")
