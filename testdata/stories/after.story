# After the day: two questions, once, and what the answers teach. Near misses first.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 5.4 faces 270 foot 12 slope wall number 911
[Fri 19:02] ana> /ledge
crew: No watch noted yet
[Fri 19:02] ana starts
[Fri 19:03] bram> /tide
[Fri 19:03] chidi> /tide
[Sat 07:00] ana> /conditions Anvil 8am til 1pm
crew: Anvil, Sat 14 Mar 08:00–13:00: could be washed | 1 in 4 at worst | No watch of Anvil noted yet
[Sat 07:30] ana> /out Anvil back noon with Bram and Chidi
[Sat 11:30] ana> /off all
crew: off Anvil
[Sat 14:29] wait
ana: nothing
crew: nothing
# Three hours later: in private where we may write, else once in the group, by name.
[Sat 14:31] wait
ana: Anvil, Sat 14 Mar: two questions | Was water over it while you were there? Anybody wet?
crew: Bram and Chidi: two questions about Anvil
[Sat 14:32] ana> /conditions Anvil 4pm til 7pm
crew: 7 in 10 at worst | No watch of Anvil
[Sat 14:40] dell taps Often
toast: those who were out there
[Sat 14:41] ana private taps No water
ana: Ana: no water over it.
toast: Noted
[Sat 14:42] ana> /ledge Anvil
crew: 1 report, 0 with water over the lip
[Sat 14:43] ana> /conditions Anvil 4pm til 7pm
crew: 6 in 10 at worst | 1 report of Anvil: too little to go by
# Several of one outing are one report, and the wettest answer counts; an answer can be changed.
[Sat 14:44] bram taps Often
crew: Bram: water over it often
[Sat 14:45] ana> /ledge Anvil
crew: 1 report, 1 with water over the lip
[Sat 14:46] bram taps Once or twice
crew: Bram: water over it once or twice
[Sat 14:47] chidi taps Feet wet
crew: Chidi: feet wet
[Sat 14:48] ana> /ledge Anvil
crew: 1 report, 1 with water over the lip
# A near miss is asked about at once; the next line in reply is kept, for the crew, without a name, and can be taken back.
[Sat 14:49] chidi taps Knocked over
crew: Thank you; that is worth more than a good day
[Sat 14:50] chidi answers> knocked over by the third of a set, <b>gully side</b> /off
crew: Kept with Anvil | Near miss 14 Mar: knocked over by the third of a set
[Sat 14:51] bram> /ledge Anvil
crew: Near miss 14 Mar: knocked over by the third of a set
[Sat 14:52] bram taps Undo
toast: There is nothing of yours
[Sat 14:53] chidi taps Undo
crew: Taken back
[Sat 14:54] ana private taps In the water
ana: Thank you; that is worth more than a good day
[Sat 14:55] ana private> I slipped at the step, Dell threw the line
ana: Kept with Anvil | Near miss 14 Mar: I slipped at the step
[Sat 14:56] ana private> and more
ana: I only understand commands
# Shown first wherever the ledge comes up.
[Sat 15:00] ana> /conditions Anvil 4pm til 7pm
crew: nearly certain at worst | 1 report of Anvil
[Sat 15:01] ana taps Why
crew: Near miss 14 Mar: I slipped at the step | hour by hour
[Sat 15:02] ana> /trip Anvil sun 8am til 11am
crew: Sun 15 Mar, Anvil | Near miss 14 Mar: I slipped
# Unasked, at any time.
[Sat 15:03] bram> /nearmiss Anvil a set came over the spot where Chidi ties on
crew: Kept with Anvil | Near miss 14 Mar: a set came over the spot
[Sat 15:04] bram> /nearmiss
crew: Near miss 14 Mar: a set came over | Near miss 14 Mar: I slipped
[Sat 15:05] ana> /ledge name Anvil = The Anvil
[Sat 15:05] ana> /nearmiss The Anvil
crew: Near miss 14 Mar: a set came over | Near miss 14 Mar: I slipped
# A day later the question is over.
[Sun 14:40] bram taps Often
toast: That is over
