"""What of these parts' own tables is not told to the history, and why. Parts above say theirs in their own `ready`."""

from projects.history.recorded import leave_out, quiet


def of_projects() -> None:
    leave_out("history.Entry", "it is the history")
    leave_out("history.Seal", "it is the history's own")
    leave_out("files.KeptBytes", "a count over records that are told")
    leave_out("joining.TriesOfAnHour", "a count of tries, emptied by the hour")
    leave_out("doors.Tried", "a count of tries, emptied by the hour")
    leave_out("traffic.Count", "a count of requests")
    leave_out("traffic.KeptAnswer", "an answer, to be given again for three days")
    leave_out("work.Worker", "a worker's signs of life")
    quiet("accounts.User", "last_login")
    quiet("accounts.ApiToken", "last_used_at")
    quiet("work.Work", "beat", "done", "total", "task", "version")
