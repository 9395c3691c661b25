# Going out was written while the bot was down, and the time to be back has passed since: she is late, not refused.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall number 911
[Fri 19:02] ana starts
[Fri 19:03] ana private> /me phone +00 555 0142
[Fri 19:04] ana private> /contact
[Fri 19:05] mo follows
[Fri 19:06] mo private taps Yes, I hold Ana's plans
[Fri 19:07] bram starts
[Sat 06:50] bot stops
[Sat 07:00] ana> /out Anvil back 9am
[Sat 07:01] bram> /out Anvil back 9am
[Sat 08:30] bram private> /off
[Sat 10:00] bot goes on
crew: Out: Ana, alone, Anvil. Off the rocks by 09:00 | at 10:05 I tell the group, at 10:05 I tell Mo
ana: are you off Anvil? You said by 09:00; it is 10:00 | This comes late: I was offline
crew: Bram: off Anvil
[Sat 10:05] wait
crew: Ana has not checked in
mo: Ana has not checked in. Due off Anvil at 09:00; it is 10:05
[Sat 10:06] ana> /off
mo: Stand down
