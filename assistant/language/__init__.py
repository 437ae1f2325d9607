"""A phrase becomes typed meanings: words, groups, clauses. Knows the job's names and nothing of the trade's sums."""
