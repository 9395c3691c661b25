# She shares a live location: the newest is on the sheet with its age and never called current; it is no check-in, and goes with the off.
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
[Sat 07:05] ana private shares 38.9543 -123.7410
ana: Live location until | drop it with your “off” | It is no check-in
[Sat 07:06] ana private moves 38.9544 -123.7411
ana: nothing
[Sat 08:40] ana private moves 38.9545 -123.7412
ana: nothing
crew: nothing
[Sat 09:00] wait
ana: are you off Anvil
[Sat 09:30] wait
mo: HAND-OVER SHEET | Ana's phone was at 38.95450, -123.74120 | 08:40, 50 min ago | not proof
[Sat 09:31] ana private moves 38.9546 -123.7413
[Sat 09:32] mo private taps Hand-over sheet
mo: 38.95460, -123.74130 | 1 min ago
[Sat 09:40] ana private> /off
mo: Stand down
# After the off nothing of where she is is kept.
[Sat 09:41] ana private moves 38.9600 -123.7500
ana: nothing
[Sat 09:42] mo private > /plan
mo: hold no plan
