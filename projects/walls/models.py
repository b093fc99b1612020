"""No records of its own: an app without models is not told that a migration is over."""
