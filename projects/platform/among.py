"""One of so many ids, handed over as one value: {"job__among": ids}. Knows no particular record.

Django takes a list of ids apart and checks and quotes each of them; of a shop's jobs, in each of the ten queries of a
screen, that is a good part of the screen's work.
"""

import json

from django.db.models import ForeignKey, Lookup


@ForeignKey.register_lookup
class Among(Lookup):
    """The right side is a set of whole numbers."""

    lookup_name = "among"
    prepare_rhs = False

    def as_sqlite(self, compiler, connection):
        column, params = self.process_lhs(compiler, connection)
        return f"{column} IN (SELECT value FROM json_each(%s))", [*params, json.dumps(sorted(self.rhs))]

    def as_postgresql(self, compiler, connection):
        column, params = self.process_lhs(compiler, connection)
        return f"{column} = ANY(%s)", [*params, sorted(self.rhs)]
