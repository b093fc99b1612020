"""How much a shop has kept. One row a shop, so that one UPDATE decides whether another file has room."""

from django.db import models

from projects.accounts.models import Shop
from projects.platform.fields import number_between

MOST_KEPT = 2**50  # bytes no shop comes near


class KeptBytes(models.Model):
    """The bytes of all files a shop has in its folder. Changed only by projects.files.store."""

    shop = models.OneToOneField(Shop, on_delete=models.PROTECT, primary_key=True, related_name="+")
    used = models.BigIntegerField(default=0)

    class Meta:
        constraints = [number_between("used", 0, MOST_KEPT, model="kept_bytes")]
