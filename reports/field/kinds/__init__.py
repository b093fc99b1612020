"""What a phone may enter and which pages it has, one module a part. Every module here is imported when the app starts.

Parts below reports (photos, as-built) have theirs here too: they must not know that phones exist.
"""
