# Somebody falls in. The answer comes at once with number, place and what to do; those ashore and the mates are alarmed.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 number 911
[Fri 19:02] ana> /ledge add Long Step at 38.9612 -123.7431 lip 5 faces 270 number 911
[Fri 19:03] ana starts
[Fri 19:03] ana private> /me phone +00 555 0142
[Fri 19:03] ana private> /contact
[Fri 19:04] mo follows
[Fri 19:04] mo private taps Yes, I hold Ana's plans
[Fri 19:05] bram> /in
[Fri 19:05] dell> /in
[Fri 19:05] dell starts
# Nobody out, nothing named: both ledges with their places, in one message and without a question.
[Fri 19:10] bram> /sos
crew: Call 911. Say: person in the water | Anvil: 38.95460, -123.74060 (38°57.276' N 123°44.436' W) | Long Step: 38.96120 | Throw something that floats. Do not jump in | float on your back
mo: nothing
[Sat 07:00] ana> /out Anvil with Bram back noon
crew: Out: Ana and Bram, Anvil | Somebody in the water? /fellin
# A sentence follows, no ledge is named: it is where the writer is out.
[Sat 10:32] bram> /fellin ana is in the water!!
crew: Call 911. Say: person in the water at 38.95460, -123.74060 (38°57.276' N 123°44.436' W), Anvil. | Throw something that floats. Do not jump in. Keep pointing at them. | Shout to them: float on your back
mo: Bram says: somebody fell in at Anvil, 10:32. | person in the water at 38.95460, -123.74060 | nothing and called nobody
mo: HAND-OVER SHEET | Bram said at 10:32: somebody fell in | +00 555 0142
# A second tap is answered, and alarms nobody anew.
[Sat 10:32] bram> /fellin
crew: Call 911. Say: person in the water at 38.95460
mo: nothing
# Everybody may say so, by whichever word; who says it in private is answered there, and the group hears it.
[Sat 10:34] dell private> /mayday
dell: Call 911. Say: person in the water at 38.95460, -123.74060
crew: Dell says: somebody fell in at Anvil | 38.95460 | Throw something
mo: Dell says: somebody fell in at Anvil
# Taken on long before the time to be back; the group hears by whom.
[Sat 10:35] mo private taps I have called 911
mo: Mo has called 911
crew: Mo has called 911
# What was taken on runs out: it sounds again.
[Sat 11:04] wait
mo: nothing
[Sat 11:06] wait
mo: (still) Dell says: somebody fell in at Anvil
crew: (still) Dell says: somebody fell in at Anvil
[Sat 11:07] mo private> /trying
mo: Mo is trying to reach Ana and Bram
[Sat 11:10] bram> /off all
crew: Ana and Bram: off the rocks, 11:10 | Stand down
mo: Ana and Bram: off the rocks, 11:10 | Stand down | If you called anybody, tell them now
[Sat 14:00] wait
mo: nothing
crew: nothing
