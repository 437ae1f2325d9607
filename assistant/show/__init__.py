"""What is shown: the day, the week, the page, the calendar; and the rooms of the commands that print."""
