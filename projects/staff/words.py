"""Columns that staff never see: whoever read them could speak for somebody, or open what was sent to one person."""

import re

SECRET = re.compile(r"password|digest|token|secret|session_key|session_data|(^|_)key$|(^|_)body$|args_kwargs", re.I)
