from django.apps import AppConfig


class AccountsConfig(AppConfig):
    name = "projects.accounts"
    label = "accounts"
