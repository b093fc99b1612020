"""Parts of a body that are forms of their own, and lists of them: every fault is gathered under its own place."""

from projects.platform.api.problems import Refused, pointer


def wrong(path, detail, code="invalid"):
    return {"pointer": pointer(*path), "detail": detail, "code": code}


def unknown(path):
    return wrong(path, "There is no such field here. Leave it out, or check its name.", "unknown")


class Rows:
    """Fills forms from parts of a body and gathers what is wrong in `errors`. form_kwargs: what each form takes."""

    def __init__(self, **form_kwargs):
        self.errors, self.form_kwargs = [], form_kwargs

    def refuse(self):
        """Raises Refused when anything was wrong."""
        if self.errors:
            raise Refused(self.errors)

    def form(self, body, given, path, **more):
        """The part's form, or None where it is wrong. What is not given is as the form starts."""
        start = {name: field.initial for name, field in body.form.base_fields.items() if field.initial}
        try:
            return body.fill(given, start=start, **self.form_kwargs, **more)
        except Refused as refused:
            for error in refused.more["errors"]:
                self.errors.append(error | {"pointer": pointer(*path) + error.get("pointer", "")})
            return None

    def forms(self, body, given, path, most, **more):
        """The forms of a list that are right."""
        return [form for n, one in self.listed(given, path, most) if (form := self.form(body, one, (*path, n), **more))]

    def listed(self, given, path, most):
        """(place, row) of a list; nothing for what is absent or no list."""
        if given is None:
            return ()
        if not isinstance(given, list):
            self.errors.append(wrong(path, "Give a list."))
            return ()
        if len(given) > most:
            self.errors.append(wrong(path, f"At most {most} here.", "too_many"))
            return ()
        return enumerate(given)
