# The group gets another id while they are out: the alert finds it, and buttons of the new panel work.
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
[Sat 08:00] group moves
crew: Out: Ana, alone, Anvil
[Sat 09:15] wait
crew: Ana has not checked in
[Sat 09:16] bram taps I'm trying to reach them
crew: Bram is trying to reach Ana
[Sat 09:20] ana taps I'm off
crew: Stand down
