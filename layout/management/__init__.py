"""Commands run through manage.py. They call the engine; they need no database."""
