"""manage.py export_shop: a whole shop as one file, to keep or to bring into another installation."""

import os
from pathlib import Path

from django.core.management.base import CommandError

from projects.accounts.models import Shop
from projects.keeping import shop_out
from projects.keeping.telling import TellingCommand


class Command(TellingCommand):
    help = "Write a whole shop, its records and files, into one file. The same shop gives the same bytes."

    def add_arguments(self, parser):
        super().add_arguments(parser)
        parser.add_argument("shop", type=int, help="the shop's id, as `export_shop 0` lists them")
        parser.add_argument("--to", type=Path, help="the file to write (shop-<id>.zip)")
        parser.add_argument("--dry-run", action="store_true", help="say what would be written, and write nothing")

    def handle(self, *args, shop, to, dry_run, **options):
        found = Shop.objects.filter(pk=shop).first()
        if found is None:
            known = ", ".join(f"{one.pk} {one.name}" for one in Shop.objects.order_by("pk"))
            raise CommandError(f"There is no shop {shop}. There are: {known or 'none'}.")
        target = to or Path(f"shop-{shop}.zip")
        if dry_run:
            self.tell({"shop": found.name, "to": str(target)}, f"{found.name} would be written to {target}.")
            return
        if target.exists():
            raise CommandError(f"{target} is there. Name another file with --to.")
        unfinished = target.with_name(f"{target.name}.part")
        try:
            with unfinished.open("wb") as file:
                about = shop_out.write(found, file)
                file.flush()
                os.fsync(file.fileno())
            unfinished.replace(target)
        except OSError as refused:
            raise CommandError(f"{target}: {refused.strerror}. Nothing was kept.") from None
        finally:
            unfinished.unlink(missing_ok=True)
        rows = sum(one["rows"] for one in about["tables"].values())
        told = {"shop": found.name, "to": str(target), "rows": rows, "files": len(about["files"])}
        told |= {"missing": about["missing"], "bytes": target.stat().st_size}
        self.tell(told, f"{found.name}: {rows} rows and {told['files']} files in {target}, {told['bytes']} bytes.")
