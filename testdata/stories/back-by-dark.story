# A return by the light or the tide of the ledge; what may be two returns is asked, and a start is never offered as one.
start 2026-03-14 13:00 America/Los_Angeles
people ana bram; ashore mo
[Sat 13:00] bot joins
[Sat 13:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 foot 6 slope wall number 911
# Last light is at 19:47, the low at 15:24 and the high at 22:16.
[Sat 13:02] ana> /out Anvil with Dell back by dark
crew: Ana and Dell, Anvil. Off the rocks by 19:47
[Sat 13:03] ana> /more until sunset
crew: off the rocks by 19:21
[Sat 13:04] ana> /off all
crew: off Anvil, 13:04
[Sat 13:10] ana> /out Anvil back an hour before low
crew: Off the rocks by 14:24
[Sat 13:11] ana> /cancel
[Sat 13:12] ana> /out Anvil with Dell sun 8 back by 11
crew: which time
[Sat 13:13] ana taps Sun 15 Mar 11:00
crew: Ana and Dell, Anvil. Off the rocks by Sun 15 Mar 11:00
[Sat 13:14] ana> /off all
# Which of two, answered in words.
[Sat 13:20] ana> /out Anvil with Dell back by 3 or 4
crew: I can't read a time
[Sat 13:21] ana> /out Anvil with Dell sun back by 3
crew: which time
[Sat 13:22] ana answers> the first
crew: Ana and Dell, Anvil. Off the rocks by Sun 15 Mar 03:00
[Sat 13:23] ana> /off all
# A tide is no return until somebody says that it is, and a plan that hangs on it alone is asked.
[Sat 13:30] ana> /out Anvil on the run-out
crew: I can't read a time
[Sat 13:31] ana answers> back by low
crew: Off the rocks by 15:2
