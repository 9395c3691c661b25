# While somebody is out: watch again when the tide turns and when it has made by a step. Quiet, to the angler, no feed asked.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 5.4 faces 270 foot 12 slope wall number 911
[Fri 19:01] ana> /ledge add Long Step at 38.9211 -123.7302 lip 3.0 faces 200
[Fri 19:02] ana starts
[Sat 12:30] ana> /conditions Anvil
[Sat 12:40] ana> /out Anvil back 8pm
[Sat 12:45] ana> /watch
crew: Watching Anvil
[Sat 13:05] wait
crew: 20 minutes, dry | Watch again at 15:24
[Sat 15:23] wait
ana: nothing
crew: nothing
[Sat 15:25] wait
ana: Low water: the tide makes from now on. Watch again before you go on, from a dry place. /watch
crew: nothing
[Sat 19:00] wait
ana: Tide has made
crew: nothing
[Sat 19:10] ana> /more 3h
# A watch under way, and the last half hour, are no time for it.
[Sat 20:50] ana> /off
# Where the phone is no use nobody is asked.
[Sun 06:30] ana> /out Anvil back 4pm
[Sun 06:31] ana taps No signal there
[Sun 15:30] wait
ana: nothing
crew: nothing
[Sun 15:40] ana> /off
# What the ledge did yesterday is asked when she is back, and not before.
[Sun 17:00] wait
ana: Anvil, Sat 14 Mar: two questions
# Without a watch it is counted from going out; whoever has no private chat with us hears it in the group, once for all there.
[Mon 03:30] bram> /out Long Step back 10am
[Mon 07:00] wait
crew: Tide has made | since you went out at 03:30. Watch it before you go on
ana: nothing
[Mon 07:10] bram> /off
# In the last half hour they are packing: the low water of 16:32 is not told, and with more time it is.
[Mon 14:30] ana> /tide Anvil
crew: low -0.1 m at 16:32
[Mon 14:31] ana> /out Anvil back 16:58
[Mon 16:40] wait
ana: nothing
[Mon 16:41] ana> /off
[Tue 14:31] ana> /out Anvil back 20:00
[Tue 17:30] wait
ana: Low water
[Tue 17:31] ana> /off
