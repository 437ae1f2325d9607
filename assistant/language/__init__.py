"""A phrase becomes a meaning: words, spans, frames, costs. Knows the job's names and nothing of the trade's sums."""
