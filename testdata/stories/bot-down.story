# The bot is down across the deadline: on its return it reads what was written before it alarms anybody, and says that it was away.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall number 911
[Fri 19:02] ana starts
[Fri 19:03] ana private> /me phone +00 555 0142
[Fri 19:04] ana private> /contact
[Fri 19:05] mo follows
[Fri 19:06] mo private taps Yes, I hold Ana's plans
[Sat 07:00] ana> /out Anvil back 9am
[Sat 07:01] bram> /out Anvil back 9am
[Sat 08:50] bot stops
[Sat 08:58] ana> /off
[Sat 09:12] bot goes on
crew: Ana: off Anvil
crew: are you off Anvil | This comes late: I was offline
mo: Ana: off Anvil
[Sat 09:15] wait
crew: Bram has not checked in
[Sat 09:20] bot stops
[Sat 10:40] bot goes on
crew: Bram has not checked in | This comes late
[Sat 10:41] bram> /off
crew: Stand down
