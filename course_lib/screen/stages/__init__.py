"""One file a stage of the job: what its panel moves, what follows, and how it is drawn."""
