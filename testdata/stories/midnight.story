# A night session across midnight: back-by times carry their day, and the ladder holds them.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall number 911
[Fri 19:02] ana starts
[Fri 19:03] ana private> /me phone +00 555 0142
[Fri 19:04] ana private> /contact
[Fri 19:05] mo follows
[Fri 19:06] mo private taps Yes, I hold Ana's plans
[Sat 21:30] ana> /out Anvil back 00:30
crew: Out: Ana, alone, Anvil. Off the rocks by Sun 15 Mar 00:30
mo: off the rocks by Sun 15 Mar 00:30
[Sun 00:30] wait
ana: are you off Anvil? You said by 00:30
[Sun 00:40] wait
crew: Ana has not checked in
[Sun 00:50] wait
mo: Ana has not checked in. Due off Anvil at 00:30; it is 00:50
[Sun 00:52] ana> /off
mo: Stand down
