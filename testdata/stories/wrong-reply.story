# A “safe” in answer to the wrong message, and other words in a hurry: only what can mean nothing else closes an outing.
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
[Sat 07:01] ana> /trip Anvil sun 6am til 9am
crew: Sun 15 Mar
# "safe" under a trip's panel says nothing of being off the rocks.
[Sat 08:50] ana answers> safe
crew: nothing
[Sat 09:00] wait
ana: are you off Anvil
[Sat 09:01] ana private > im ok
ana: I only understand commands
[Sat 09:02] ana private > i'm off
ana: off Anvil, 09:02
crew: Ana: off Anvil, 09:02
[Sat 09:30] wait
mo: nothing
