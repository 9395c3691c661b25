# Which hours of the coming days meet the crew's limits, ledge by ledge, and why the others do not.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
[Fri 19:00] bot joins
[Fri 19:01] ana> /hours
crew: I know no ledge yet
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 foot 9 slope wall walkout 20 number 911
[Fri 19:02] ana> /ledge add Long Step at 38.9501 -123.7404 lip 12 faces 200 foot 9 slope wall walkout 20 number 911
[Fri 19:03] ana> /hours
crew: Long Step: Sat 14 Mar | by the chance of a wash alone: you set no limits | Looked for: at least 2 h, in daylight with the walk out | Turn back by | No hour here is a promise
[Fri 19:03] bram taps Long Step Sat 14 Mar 07:01
crew: Long Step, Sat 14 Mar 07:01
[Fri 19:04] ana> /ledge limits Long Step swell 4 gust 15
[Fri 19:05] ana> /hours Long Step 3h ebbing
crew: is the soonest within your limits | at least 3 h | ebbing tide | (swell 4.0 m, gusts 15 m/s)
[Fri 19:05] ana> /ledge limits Long Step swell 2
[Fri 19:06] ana> /hours long step sun around low 90 min
crew: No hours within your limits | at least 1 h 30 min, in daylight with the walk out, within 2 h of low water | Sun: swell up to | (limit 2.0 m)
[Fri 19:07] ana> /hours Long Step thu
crew: Cannot tell which hours | the forecast has run out | Treat that as a no
[Fri 19:07] ana> /hours below plenty
crew: I can't read “below plenty” | /hours Anvil 3h ebbing sat
[Fri 19:07] ana> /hours Anvil making ebbing
crew: I can't read “Anvil making ebbing”
[Fri 19:08] ana> /hours Anvil 40 min
crew: A stay is over 1 h and at most 48 h
