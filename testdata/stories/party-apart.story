# A party of two with two cars: one leaves early, and the other is looked for alone, sooner than both would have been.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall number 911
[Fri 19:02] ana starts
[Fri 19:03] ana private> /me phone +00 555 0142
[Fri 19:04] ana private> /contact
[Fri 19:05] mo follows
[Fri 19:06] mo private taps Yes, I hold Ana's plans
[Sat 07:00] bram> /out Anvil with Ana back 10am
crew: Out: Bram and Ana, Anvil. Off the rocks by 10:00 | at 10:00 I ask you, at 10:20 I tell the group, at 10:40 I tell Mo
[Sat 08:30] bram taps I'm off
crew: Bram is off the rocks. Still out: Ana, due by 10:00
mo: nothing
# A mate is not the party: it is by name.
[Sat 09:00] chidi> we're all off
crew: nothing
[Sat 09:01] chidi> /off all
crew: I have you on no ledge
[Sat 10:00] wait
ana: Ana: are you off Anvil | at 10:15 I tell the group, at 10:30 I tell Mo
[Sat 10:15] wait
crew: Ana has not checked in
[Sat 10:30] wait
mo: Ana has not checked in | Ring Ana: +00 555 0142
mo: HAND-OVER SHEET | 2 people went out, 1 still out | Bram, phone not known, off the rocks 08:30
# Bram, off himself, may call her off by name: he has her beside him.
[Sat 10:33] bram> /off ana
crew: Stand down | by word of Bram
mo: Stand down
