# Somebody ashore who says yes while the outing runs holds the plan of this outing too.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270
[Fri 19:02] ana starts
[Sat 07:00] ana> /out Anvil back 9am
crew: Nobody ashore holds this plan
[Sat 07:01] ana private> /contact
[Sat 07:02] mo follows
[Sat 07:03] mo private taps Yes, I hold Ana's plans
mo: You hold the plan of Ana: Anvil, off the rocks by 09:00
# They block us: that is news now, not at alarm time.
[Sat 07:30] mo blocks
crew: My message to Mo did not get through | Nobody ashore holds this plan
# And are back: they hold the plan again.
[Sat 07:40] mo starts
mo: You hold the plan of Ana
[Sat 09:30] wait
mo: Ana has not checked in
# Whoever takes it on and then gives it back holds nothing back any more.
[Sat 09:31] mo private> /reached
crew: Mo reached Ana
[Sat 09:32] mo private> /letgo
crew: Mo gave your plan back
[Sat 09:45] wait
crew: (still) | Ana has not checked in
[Sat 09:46] ana> /off
crew: Stand down
mo: Stand down
