# A typed place name leads to the same first answer; the position stays unknown, and the sheet says so.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
[Fri 19:00] bot joins
[Fri 19:01] ana answers> Nowhereville Heights
crew: I find no place
[Fri 19:02] ana answers> arena cove
crew: Arena Cove: tide from Arena Cove | Which way does it look out to sea?
[Fri 19:02] ana taps W
[Fri 19:02] ana taps Not measured
[Fri 19:02] ana taps A slope or ramp
crew: cannot tell | Nobody has measured how high the lip is | Treat that as a no
[Sat 06:00] ana> /out back 9am
crew: Out: Ana, alone, Arena Cove
[Sat 06:01] ana starts
[Sat 06:02] ana private> /plan
ana: exact position not known to me
