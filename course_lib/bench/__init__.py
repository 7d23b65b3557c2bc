"""The bench: the sums of the trade. Numbers in, numbers out; numpy and pint only.

Each module is one stage of the job, named for what it works out: `measuring`, `metal`, `finish`,
`forming`, `plate`, `hole`, `scroll`, `ring`, `basket`, `solder`, `post`, `stone`, `lemel`, `pair`,
`price`. `units` is the one place where units are put on and taken off; `job` plans a whole duplicate.
"""
