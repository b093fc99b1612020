"""Takes the guide's pictures anew from a running demo: python -m tests.guide.take_pictures http://127.0.0.1:8000"""

import io
import shutil
import sys
from pathlib import Path

import pypdfium2
from PIL import Image
from playwright.sync_api import sync_playwright

PASSWORD = "plumb-and-square"  # as the demo prints it

PICTURES = Path(__file__).resolve().parents[2] / "projects" / "guide" / "pictures"
OWNER = "juniper@ceilingbook.example"
COLORS = 48  # enough for what is nearly black and white, and small


def keep(picture, name):
    small = picture.convert("RGB").quantize(COLORS, dither=Image.Dither.NONE)
    small.save(PICTURES / name, optimize=True)
    print(name, (PICTURES / name).stat().st_size)


def main(server):
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=shutil.which("chromium"))
        page = browser.new_page(viewport={"width": 1200, "height": 800}, color_scheme="light")
        page.goto(f"{server}/sign-in/")
        page.get_by_label("E-mail").fill(OWNER)
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        page.goto(f"{server}/rooms/?view=wall")
        keep(Image.open(io.BytesIO(page.screenshot())), "rooms.png")
        browser.close()


def card(pdf):
    page = pypdfium2.PdfDocument(pdf)[0]
    keep(page.render(scale=1.4).to_pil(), "card.png")


if __name__ == "__main__":
    card(sys.argv[2]) if len(sys.argv) > 2 else main(sys.argv[1])
