# Somebody of several crews is asked once which one a line in private is for; being out is never held up by it.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270
[Fri 19:02] bram starts
[Fri 19:03] bram private> /crew
bram: You are in one crew
[Fri 19:03] bram private> /ledge add Inlet at 38.9700 -123.7500 lip 3 faces 270
[Fri 19:04] bram> /ledge
crew: Anvil
[Fri 19:05] bram private> /ledge Inlet
bram: You are in several crews. Which is this for?
[Fri 19:06] bram private taps my own
bram: Inlet: lip 3.0 m
[Fri 19:07] bram private> /out Anvil back 9pm
crew: Out: Bram, alone, Anvil
[Fri 19:08] bram private> /off
bram: off Anvil
[Fri 19:09] bram private> /ledge note Inlet mine
bram: Kept with Inlet
[Fri 19:10] bram private> /crew
bram: Which crew do you mean in private?
[Fri 19:11] bram private taps The crew
bram: In private you mean The crew from now on
[Fri 19:12] bram> /crew
crew: Here I always mean this group
[Fri 19:13] bram private> /ledge Anvil
bram: Anvil: lip 6.1 m
[Fri 19:14] bram private> /ledge Inlet
bram: I don't know a ledge called “Inlet”
[Fri 19:15] bram private> /out Anvil back 9pm
crew: Out: Bram, alone, Anvil
[Fri 19:16] bram private> /off
bram: off Anvil
