# An angler who began alone, with somebody ashore, and joins a crew later keeps that person; what is said in private is answered there.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram; ashore mo
[Fri 18:00] ana starts
[Fri 18:01] ana private> /me phone +00 555 0142
[Fri 18:01] ana private> /contact
[Fri 18:02] mo follows
[Fri 18:03] mo private taps Yes, I hold Ana's plans
mo: You hold Ana's plans
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270
[Sat 07:00] ana private> /out Anvil back 9am
crew: Out: Ana, alone, Anvil. Off the rocks by 09:00
ana: Out: Ana, alone, Anvil. Off the rocks by 09:00
mo: You hold the plan of Ana
[Sat 07:01] mo private> /plan
mo: HAND-OVER SHEET | +00 555 0142
# A question of ours that waits for something else does not swallow an "off".
[Sat 08:00] ana private places 38.9211 -123.7302
[Sat 08:01] ana private> I’m off
crew: Ana: off Anvil, 08:01
ana: off Anvil, 08:01
mo: Ana: off Anvil
[Sat 12:00] wait
mo: nothing
crew: nothing
