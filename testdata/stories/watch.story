# The watch before going down: prompts that sound, waves by tap and typed, one taken back, the result, and what the next answer makes of it.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 5.4 faces 270 foot 12 slope wall number 911
[Sat 07:00] ana> /conditions Anvil 8am til 1pm
crew: Anvil, Sat 14 Mar 08:00–13:00 | 1 in 4 at worst | No watch of Anvil noted yet
[Sat 07:30] ana> /watch 10
crew: A watch is at least 15 minutes
[Sat 07:31] ana> /wave
crew: You keep no watch
[Sat 07:32] ana> /watch Anvil
crew: Watching Anvil, 07:32–07:52 (20 min) | Counted: 0 waves
[Sat 07:33] ana taps A wave would have reached me
crew: Counted: 1 wave.
[Sat 07:34] bram taps A wave would have reached me
toast: Somebody else keeps this watch
[Sat 07:34] ana> /wave 3
crew: Counted: 4 waves
[Sat 07:35] ana> /wave lots
crew: How many waves? | /wave 3
[Sat 07:35] ana> /wave 500
crew: Not counted
[Sat 07:36] ana> /wave -2
crew: Counted: 2 waves
[Sat 07:37] ana taps Take one back
crew: Counted: 1 wave.
[Sat 07:37] ana taps Take one back
crew: Counted: 0 waves
[Sat 07:39] wait
crew: 13 min to go. How high was the biggest? | Counted: 0 waves
[Sat 07:46] wait
crew: 7 min to go
[Sat 07:52] wait
crew: 20 minutes, dry (0 of about | only rules out more than 9 washes an hour | The biggest wave of 20 min is most likely | Your call
[Sat 07:55] ana> /conditions Anvil 8am til 1pm
crew: Anvil, Sat 14 Mar 08:00–13:00 | 1 in 5 at worst | 1 watch of Anvil
[Sat 07:56] ana> /ledge
crew: 1 watch, 0 with water over the lip
