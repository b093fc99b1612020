"""Which light is on which switch: letters on the plan and in a table, a suggestion, and what each circuit carries."""
