# The one ashore blocks the bot: that is news before anybody leaves, and at alarm time it is said that nobody ashore knows.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270
[Fri 19:02] ana starts
[Fri 19:02] ana private> /contact
[Fri 19:03] mo follows
[Fri 19:03] mo private taps Yes, I hold Ana's plans
[Fri 19:04] mo blocks
[Fri 19:05] bram> /in
[Sat 07:00] ana> /out Anvil with Bram and Fen back 9am
crew: Out: Ana, Bram and Fen, Anvil
crew: My message to Mo did not get through | Nobody ashore holds this plan
[Sat 08:45] wait
ana: Ana, Bram and Fen: off the rocks by 09:00
# One of two is off: nothing closes.
[Sat 08:50] bram> /off
crew: Bram is off the rocks. Still out: Ana and Fen
[Sat 09:20] wait
crew: Ana and Fen have not checked in | Nobody ashore holds this plan: it is up to you here
[Sat 09:21] bram> /off all
crew: Stand down | by word of Bram
[Sat 12:00] wait
crew: nothing
