"""The database's file is never copied as a file: what is in its write-ahead log would be left out."""

import ast
from pathlib import Path

ROOT = Path(__file__).parents[2]
COPIES = {"copy", "copy2", "copyfile", "copyfileobj", "copytree", "move", "copied"}
# A shop's files: into a backup's store and back, and into the shop's own file.
KNOWN = {("projects/keeping/files_kept.py", "copied"), ("projects/keeping/shop_out.py", "copied")}


def what_copies(path):
    tree = ast.parse(path.read_text())
    for node in ast.walk(tree):
        called = getattr(node, "func", None)
        if isinstance(called, ast.Attribute) and getattr(called.value, "id", "") == "shutil" and called.attr in COPIES:
            yield path.relative_to(ROOT).as_posix(), called.attr
        if isinstance(node, ast.ImportFrom) and node.module in ("shutil", "projects.keeping.copying"):
            yield from ((path.relative_to(ROOT).as_posix(), one.name) for one in node.names if one.name in COPIES)


def test_no_file_is_copied_but_those_that_are_named():
    found = {
        call
        for part in ("projects", "layout", "reports")
        for path in (ROOT / part).rglob("*.py")
        for call in what_copies(path)
    }
    assert found == KNOWN


def test_no_script_copies_the_database():
    found = [*(ROOT / ".ci").iterdir(), *(ROOT / "projects" / "deploy").rglob("*")]
    scripts = [path for path in found if path.is_file() and path.suffix != ".pyc"]
    assert len(scripts) > 5
    assert [path for path in scripts if any(_copies(line) for line in path.read_text().splitlines())] == []


def _copies(line):
    words = line.split()
    return bool(words) and words[0] in ("cp", "mv", "rsync", "scp") and ".sqlite3" in line
