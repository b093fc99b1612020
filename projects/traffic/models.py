"""What programs asked: answers kept under the key they were asked with, and how much was asked. Knows no API."""

from django.db import models

from projects.accounts.models import Membership, Shop
from projects.platform.fields import no_longer_than, number_between
from projects.platform.tenancy import ShopQuerySet


class KeptAnswer(models.Model):
    """What a request with a key was answered, written in the transaction of its effect.

    Without a status it is being worked on, since begun_at, by whoever holds the claim. Only digests of the key and of
    the request are kept.
    """

    shop = models.ForeignKey(Shop, on_delete=models.CASCADE, related_name="+")
    member = models.ForeignKey(Membership, on_delete=models.CASCADE, related_name="+")
    key = models.CharField(max_length=64)
    request = models.CharField(max_length=64)
    claim = models.CharField(max_length=32)
    begun_at = models.DateTimeField()
    status = models.PositiveSmallIntegerField(null=True)
    content_type = models.CharField(max_length=100, blank=True, default="")
    headers = models.TextField(default="{}")  # JSON
    body = models.BinaryField(default=b"")

    objects = ShopQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["member", "key"], name="kept_answer_once_per_key"),
            no_longer_than("key", 64, model="kept_answer"),
            no_longer_than("request", 64, model="kept_answer"),
            no_longer_than("claim", 32, model="kept_answer"),
            no_longer_than("content_type", 100, model="kept_answer"),
            number_between("status", 200, 399, model="kept_answer"),
        ]
        indexes = [models.Index(fields=["shop", "begun_at"], name="kept_answer_by_age")]

    def __str__(self):
        return f"{self.status or 'being worked on'} since {self.begun_at:%Y-%m-%d %H:%M}"


class Count(models.Model):
    """How much somebody asked in one stretch of time. who: a digest, of a token, a member or an address."""

    who = models.CharField(max_length=64, unique=True)
    stretch = models.BigIntegerField()  # which one, counted from 1970
    used = models.PositiveIntegerField()

    class Meta:
        constraints = [
            no_longer_than("who", 64, model="count"),
            number_between("used", 0, 1_000_000_000, model="count"),
        ]

    def __str__(self):
        return f"{self.used} in stretch {self.stretch}"
