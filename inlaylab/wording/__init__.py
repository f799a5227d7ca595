"""
The sentences that the kit says, in the reader's unit.

`answers` says what a fit answers, `artwork` what a drawing comes to; `panels`, `figures` and `findings` hold what is
said there, under the names that the speaking files have. How lengths, chances, fields and contacts are said is in
`lengths`, `chances`, `names` and `contacts`.
"""
