# Comments: typed, or as a reply to the panel. A panel that has gone up out of sight comes anew.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 foot 6 slope wall number 911
[Fri 19:02] ana> /trip note the gate is locked
crew: No trip is planned
[Fri 19:02] ana> /trip Anvil sat 8am til 11am plan b home
[Fri 19:03] bram answers> gate is locked, park at the corner
crew: Bram (a moment ago): “gate is locked, park at the corner”
[Fri 19:04] chidi> /trip note
crew: Write what the others should know
[Fri 19:05] chidi> /trip note fog until nine, they say
crew: Chidi (a moment ago): “fog until nine, they say”
[Fri 19:06] ana taps More
crew: Bram (3 min ago): “gate is locked, park at the corner” | Chidi (1 min ago): “fog until nine, they say”
# Talk that answers nobody is none of the plan's.
[Fri 19:07] bram> see you there
crew: nothing
[Fri 19:10] chidi> and so on
[Fri 19:11] chidi> and so on
[Fri 19:12] chidi> and so on
[Fri 19:13] chidi> and so on
[Fri 19:14] chidi> and so on
[Fri 19:15] chidi> and so on
[Fri 19:16] chidi> and so on
[Fri 19:17] chidi> and so on
[Fri 19:18] chidi> and so on
[Fri 19:19] chidi> and so on
[Fri 19:20] chidi> and so on
[Fri 19:21] chidi> and so on
[Fri 19:22] chidi> and so on
[Fri 19:23] chidi> and so on
[Fri 19:24] chidi> and so on
[Fri 19:25] chidi> and so on
[Fri 19:26] chidi> and so on
[Fri 19:27] chidi> and so on
[Fri 19:28] chidi> and so on
[Fri 19:29] chidi> and so on
[Fri 19:30] chidi> and so on
[Fri 19:31] chidi> and so on
[Fri 19:32] chidi> and so on
[Fri 19:33] chidi> and so on
[Fri 19:34] chidi> and so on
[Fri 19:35] chidi> and so on
[Fri 19:40] bram> /in
crew: In: Ana, Bram
[Fri 19:41] bram answers> bringing tea
crew: Bram (a moment ago): “bringing tea”
