# The one ashore blocks the bot while she is out: those out hear it then, not at alarm time; a second one takes over.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall number 911
[Fri 19:02] ana starts
[Fri 19:03] ana private> /me phone +00 555 0142
[Fri 19:04] ana private> /contact
[Fri 19:05] mo follows
[Fri 19:06] mo private taps Yes, I hold Ana's plans
[Fri 19:10] ana private> /contact
[Fri 19:11] dell follows
[Fri 19:12] dell private taps Yes, I hold Ana's plans
crew: Dell holds Ana's plans from now on
[Sat 07:00] ana> /out Anvil back 9am
mo: You hold the plan
dell: You hold the plan
[Sat 08:00] mo blocks
crew: My message to Mo did not get through | The plan is with Dell
[Sat 09:30] wait
dell: Ana has not checked in | Ring Ana: +00 555 0142
dell: HAND-OVER SHEET
[Sat 09:31] dell private taps I have called 911
crew: Dell has called 911
[Sat 09:50] ana> /off
dell: Stand down | If you called anybody, tell them now
