# What only a maybe brings is not brought.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 foot 6 slope wall number 911
[Fri 19:02] ana> /trip Anvil sat 8am til 11am plan b home
[Fri 19:03] ana taps I bring throw line
[Fri 19:03] ana taps I'll bring…
crew: throw line: Ana | Still nobody: lights, berley, bait, measure board, ice
[Fri 19:03] ana taps I bring first aid
[Fri 19:03] ana taps I bring ice
crew: Also: ice: Ana | Still nobody: lights, berley, bait, measure board
[Fri 19:04] ana taps Back
[Fri 19:05] dell> /maybe
[Fri 19:06] dell taps I bring float
crew: Not ready: only somebody who is a maybe brings float | float: Dell (only maybe)
[Fri 19:07] dell taps In
crew: Ready but for the sea | float: Dell · first aid
[Fri 19:08] dell taps Maybe
crew: Not ready: only somebody who is a maybe brings float
# Whoever can't come brings nothing; nothing is lost but the name.
[Fri 19:09] dell taps Can't
crew: Not ready: nobody brings float
[Fri 19:10] ana> /bring ice
[Fri 19:10] ana taps More
crew: Still nobody: lights, berley, bait, measure board, ice
