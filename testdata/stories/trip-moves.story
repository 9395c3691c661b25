# The group gets another id: what is planned and voted on is posted anew under that one, and its buttons work.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 foot 6 slope wall number 911
[Fri 19:02] ana> /trip Anvil sat 8am til 11am plan b home
[Fri 19:03] ana> /trip vote Anvil mon 8am til 11am | tue 8am til 11am
[Fri 19:04] group moves
crew: Sat 14 Mar, Anvil 08:00–11:00 | In: Ana
crew: Which one? | Mon 16 Mar, Anvil
[Fri 19:05] bram taps In
crew: In: Ana, Bram
[Fri 19:06] bram taps 2. Tue 17 Mar 08:00 Anvil
crew: Anvil 08:00–11:00 · 1 (Bram)
[Fri 19:07] bram answers> by bus
