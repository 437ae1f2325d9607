"""What happened on the job: the events, the journal that keeps them, and the state they add up to."""
