# Tide and light without any feed: of a ledge, of a station by name, of a position; a day, a height, the next water.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
[Fri 19:00] bot joins
[Fri 19:01] ana> /tide
crew: Whose tide?
[Fri 19:01] ana> /light
crew: Light where?
[Fri 19:02] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 foot 6 slope wall gate 0.9 number 911
crew: Anvil noted: lip 4.2 m above MLLW, looks W, tide from Arena Cove (5.1 km), clocks 19:02 (America/Los_Angeles)
[Fri 19:03] ana> /tide
crew: Anvil: tide | high | Walk-in dry (tide up to 0.9 m) | above MLLW | Predicted, not measured
[Fri 19:03] ana> /tide sat
crew: Anvil: tide of Sat 14 Mar | low 0.9 m 02:13 · high 1.6 m 08:02 · low 0.0 m 15:24 · high 1.3 m 22:16 | springs Wed 18 Mar
[Fri 19:03] ana taps Day after
crew: Anvil: tide of Sun 15 Mar
[Fri 19:03] ana taps Light
crew: Anvil, Sun 15 Mar: last light 19:48 | How long is the walk out?
[Fri 19:04] bram> /ledge add Anvil walkout 25
crew: Anvil noted
[Fri 19:04] bram> /light Anvil sat
crew: Anvil, Sat 14 Mar: last light 19:47 | Leave by 18:56 to walk out in daylight; 19:22 is the latest
[Fri 19:04] bram taps Tide
crew: Anvil: tide of Sat 14 Mar
[Sat 09:40] ana> /tide next low
crew: Anvil: next low 0.0 m at 15:24 (in 5 h 44 min)
[Sat 09:40] ana> /tide Anvil below 0.5
crew: Anvil, Sat 14 Mar: tide at or below 0.5 m 12:41–18:14
[Sat 09:41] bram> /tide when is it over 9 m tomorrow
crew: Anvil, Sun 15 Mar: tide never above 9.0 m
[Sat 09:41] bram> /settings
[Sat 09:41] bram taps Feet
[Sat 09:42] bram> /tide below 2
crew: Anvil, Sat 14 Mar: tide at or below 2.0 ft
[Sat 09:42] bram> /tide Newlyn
crew: Newlyn: tide | above LAT | GMT | TICON-4, CC BY 4.0
[Sat 09:43] bram> /tide -36.9512 174.4623
crew: -36.9512 174.4623: tide | Another water? | NZDT
[Sat 09:50] ana> /about
crew: NOAA CO-OPS | TICON-4 | CC BY 4.0 | Weather data by Open-Meteo.com | MET Norway | Data Buoy Center | Anvil: tide of Arena Cove (noaa/9416841), public domain, constants or datum of 1983–2001
# What cannot be read is refused with an example.
[Sat 09:51] ana> /tide below plenty
crew: I can't read “below plenty” | /tide Anvil below 1.2 sat
[Sat 09:51] ana> /tide Anvil 31 feb
crew: I can't read
[Sat 09:52] ana> /light Nowhere Rock
crew: neither a ledge nor a tide station called “Nowhere Rock”
