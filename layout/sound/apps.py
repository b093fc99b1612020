from django.apps import AppConfig


class SoundConfig(AppConfig):
    name = "layout.sound"
    label = "sound"
