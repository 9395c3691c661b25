# A time that may be morning or evening is asked, with buttons, and never guessed; the old time stands until then.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 number 911
[Fri 19:02] ana> /out Anvil back by 9
crew: which time
[Fri 19:03] bram taps 21:00
toast: over
[Fri 19:03] ana taps 21:00
crew: Out: Ana, alone, Anvil. Off the rocks by 21:00
[Fri 19:30] ana> /more until 10
crew: which time
[Fri 20:00] bram taps 22:00
toast: not one of those out
[Fri 20:01] ana taps 22:00
crew: Ana stays on Anvil: off the rocks by 22:00
[Fri 21:50] ana> /off
crew: Ana: off Anvil, 21:50
