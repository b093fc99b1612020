"""What stands in and above a ceiling: framing, ducts, fans, alarms, and the depth that is left. Knows no records."""
