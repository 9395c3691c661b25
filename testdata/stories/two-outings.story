# Somebody named in two outings is off both by one word: after "off" was confirmed nobody is alarmed for them.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270
[Fri 19:01] ana> /ledge add Long Step at 38.9211 -123.7302 lip 3.0 faces 200
[Fri 19:05] bram> /in
[Sat 07:00] bram> /out Long Step back 9am
crew: Out: Bram, alone
[Sat 07:05] ana> /out Anvil with Bram back 9am
crew: Out: Ana and Bram, Anvil
[Sat 08:00] bram> /off
crew: Bram: off Long Step, 08:00
crew: Bram is off the rocks. Still out: Ana
[Sat 08:01] ana> /off
crew: Ana and Bram: off Anvil
[Sat 10:59] wait
crew: nothing
# Two parties late at once: which of them is being looked for is not guessed.
[Sun 07:00] ana> /out Anvil back 9am
[Sun 07:01] bram> /out Long Step back 9am
[Sun 09:20] ana> /reached
crew: Ana has not checked in
crew: Bram has not checked in
[Sun 09:21] ana> /off
[Sun 09:21] bram> /off
crew: Stand down
