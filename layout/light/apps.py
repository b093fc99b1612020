from django.apps import AppConfig


class LightConfig(AppConfig):
    name = "layout.light"
    label = "light"

    def ready(self):
        from layout.light import work  # noqa: F401  registers the working out of a large room
        from layout.light.choices import proposing  # noqa: F401  registers the search for a layout
        from layout.light.choices.taking import put_levels_back
        from layout.light.following import copy_setup, follow_lights, note_lights
        from layout.offers.taking import also_put_back
        from projects.history.recorded import leave_out
        from projects.jobs.services import on_copy, on_turn

        leave_out("light.KeptLight", "light as it was worked out, kept to spare working it out")
        if copy_setup not in on_copy:
            on_copy.append(copy_setup)
        if put_levels_back not in also_put_back:
            also_put_back.append(put_levels_back)
        if note_lights not in on_turn:  # before the draft is turned, which the part beneath registered
            on_turn.insert(0, note_lights)
            on_turn.append(follow_lights)
