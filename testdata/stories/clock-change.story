# The night in which the clocks go forward: 03:30 is an hour nearer than it looks, and an hour that does not exist is asked about.
start 2026-03-06 19:00 America/Los_Angeles
people ana bram chidi dell; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall number 911
[Fri 19:02] ana starts
[Fri 19:03] ana private> /me phone +00 555 0142
[Fri 19:04] ana private> /contact
[Fri 19:05] mo follows
[Fri 19:06] mo private taps Yes, I hold Ana's plans
[Sat 23:30] ana> /out Anvil back 3:30am
crew: Off the rocks by Sun 8 Mar 03:30
[Sun 03:15] wait
ana: in 15 min
[Sun 03:29] wait
ana: nothing
[Sun 03:30] wait
ana: are you off Anvil
[Sun 03:31] ana> /off
crew: off Anvil, 03:31
