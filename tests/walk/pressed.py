"""Every form of a page: what a browser sends of it when nothing is touched, or when no box is left empty."""

from dataclasses import dataclass, field
from html.parser import HTMLParser
from itertools import count

FRESH = count(1)
PLAIN = {
    "number": "1", "date": "2026-05-03", "email": "lee@shop.example", "url": "https://hooks.shop.example/in",
    "password": "a long enough one 7",
}  # fmt: skip


@dataclass
class Box:
    name: str
    kind: str
    value: str = ""
    needed: bool = False
    choices: list = field(default_factory=list)
    chosen: list = field(default_factory=list)
    has: dict = field(default_factory=dict)

    def sent(self, fill):
        """What a browser sends of it; `fill`: as one who leaves no box empty."""
        if self.kind in ("select", "radio"):
            some = next((each for each in self.choices if each), None)
            return self.chosen or ([some] if some is not None and (fill or self.needed) else [])
        if self.kind == "checkbox":
            return self.chosen or (self.choices[:1] if fill or self.needed else [])
        if self.value or not (fill or self.needed):
            return [self.value]
        return [self.words()]

    def words(self):
        if self.kind in PLAIN:
            return self.has.get("min") or PLAIN[self.kind]
        if self.has.get("inputmode") in ("decimal", "numeric"):
            return "2"
        return f"Own {next(FRESH)}"[: int(self.has.get("maxlength", 80))]


@dataclass
class Form:
    action: str
    method: str
    boxes: dict = field(default_factory=dict)
    buttons: list = field(default_factory=list)  # (action, (name, value))
    files: list = field(default_factory=list)

    def sent(self, fill=False):
        told = {box.name: box.sent(fill) for box in self.boxes.values() if box.name != "csrfmiddlewaretoken"}
        return {name: values for name, values in told.items() if values}


class Reader(HTMLParser):
    def __init__(self):
        super().__init__()
        self.forms, self.by_id, self.inside, self.select, self.textarea = [], {}, None, None, None

    def handle_starttag(self, tag, attrs):
        has = dict(attrs)
        if tag == "form":
            self.inside = Form(has.get("action") or "", (has.get("method") or "get").lower())
            self.forms.append(self.inside)
            self.by_id[has.get("id")] = self.inside
        form = self.by_id.get(has["form"]) if has.get("form") else self.inside
        if form is None or "disabled" in has:
            return
        if tag == "option" and self.select is not None:
            self.select.choices.append(has.get("value", ""))
            if "selected" in has:
                self.select.chosen.append(has.get("value", ""))
        elif tag == "button" or (tag == "input" and has.get("type") in ("submit", "image")):
            self.button(form, has)
        elif tag in ("input", "select", "textarea") and has.get("name"):
            self.box(form, tag, has)

    def button(self, form, has):
        if has.get("type") not in ("button", "reset"):
            form.buttons.append((has.get("formaction") or form.action, (has.get("name"), has.get("value", ""))))

    def box(self, form, tag, has):
        kind = has.get("type", "text") if tag == "input" else tag
        if kind == "file":
            form.files.append(has["name"])
            return
        box = form.boxes.setdefault(has["name"], Box(has["name"], kind, needed="required" in has, has=has))
        if kind in ("checkbox", "radio"):
            box.choices.append(has.get("value", "on"))
            if "checked" in has:
                box.chosen.append(has.get("value", "on"))
        elif tag == "input":
            box.value = has.get("value", "")
        self.select = box if tag == "select" else None
        self.textarea = box if tag == "textarea" else None

    def handle_endtag(self, tag):
        if tag == "form":
            self.inside = None
        elif tag == "select":
            box, self.select = self.select, None
            if box and not box.chosen:  # a browser chooses the first
                box.chosen = [each for each in box.choices[:1] if each]
        elif tag == "textarea":
            self.textarea = None

    def handle_data(self, data):
        if self.textarea is not None:
            self.textarea.value = (self.textarea.value + data).removeprefix("\n")


def forms_on(answer):
    """Those a page would post; none where the answer is no page."""
    if answer.status_code != 200 or not answer["Content-Type"].startswith("text/html"):
        return []
    reader = Reader()
    reader.feed(answer.content.decode())
    return [form for form in reader.forms if form.method == "post"]
