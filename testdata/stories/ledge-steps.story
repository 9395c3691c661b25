# Step by step: each answer by button or in words, nothing lost by a bad one, stopped and begun again; or begun with half a line.
start 2026-03-13 19:00 America/Los_Angeles
people ana
[Fri 19:00] ana starts
[Fri 19:01] ana private pins 38.9546 -123.7406
ana: Which way does it look out to sea?
[Fri 19:02] ana private> stop
ana: is not noted
[Fri 19:03] ana private taps Stop
toast: That question is over
[Fri 19:04] ana private> /ledge add Anvil at 38.9546 -123.7406 lip 6.1 signal no number 911
ana: Anvil: tide from Arena Cove | Which way does it look out to sea?
[Fri 19:05] ana private> 265
ana: what lies below the lip
[Fri 19:06] ana private> a wall
ana: Please tap one of the three above
[Fri 19:07] ana private taps Wall, over 5 m of water
ana: Anvil noted: looks W, lip 6.1 m
[Fri 19:08] ana private> /ledge Anvil
ana: Emergency number 911, by the card
[Fri 19:09] ana private> /ledge add Long Step at 38.9612 -123.7431 foot 6 slope wall
[Fri 19:10] ana private taps W
ana: How high is its lip
[Fri 19:11] ana private> very
ana: I read no height in “very”
[Fri 19:12] ana private> 14 ft
ana: Long Step noted: lip 4.3 m
