"""What of projects' own tables goes with a room or a job that is purged. Parts above name theirs in their ready."""

from projects.jobs.models import Circuit, MeasurementSet, Reading, StageEvent
from projects.trash.purging import goes_with_job, goes_with_room

goes_with_room(StageEvent)
goes_with_room(Reading, "measurement_set__room")
goes_with_room(MeasurementSet)
goes_with_job(Circuit)
