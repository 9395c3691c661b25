# The crew's own recipe, scaled to the trip, and what has to soak and thaw the evening before: to whoever brings it, in private where that works.
start 2026-03-12 12:00 America/Los_Angeles
people ana bram chidi dell
[Thu 12:00] bot joins
[Thu 12:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 foot 12 slope wall number 911
[Thu 12:02] ana> /berley
crew: No recipe yet | /berley recipe 4 kg soaked bread
[Thu 12:03] ana> /berley recipe lots of bread
crew: For how many anglers, and how long?
[Thu 12:03] ana> /berley recipe 4-5 kg bread for 2 anglers 4 hours
crew: I can't place “4-5 kg bread”
[Thu 12:04] ana> /berley recipe 4 kg soaked bread, 1 kg bran and 500 g pilchard for 2 anglers 4 hours
crew: Recipe for 2 anglers, 4 h: 4 kg soaked bread, 1 kg bran, 500 g pilchard.
[Thu 12:05] ana> /trip Anvil sat 8am til 11am plan b home
[Thu 12:06] bram> /in
[Thu 12:07] chidi> /maybe
# Two are in for three hours: 6 of 8 angler-hours, three quarters of everything.
[Thu 12:08] dell> /berley
crew: Berley for Anvil, Sat 14 Mar 08:00–11:00 | 2 anglers, 3 h | 3 kg soaked bread, 750 g bran, 380 g pilchard | Soak to a mash: soaked bread. Thaw: pilchard. Brings it: nobody | Nobody said, so I cannot tell. Treat that as a no
# Where admins alone change ledges, others cannot write it on the card.
[Thu 12:08] ana administers
[Thu 12:08] ana> /settings edit admins
[Thu 12:08] dell> /berley
[Thu 12:08] bram taps Allowed there
toast: only the group's admins
[Thu 12:09] ana> /settings edit all
[Thu 12:09] dell> /berley
# Allowed or not is said by whoever knows, on the card.
[Thu 12:09] bram taps Allowed there
toast: Noted
crew: ground-bait is allowed at Anvil, says Bram
[Thu 12:10] bram taps I bring berley
[Thu 12:11] chidi> /in
[Thu 12:12] chidi> /bring bait
[Thu 12:13] bram starts
# Three are in by then, and Bram, who has a private chat with us, reads it there; Chidi, who has none, in the group.
[Fri 18:55] wait
bram: nothing
[Fri 19:05] wait
bram: For Anvil, Sat 14 Mar 08:00, you bring berley. | 3 anglers, 3 h: 4.5 kg soaked bread, 1.1 kg bran, 560 g pilchard. | Tonight. Soak to a mash: soaked bread. Thaw: pilchard. | allowed, your card says | come home again
crew: Chidi brings bait | Whatever must soak or thaw: tonight
# Told once.
[Sat 07:00] wait
bram: nothing
[Sat 12:00] ana> /berley recipe none
crew: The recipe is gone
[Sat 12:01] ana> /berley
crew: No recipe yet
