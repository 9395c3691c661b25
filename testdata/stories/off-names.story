# "Off" with a name speaks for the person named and for nobody else; a name nobody has changes nothing.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270
[Fri 19:05] bram> /in
[Sat 07:00] ana> /out Anvil with Bram and Fen back 9am
crew: Out: Ana, Bram and Fen, Anvil
[Sat 08:00] ana> /off Brm
crew: /off
[Sat 08:01] ana> /off fen
crew: Fen is off the rocks. Still out: Ana and Bram
[Sat 08:02] bram> /off the rocks
crew: Bram is off the rocks. Still out: Ana
[Sat 08:30] ana> /more 900
crew: How much longer?
[Sat 09:00] wait
crew: Ana: are you off Anvil?
[Sat 09:01] ana answers> I’m off
crew: Ana, Bram and Fen: off Anvil, 09:01
[Sat 12:00] wait
crew: nothing
