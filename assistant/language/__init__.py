"""A phrase becomes typed meanings: words, chunks, groups, clauses, forces. Knows the job's names, none of the trade's sums."""
