# Put out of a group: what is open is watched, the rest goes after a month.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 number 911
[Fri 19:02] ana starts
[Fri 19:03] ana> /catch 2 kelp greenling 31 28 kept 1
[Fri 19:04] bot goes
[Thu 19:04] wait
[Wed 19:04] wait
[Tue 19:04] wait
[Mon 19:04] wait
[Sun 19:04] wait
[Mon 19:05] bot joins
[Mon 19:06] ana> /ledge
crew: I know no ledge yet
