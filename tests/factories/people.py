"""Shops and their people."""

from factory import Sequence, SubFactory
from factory.django import DjangoModelFactory, Password

from projects.accounts.models import ApiToken, Membership, Shop, User
from projects.platform.permissions import Role


class UserFactory(DjangoModelFactory):
    """Without a password nobody signs in with it: client.force_login(user) does, and saves the hashing."""

    class Meta:
        model = User

    email = Sequence(lambda n: f"person{n}@shop.example")
    name = Sequence(lambda n: f"Person {n}")
    password = Password(None)


class ShopFactory(DjangoModelFactory):
    class Meta:
        model = Shop

    name = Sequence(lambda n: f"Shop {n}")


class MemberFactory(DjangoModelFactory):
    class Meta:
        model = Membership

    shop = SubFactory(ShopFactory)
    user = SubFactory(UserFactory)
    role = Role.OWNER.value


class ApiTokenFactory(DjangoModelFactory):
    class Meta:
        model = ApiToken

    member = SubFactory(MemberFactory)
    name = "desk"
    digest = Sequence(lambda n: ApiToken.digest_of(f"secret {n}"))
