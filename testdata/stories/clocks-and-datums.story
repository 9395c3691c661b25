# Near a border of time zones the clock is asked for, never guessed; heights name what they count from, and are refused where
# nobody knows how that lies.
start 2026-03-13 19:00 Europe/Lisbon
people ana bram
[Fri 19:00] bot joins
crew: Reply to this with a location
[Fri 19:01] ana places 37.1700 -7.4100
crew: Ledge 1: clocks differ around there | ledge timezone
[Fri 19:01] bram taps 19:01 (Europe/Lisbon)
toast: That question is over
[Fri 19:02] ana taps 20:01 (Europe/Madrid)
crew: Ledge 1: tide from | Which way does it look out to sea?
[Fri 19:02] ana taps S
crew: Ledge 1 looks S
[Fri 19:02] ana taps 4.0 m
[Fri 19:02] ana taps Wall, over 5 m of water
crew: Ledge 1 noted
[Fri 19:03] ana> /ledge timezone Ledge 1 = Europe/Lisbon
crew: Ledge 1 noted | clocks 19:03 (Europe/Lisbon)
[Fri 19:03] ana> /ledge timezone Ledge 1 = Atlantis
crew: I know no zone “Atlantis” | /ledge timezone Ledge 1 = Australia/Sydney
# Typed in one go: both lines to choose from, nothing noted yet.
[Fri 19:05] ana> /ledge add Faro at 37.1700 -7.4100 lip 4 faces 180
crew: Not noted yet: clocks differ | 19:05 (Europe/Lisbon): /ledge add Faro at 37.1700 -7.4100 lip 4 faces 180 timezone Europe/Lisbon | 20:05 (Europe/Madrid)
[Fri 19:05] ana> /conditions Faro
crew: I can't read a time in “Faro”
[Fri 19:06] ana> /ledge add Faro at 37.1700 -7.4100 lip 4 faces 180 timezone Europe/Lisbon
crew: Faro noted | clocks 19:06 (Europe/Lisbon) | tide station is | /ledge station Faro = Place
# A datum the station has the height of, one it has not, one that is none.
[Fri 19:10] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 m above STND faces 270
crew: Anvil noted: lip -4.6 m above MLLW | Is that right? A lip of -4.6 m lies under ordinary high water (1.6 m above MLLW)
[Fri 19:10] ana> /ledge add Anvil lip 4.2 NAVD88
crew: Anvil noted: lip 4.2 m above MLLW
[Fri 19:11] ana> /ledge add Anvil lip 4.2 NLLW
crew: Not noted: the tide station does not tell how high NLLW lies. Known there: STND, LAT, MLLW, NAVD88
[Fri 19:11] ana> /ledge add Anvil lip 4.2 above sea
crew: I can't read
# Another station: the heights are levelled over, or asked for anew.
[Fri 19:20] ana> /ledge station Anvil = San Francisco Golden Gate
crew: Anvil noted: lip 4.2 m above MLLW | tide from San Francisco
[Fri 19:20] ana> /ledge station Anvil = noaa/9416842
crew: neither a ledge nor a tide station
[Fri 19:21] ana> /ledge station Anvil = Port Ludlow
crew: Not changed: nobody tells how the old heights lie to Port Ludlow (MLLW)
[Fri 19:21] ana> /ledge station Nowhere = Newlyn
crew: I don't know a ledge called “Nowhere”
[Fri 19:25] ana> /ledge add Anvil lip 2 gate 3
crew: Anvil noted: lip 2.0 m above MLLW | lies under the highest tides (2.2 m above MLLW) | Is that right? The walk-in floods at 3.0 m, above the lip
