"""The trade's reasoning: pure functions of the job as it stands, the cards and now."""
