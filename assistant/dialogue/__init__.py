"""What the parts of a talk do: record, correct, answer; each gives a result or ends the turn early."""
