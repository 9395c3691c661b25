# A lone angler falls silent; the ladder reaches the one ashore; a late "off" stands everybody down.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell; ashore mo
[Fri 19:00] bot joins
crew: I'm Ledgehand | location or a place name
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall gate 1.5 signal no number 911
crew: Anvil noted | Arena Cove
[Fri 19:02] ana starts
ana: I'm Ledgehand
[Fri 19:03] ana private> /me phone +00 555 0142
ana: +00 555 0142
[Fri 19:04] ana private> /contact
ana: Forward this
[Fri 19:05] mo follows
mo: Ana asks you to hold their plans | I call nobody
[Fri 19:06] mo private taps Yes, I hold Ana's plans
mo: You hold Ana's plans from now on
crew: Mo holds Ana's plans from now on
# A used link is dead.
[Fri 19:07] bram starts
[Fri 19:08] bram follows
bram: used up or too old
[Sat 07:00] ana> /out Anvil back 9am
crew: Out: Ana, alone, Anvil. Off the rocks by 09:00 | at 09:00 I ask you, at 09:15 I tell the group, at 09:30 I tell Mo
mo: You hold the plan of Ana: Anvil, off the rocks by 09:00
crew: Mo has the plan: it got through
[Sat 07:01] ana taps Lifejacket on
crew: Lifejacket on: yes
# A stranger to the outing can neither call her off nor delay.
[Sat 07:02] bram taps I'm off
toast: not one of those out
crew: nothing
# The exact place goes to nobody but the party and the one ashore.
[Sat 07:03] bram taps Show the plan
toast: hold no plan
[Sat 07:04] ana taps Show the plan
ana: HAND-OVER SHEET | 38.95460, -123.74060 | +00 555 0142
crew: nothing
# No signal on the ledge: no reminder before time.
[Sat 08:59] wait
ana: nothing
[Sat 09:00] wait
ana: are you off Anvil? You said by 09:00
crew: nothing
[Sat 09:14] wait
crew: nothing
[Sat 09:15] wait
crew: Ana has not checked in. Due off Anvil at 09:00; it is 09:15 | At any sign of danger call 911 now
mo: nothing
[Sat 09:30] wait
mo: Ana has not checked in | Nobody has been called. I am only a program; you decide | Ring Ana: +00 555 0142 | Call 911 now
mo: HAND-OVER SHEET | 38.95460, -123.74060 | 38°57.276' N 123°44.436' W
[Sat 09:31] bram taps I'm trying to reach them
crew: Bram is trying to reach Ana | only “off” from Ana closes it
mo: Bram is trying
[Sat 09:45] wait
mo: nothing
[Sat 09:46] wait
mo: (still) | has not checked in | Nothing heard since Bram took it on at 09:31
crew: (still) | Nothing heard since Bram
[Sat 09:47] ana private> /off
crew: Ana: off the rocks, 09:47, by their own message. Stand down
mo: Stand down | If you called anybody, tell them now
ana: off Anvil, 09:47
[Sat 12:46] wait
crew: nothing
mo: nothing
ana: nothing
# No alert goes out any more; what the ledge did is asked of her alone.
[Sat 14:00] wait
crew: nothing
mo: nothing
ana: two questions
[Sat 14:01] ana> /off
crew: I have you on no ledge
