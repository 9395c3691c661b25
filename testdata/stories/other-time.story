# A delay by "other", typed in words; the third one asks why, and those ashore hear each.
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
[Sat 08:50] ana taps Other…
crew: Ana: until when? You are due off by 09:00
[Sat 08:51] ana answers> 9:45
crew: I read “until 9:45”, but not which time
[Sat 08:52] ana taps 09:45
crew: Ana stays on Anvil: off the rocks by 09:45 (was 09:00)
mo: off the rocks by 09:45
[Sat 09:40] ana taps +30 min
crew: off the rocks by 10:15
mo: off the rocks by 10:15
[Sat 10:10] ana taps +30 min
toast: Say why
[Sat 10:11] ana> /more 30 fish are on
crew: off the rocks by 10:45 | Reason: fish are on
mo: Reason: fish are on
[Sat 10:44] bram taps Other…
toast: not one of those out
[Sat 10:45] ana> /off
crew: off Anvil, 10:45
