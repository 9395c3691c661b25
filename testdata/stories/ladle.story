# "Little and often" on request alone: quiet, to the one who asked, while nothing matters more.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 foot 12 slope wall number 911
[Fri 19:02] ana> /ladle every 10 min
crew: I have you on no ledge
[Sat 08:00] bram> /out Anvil with ana back 11am
[Sat 08:01] ana> /ladle every 10 min
crew: I'd tell you alone, and we have no private chat
[Sat 08:02] ana starts
[Sat 08:05] ana> /ladle every 2 min
crew: 5 to 60 minutes
[Sat 08:06] ana> /ladle every 10 min
crew: A ladle every 10 min, first at 08:16. To you alone, without a sound.
[Sat 08:15] wait
ana: nothing
[Sat 08:17] wait
ana: A little berley, after a look at the sea. Next 08:26
crew: nothing
bram: nothing
[Sat 08:27] wait
ana: Next 08:36
[Sat 08:28] ana private> /ladle off
ana: No more ladling
[Sat 08:50] wait
ana: nothing
[Sat 08:51] ana private> /ladle off
ana: You have no ladle timer
# Asked again it begins anew; it is silent when they pack, and goes on with more time.
[Sat 10:00] ana> /ladle 10
[Sat 10:31] wait
ana: Next 10:40
[Sat 10:41] wait
ana: nothing
[Sat 10:42] ana> /more 1h
[Sat 10:51] wait
ana: Next 11:00
# Somebody in the water ends it.
[Sat 10:52] bram> /fellin
[Sat 11:11] wait
ana: nothing
[Sat 11:21] bram> /off all
[Sat 11:50] wait
ana: nothing
# So does being late, and no signal.
[Sun 08:00] ana> /out Anvil back 9:30am
[Sun 08:01] ana> /ladle every 30 min
[Sun 08:32] wait
ana: Next 09:01
[Sun 09:31] ana> /ladle 10
crew: Not now: Anvil is past its time
[Sun 09:32] ana> /off
[Sun 10:00] ana> /out Anvil back 1pm
[Sun 10:01] ana taps No signal there
[Sun 10:02] ana> /ladle every 30 min
crew: There is no signal at Anvil, you said
[Sun 10:03] ana> /off
