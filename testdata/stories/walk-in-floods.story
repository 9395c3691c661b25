# The tide shuts the walk-in before she is due: said at the start, and once more in time; last light likewise.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall number 911
[Fri 19:02] ana starts
[Fri 19:03] ana private> /me phone +00 555 0142
[Fri 19:04] ana private> /contact
[Fri 19:05] mo follows
[Fri 19:06] mo private taps Yes, I hold Ana's plans
[Sat 11:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall gate 0.6 signal yes number 911
crew: Anvil noted
[Sat 11:02] ana> /tide Anvil below 0.6
crew: tide at or below 0.6 m
[Sat 12:30] ana> /out Anvil back 20:15
crew: The walk-in floods at | Dark from 19:47, before you are due | Sooner than usual: alone, it gets dark
[Sat 17:30] wait
[Sat 18:15] wait
ana: the walk-in floods at | Come off while it is dry
[Sat 19:03] wait
ana: last light 19:47, in 4
[Sat 19:40] ana private> /off
ana: off Anvil
[Sat 21:00] wait
ana: nothing
mo: nothing
