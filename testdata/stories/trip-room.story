# A ledge that takes two: whoever comes last is told. Cars, and who is there for the first time.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 foot 6 slope wall number 911 people 2
[Fri 19:02] ana> /trip Anvil sat 8am til 11am plan b home
crew: Only Ana is in: nobody there to throw a line
[Fri 19:03] bram taps In
crew: In: Ana, Bram
[Fri 19:04] dell taps In
toast: Anvil takes 2 by its card, and with you more are in
crew: more people in than the ledge takes (2)
[Fri 19:05] chidi> /in
crew: Anvil takes 2 by its card
[Fri 19:05] chidi taps Maybe
[Fri 19:06] bram taps Can't
crew: In: Ana, Dell · Maybe: Chidi · Can't: Bram
[Fri 19:07] bram taps Car, first time…
crew: Tap what holds for you
[Fri 19:07] bram taps Car: 2 seats
toast: first say you are in
[Fri 19:08] ana taps Car, no seat free
crew: In: Ana (car, full), Dell | 1 needs a lift, 0 seats
[Fri 19:09] ana taps Car: 2 seats
crew: Ana (car, 2 seats) | 1 needs a lift, 2 seats
[Fri 19:10] dell taps First time here
crew: Dell's first time here: who walks in with Dell?
[Fri 19:11] dell taps Back
[Fri 19:12] dell taps I'll walk with Dell
toast: It is your own first time there
[Fri 19:13] chidi taps I'll walk with Dell
toast: first say you are in
[Fri 19:14] ana taps I'll walk with Dell
crew: Dell, first time here, walks in with Ana
# It goes along with those who are out.
[Sat 07:50] ana taps We're going out
crew: Out: Ana and Dell, Anvil | Notes: first time on this ledge: Dell, walks in with Ana
[Sat 10:00] ana> /off all
crew: off Anvil
