"""Row security on PostgreSQL as text. Knows no table.

What is asked of the session stands in a SELECT of its own: worked out once for a statement, not for each row.
"""

from projects.platform.walling import DOOR, EVERY, SHOP

_WALL = "(SELECT current_setting('ceilingbook.wall', true))"
_OURS = (
    f"(SELECT CASE current_setting('ceilingbook.wall', true) WHEN '{SHOP}'"
    " THEN nullif(current_setting('ceilingbook.shop', true), '')::bigint END)"
)


def policies(table: str, shop: str, *, at_the_door: bool, added_to_by_anyone: bool) -> dict[str, str]:
    """{what it is for: text after CREATE POLICY … ON …}"""
    mine = f"{_WALL} = '{EVERY}' OR {shop.format(row=_quoted(table))} = {_OURS}"
    texts = {"all": f"FOR ALL USING ({mine}) WITH CHECK ({mine})"}
    if at_the_door:
        texts["door"] = f"FOR SELECT USING ({_WALL} = '{DOOR}')"
    if added_to_by_anyone:
        texts["added"] = "FOR INSERT WITH CHECK (true)"
    return texts


def put_up(table: str) -> str:
    """The tables are owned by the role that the program connects as: without FORCE it would see past the policies."""
    return f"ALTER TABLE {_quoted(table)} ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;"


def take_down(table: str) -> str:
    return f"ALTER TABLE {_quoted(table)} NO FORCE ROW LEVEL SECURITY, DISABLE ROW LEVEL SECURITY;"


def _quoted(name: str) -> str:
    return f'"{name}"'
