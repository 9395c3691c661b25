# Long swell: sets come rarer than the watch is long, which is said when it begins, not after it.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 5.4 faces 270 foot 12 slope wall number 911
# Of a sea that nobody asked about nothing is said.
[Fri 19:10] ana> /watch
crew: Watching Anvil, 19:10–19:30 (20 min)
[Fri 19:30] wait
crew: 20 minutes, dry. That only rules out more than 9
[Sat 15:00] ana> /conditions Anvil
[Sat 15:32] ana> /watch Anvil
crew: Watching Anvil, 15:32–15:52 (20 min) | Big sets come about every 22 min: watch 30
[Sat 15:34] bram taps Watch 30 min
toast: Somebody else keeps this watch
[Sat 15:40] ana taps Watch 30 min
crew: Watching Anvil, 15:32–16:02 (30 min)
[Sat 15:41] ana> /watch 20
crew: A watch that runs is only made longer
[Sat 15:52] wait
crew: 10 min to go
[Sat 16:02] wait
crew: 30 minutes, dry | Big sets at this period come about every 22 min | The biggest wave of 30 min is most likely 1.6 times the swell height, of 5 h 1.9 times
# Typed, for whoever cannot tap. What is cut short says so.
[Sat 16:10] ana> /watch Anvil
[Sat 16:11] ana> /watch 45 min
crew: Watching Anvil, 16:10–16:55 (45 min)
[Sat 16:20] ana> /stopwatch
crew: 10 minutes, dry | Under 15 min tells little | Long swell: watch 30 minutes or more
