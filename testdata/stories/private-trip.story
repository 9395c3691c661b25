# A plan made in private is the crew's: it stands in the group, and so does the word that it is called off.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270
[Fri 19:02] ana starts
[Fri 19:03] ana private> /trip Anvil sat 8am til 11am
crew: Sat 14 Mar, Anvil 08:00–11:00 | In: Ana
ana: Sat 14 Mar, Anvil 08:00–11:00 | In: Ana
[Fri 19:04] bram taps In
crew: In: Ana, Bram
[Fri 19:05] ana private taps Call it off
crew: called off. No reason needed
