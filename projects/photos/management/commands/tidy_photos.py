"""manage.py tidy_photos: end what was taken back over 30 days ago, and files that were never finished."""

from django.core.management.base import BaseCommand

from projects.accounts.models import Shop
from projects.files.store import sweep
from projects.photos.services import purge


class Command(BaseCommand):
    help = "End photos that were taken back over 30 days ago, take away files no record names, count each shop anew."

    def handle(self, *args, **options):
        ended = purge()
        stray = sum(sweep(shop.pk) for shop in Shop.objects.order_by("pk"))
        self.stdout.write(f"{ended} photos ended, {stray} unfinished files taken away.")
