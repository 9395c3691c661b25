# Off the rocks and not home: she is asked, then those who know her hear of it, in other words than an alarm from the ledge.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall number 911
[Fri 19:02] ana starts
[Fri 19:03] ana private> /me phone +00 555 0142
[Fri 19:04] ana private> /contact
[Fri 19:05] mo follows
[Fri 19:06] mo private taps Yes, I hold Ana's plans
[Sat 07:00] ana> /out Anvil back 9am home 10am with Bram
crew: Out: Ana and Bram, Anvil. Off the rocks by 09:00. Home by 10:00
mo: off the rocks by 09:00. Home by 10:00
[Sat 08:30] ana> /off all
crew: off Anvil, 08:30
mo: Nothing more to do
[Sat 09:20] bram> /home
crew: Bram is home
[Sat 10:00] wait
ana: Ana: home? You said by 10:00
crew: nothing
mo: nothing
[Sat 10:30] wait
crew: Ana is off the rocks (Anvil, 08:30) but has not said home | Was to be there by 10:00; it is 10:30
mo: Ana is off the rocks | Ring Ana: +00 555 0142 | Nobody has been called
[Sat 10:40] ana private> /home
ana: Ana is home
crew: Ana is home
mo: Ana is home
[Sat 13:00] wait
mo: nothing
# "home" alone is not taken for off the rocks.
[Sat 14:00] ana> /out Anvil home 6pm
crew: I can't read a time in “home 6pm”. Off Anvil by when
