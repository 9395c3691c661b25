# Somebody falls in, and it is not clear where; or nobody is out that the bot knows of; or a stranger says it.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi; ashore mo gil eve
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 number 911
[Fri 19:02] ana> /ledge add Long Step at 38.9612 -123.7431 lip 5 faces 270
[Fri 19:03] ana starts
[Fri 19:03] ana private> /contact
[Fri 19:04] mo follows
[Fri 19:04] mo private taps Yes, I hold Ana's plans
[Fri 19:05] chidi> /in
[Sat 07:00] ana> /out Anvil back noon
[Sat 07:01] bram> /out Long Step back noon
# Chidi is on neither and names none: both are given, and everybody who knows somebody out there is told that it is unclear.
[Sat 08:00] chidi> /inwater
crew: Call the emergency number. Say: person in the water, and which of these | Anvil, call 911: 38.95460 | Long Step, call your local emergency number: 38.96120
mo: Chidi says: somebody fell in, 08:00. On which ledge was not said. | It may be there. Ring Ana; no answer: call 911 now | Anvil: 38.95460
# Named, it is that one.
[Sat 08:05] chidi> /fellin long step he slipped
crew: Call your local emergency number. Say: person in the water at 38.96120, -123.74310 | Long Step
mo: nothing
# Those who hold a plan may say so, in private: it is the ledge of that plan.
[Sat 08:10] mo private> /overboard
mo: Call 911. Say: person in the water at 38.95460
crew: Mo says: somebody fell in at Anvil, 08:10. | Ana is out on Anvil
ana: nothing
[Sat 08:11] ana> /off
crew: Ana: off the rocks, 08:11 | Stand down
mo: Stand down
[Sat 08:12] bram> /off
crew: Bram: off Long Step
# Nobody is out any more. In private the group is told all the same, once a minute.
[Sat 09:00] ana private> Man overboard!
ana: Call the emergency number. Say: person in the water, and which of these
crew: Ana says: somebody fell in, 09:00. On which ledge was not said.
[Sat 09:00] ana private> /fellin anvil
ana: Call 911. Say: person in the water at 38.95460, -123.74060
crew: nothing
# A stranger, of whom and of whose coast nothing is known: number and what to do, and nobody is alarmed.
[Sat 09:05] eve starts
[Sat 09:06] eve private> /fellin Anvil
eve: Call your local emergency number. Say: person in the water, and exactly where. | Throw something | Shout to them
crew: nothing
# Nor does an old "I'm off" or a talk among mates set it off.
[Sat 09:10] bram> my knife fell in
crew: nothing
